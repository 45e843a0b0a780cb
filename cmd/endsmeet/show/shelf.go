package show

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/people"
)

// Caution is something that a person's rules, or the weaver's own lungs, have
// to say about a piece.
type Caution struct {
	Rule   string       `json:"rule"`
	Answer stash.Answer `json:"answer"`
	Why    string       `json:"why"`
	Of     string       `json:"of"`
}

// Recipient is the one that a piece is for, if any, and what there is to mind.
type Recipient struct {
	Whom     verdict.Whom
	Cautions []Caution
}

// AddWeaver adds the rules of the weaver.
func (r *Recipient) AddWeaver(parts []people.Part) {
	var seen []string
	for _, part := range parts {
		for _, c := range people.WeaverCautions(part.Yarn) {
			if !slices.Contains(seen, c.Text) {
				seen = append(seen, c.Text)
				r.Cautions = append(r.Cautions, Caution{Rule: "weaver", Answer: stash.Ask,
					Why: c.Text, Of: part.Yarn.Name})
			}
		}
	}
}

// PrintCautions prints what there is to mind beside a verdict, and which of the
// recipient's rules its line did not say.
func PrintCautions(w io.Writer, r Recipient, v verdict.Verdict) {
	said, _ := v.Of(verdict.Recipient)
	var lines, always []string
	for _, c := range r.Cautions {
		switch {
		case c.Rule == "person":
		case c.Rule == "caution":
			always = append(always, c.Why)
		case c.Rule == "weaver":
			lines = append(lines, strings.TrimPrefix(c.Of+": "+c.Why, ": "))
		case !says(said, c.Rule):
			lines = append(lines, strings.TrimPrefix(c.Of+": ", ": ")+fmt.Sprintf("%s (%s): %s",
				c.Answer, c.Rule, c.Why))
		}
	}
	if IsPlain(w) {
		lines = append(lines, always...)
	} else if len(always) > 0 {
		lines = append(lines, strings.Join(always, " "))
	}
	if len(lines) > 0 {
		fmt.Fprintln(w)
	}
	for _, line := range lines {
		fmt.Fprint(w, Wrap(line, "  ", RoomOf(w)))
	}
}

// says whether the line of an answer says what a rule found.
func says(a verdict.Answer, rule string) bool {
	return slices.ContainsFunc(a.Reasons, func(r verdict.Reason) bool {
		return r.Check == rule &&
			r.Grade == a.Grade
	})
}

// CautionsJSON is never null.
func (r Recipient) CautionsJSON() []Caution {
	if r.Cautions == nil {
		return []Caution{}
	}
	return r.Cautions
}
