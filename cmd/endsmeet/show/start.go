package show

import (
	"io"
	"strings"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Started is the JSON shape of a piece put on the loom.
type Started struct {
	Piece    string        `json:"piece"`
	ID       stash.PieceID `json:"id"`
	State    string        `json:"state"`
	Packages []Given       `json:"items"`
	// Notes say which lot goes where.
	Notes    []string        `json:"notes"`
	Cautions []Caution       `json:"cautions"`
	Verdicts verdict.Verdict `json:"verdicts"`

	Plan *stash.Plan `json:"-"`
}

// PrintTaken says what the weft takes of which package, and which lot goes where.
func (s Started) PrintTaken(w io.Writer, units measure.System) {
	if _, weft := takenOf(s.Packages, units); weft != "" {
		Fact(w, "Weft", strings.TrimPrefix(weft, ", "))
	}
	for _, n := range s.Notes {
		Fact(w, "Note", n)
	}
}

// Warp says what the warp takes of which package.
func (s Started) Warp(units measure.System) string {
	warp, _ := takenOf(s.Packages, units)
	if warp == "" {
		return ""
	}
	return ": " + strings.TrimPrefix(warp, ", ")
}
