package show

import (
	"fmt"
	"io"
	"slices"

	"endsmeet/planner/together"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Paired is the JSON shape of the answer about two yarns.
type Paired struct {
	A       PairedYarn      `json:"a"`
	B       PairedYarn      `json:"b"`
	Answer  together.Answer `json:"answer"`
	Reasons []PairedReason  `json:"reasons"`
	// Note is what to mind of their dye lots.
	Note string `json:"note,omitempty"`
	// Verdicts is the answer as every other command gives it.
	Verdicts verdict.Verdict `json:"verdicts"`
}

// PairedReason is what one check found; a figure or a source that there is
// none of is null.
type PairedReason struct {
	Check  string          `json:"check"`
	Answer together.Answer `json:"answer"`
	Why    string          `json:"why"`
	Figure *string         `json:"figure"`
	Source *string         `json:"source"`
}

// PairedYarn is a yarn of a pair, and its role.
type PairedYarn struct {
	ID   stash.YarnID `json:"id"`
	Yarn string       `json:"yarn"`
	Role stash.Role   `json:"role"`
	// Package is the one that was named, null where it was the yarn, with its tag, colour
	// and dye lot.
	Package *stash.PackageID `json:"item"`
	Tag     string           `json:"tag,omitempty"`
	Colour  string           `json:"colour,omitempty"`
	Lot     string           `json:"dye_lot,omitempty"`
	// LossPpm is how much it shrank in its own pieces, null without any.
	LossPpm *measure.Ratio `json:"loss_ppm"`
}

// words name a yarn of a pair, as far as it was named, and its role.
func (y PairedYarn) words() string {
	text := stash.Clean(YarnColour(y.Yarn, stash.Known(y.Colour)))
	if y.Package != nil {
		text = stash.Clean(y.Tag) + " " + text
	}
	if y.Lot != "" {
		text += ", lot " + stash.Clean(y.Lot)
	}
	return fmt.Sprintf("%s (%s)", text, y.Role)
}

// RoleWords are the roles as they are typed.
var RoleWords = map[string]stash.Role{
	"warp": stash.RoleWarp, "weft": stash.RoleWeft, "hemstitching": stash.RoleHemstitch,
	"trim": verdict.RoleTrim, "effect": verdict.RoleEffect,
}

// PrintPaired prints whether yarns agree in one cloth.
func PrintPaired(w io.Writer, p Paired) {
	fmt.Fprint(w, Wrap(p.A.words()+" with "+p.B.words(), "", RoomOf(w)))
	PrintWholeVerdict(w, p.Verdicts)
	if p.Note != "" {
		Fact(w, "Note", p.Note)
	}
	t := NewTable("check", "answer", "why")
	for _, r := range p.Reasons {
		t.AddWrapped(r.Check, string(r.Answer), pairedWords(r))
	}
	if len(t.Rows) > 0 {
		t.Print(w)
	}
	text := "What is not recorded of them was not looked at; a washed sample tells more."
	if slices.ContainsFunc(p.Reasons, func(r PairedReason) bool { return !r.sourced() }) {
		text += " Where no source is named: common practice, no source."
	}
	fmt.Fprint(w, Wrap(text, "", RoomOf(w)))
}

// noSource is the source of what weavers do and nobody has published.
const noSource = "common practice, no source"

// sourced says whether a reason has a source of its own to name.
func (r PairedReason) sourced() bool { return r.Source != nil && *r.Source != noSource }

// pairedWords says why, with the figure and where it is from.
func pairedWords(r PairedReason) string {
	text := r.Why
	if r.Figure != nil {
		text += "; " + *r.Figure
	}
	if r.sourced() {
		text += " [" + *r.Source + "]"
	}
	return text
}
