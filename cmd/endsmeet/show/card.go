package show

import (
	"endsmeet/planner/care"
	"endsmeet/planner/label"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Carded is the JSON shape of a card.
type Carded struct {
	ID          stash.PieceID     `json:"id"`
	Piece       string            `json:"piece"`
	Pieces      int               `json:"pieces"`
	Maker       *string           `json:"maker"`
	Date        string            `json:"date"`
	Width       *measure.Length   `json:"width_mm"`
	Length      *measure.Length   `json:"length_mm"`
	Fringe      measure.Length    `json:"fringe_mm"`
	Fibre       string            `json:"fibre"`
	Basis       string            `json:"basis"`
	Composition label.Composition `json:"composition"`
	Washing     string            `json:"washing"`
	Lots        []CardedLot       `json:"dye_lots"`
	Cost        *CardedCost       `json:"cost"`
	Cautions    []string          `json:"cautions"`
	Overrides   []string          `json:"overrides"`
	Law         string            `json:"law"`
	Finishing   care.Advice       `json:"finishing"`
	Files       []string          `json:"files"`
	// Verdicts is what speaks of the cloth; what speaks of a person is told apart.
	Verdicts verdict.Verdict `json:"verdicts"`

	Card label.Card `json:"-"`
}

// CardedLot is a dye lot on a card, and what it is a lot of.
type CardedLot struct {
	Yarn string  `json:"yarn"`
	Lot  *string `json:"dye_lot"`
}

// CardedCost is in thousandths of the currency; without a price for all of the
// yarn it is the least. It is null unless it was asked for.
type CardedCost struct {
	Milli    int64   `json:"milli"`
	Currency *string `json:"currency"`
	Unpriced int     `json:"unpriced"`
}

// CardFinishing is the JSON shape of --washing-only.
type CardFinishing struct {
	Name string `json:"name"`
	care.Advice
}
