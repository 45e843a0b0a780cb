package main

import (
	"fmt"
	"io"
	"slices"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

// makingShelf reads what the planner plans with.
func makingShelf(tx *sqlite.Tx) (making.Shelf, error) {
	s := making.Shelf{Now: tx.Now()}
	var err error
	if s.Settings, err = tx.Settings(); err != nil {
		return s, err
	}
	if s.Packages, err = tx.Packages(false); err != nil {
		return s, err
	}
	if s.Yarns, err = tx.YarnsByID(); err != nil {
		return s, err
	}
	if s.Claims, err = tx.Claims(); err != nil {
		return s, err
	}
	pieces, err := tx.Pieces(false)
	for _, p := range pieces {
		if p.State == stash.Finished {
			s.Pieces = append(s.Pieces, p)
		}
	}
	return s, err
}

// caution is something that a person's rules, or the weaver's own lungs, have
// to say about a piece.
type caution struct {
	Rule   string       `json:"rule"`
	Answer stash.Answer `json:"answer"`
	Why    string       `json:"why"`
	Of     string       `json:"of"`
}

// recipient is the answer of a piece's person, if it has one.
type recipient struct {
	person   stash.Person
	result   people.Result
	cautions []caution
}

// recipientOf holds what goes into a piece against the rules of the person it
// is for, and adds the cautions for the weaver.
func recipientOf(tx *sqlite.Tx, s making.Shelf, b stash.ProjectFacts) (recipient, error) {
	var r recipient
	parts := partsOf(s, b)
	if b.For != "" {
		person, found, err := tx.Person(b.For)
		if err != nil {
			return r, err
		}
		if !found {
			r.cautions = append(r.cautions, caution{Rule: "person", Answer: stash.Unknown, Why: "it is for somebody whose rules are kept on another machine; ask"})
		}
		if found {
			r.person, r.result = person, people.SuitsPiece(person, parts, people.FormOf(b))
			for _, reason := range r.result.Reasons {
				r.cautions = append(r.cautions, caution{reason.Rule, reason.Answer, reason.Why, reason.Of})
			}
			for _, c := range people.Cautions(person) {
				r.cautions = append(r.cautions, caution{Rule: "caution", Answer: stash.Ask, Why: c.Text})
			}
		}
	}
	r.addWeaver(parts)
	return r, nil
}

func (r *recipient) addWeaver(parts []people.Part) {
	var seen []string
	for _, part := range parts {
		for _, c := range people.WeaverCautions(part.Yarn) {
			if !slices.Contains(seen, c.Text) {
				seen = append(seen, c.Text)
				r.cautions = append(r.cautions, caution{Rule: "weaver", Answer: stash.Ask, Why: c.Text, Of: part.Yarn.Name})
			}
		}
	}
}

// partsOf lists the yarns that a project names, by role.
func partsOf(s making.Shelf, b stash.ProjectFacts) []people.Part {
	var parts []people.Part
	for _, group := range []struct {
		role stash.Role
		refs []stash.Ref
	}{{stash.RoleWarp, b.Warp}, {stash.RoleWeft, b.Weft}, {stash.RoleHem, b.HemstitchYarn}} {
		var seen []stash.YarnID
		for _, p := range s.Named(group.refs) {
			if !slices.Contains(seen, p.Yarn) {
				seen = append(seen, p.Yarn)
				parts = append(parts, people.Part{Role: group.role, Yarn: s.Yarns[p.Yarn]})
			}
		}
	}
	return parts
}

// blocked refuses a piece that the person's rules stand against, unless there
// is a reason to set them aside.
func (r recipient) blocked(reason string) error {
	if !r.result.Blocks() || reason != "" {
		return nil
	}
	return stash.Refuse(stash.CodeAgainst, "`endsmeet plan` tells which; choose another yarn and ask them; to go on all the same say why: --override REASON",
		"what is in this piece must not reach the person it is for, by their own rules")
}

// override is the event that keeps the reason for setting rules aside.
func (r recipient) override(piece stash.PieceID, reason string) (stash.Draft, bool) {
	if !r.result.Blocks() || reason == "" {
		return stash.Draft{}, false
	}
	o := stash.Override{Person: r.person.ID, Reason: stash.Clean(reason)}
	for _, one := range r.result.Reasons {
		if one.Blocks() {
			o.Rules = append(o.Rules, one.Rule)
		}
	}
	return stash.Draft{Kind: stash.KindOverride, Of: stash.Subject(piece), Private: true, Body: o}, true
}

// printCautions prints what the rules say, gravest first, each in a line or
// more.
func printCautions(w io.Writer, r recipient) {
	if r.person.ID != "" {
		fmt.Fprintf(w, "\nfor %s: %s\n", stash.Clean(r.person.Name), r.result.Words())
	} else if len(r.cautions) > 0 {
		fmt.Fprintln(w)
	}
	for _, c := range r.cautions {
		text := c.Why
		if c.Rule == "weaver" && c.Of != "" {
			text = c.Of + ": " + text
		}
		if c.Rule != "caution" && c.Rule != "weaver" && c.Rule != "person" {
			text = fmt.Sprintf("%s (%s): %s", c.Answer, c.Rule, c.Why)
			if c.Of != "" {
				text = fmt.Sprintf("%s: %s", c.Of, text)
			}
		}
		fmt.Fprint(w, wrap(text, "  ", 78))
	}
}

// cautionsJSON is never null.
func (r recipient) cautionsJSON() []caution {
	if r.cautions == nil {
		return []caution{}
	}
	return r.cautions
}
