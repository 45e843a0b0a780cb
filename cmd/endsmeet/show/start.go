package show

import (
	"endsmeet/planner/verdict"
	"endsmeet/stash"
)

// Started is the JSON shape of a piece put on the loom.
type Started struct {
	Piece    string          `json:"piece"`
	ID       stash.PieceID   `json:"id"`
	State    string          `json:"state"`
	Packages []Given         `json:"items"`
	Cautions []Caution       `json:"cautions"`
	Verdicts verdict.Verdict `json:"verdicts"`

	Plan *stash.Plan `json:"-"`
}
