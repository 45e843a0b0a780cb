package stash

import (
	"time"

	jsonv2 "github.com/go-json-experiment/json"
)

// Passing is the body of an event that says that a finished piece, or some of a
// set woven on one warp, was given away or sold.
type Passing struct {
	At time.Time `json:"at,omitzero"`
	// Who has it now, as typed; Person instead, if recorded.
	Who    string   `json:"who,omitempty"`
	Person PersonID `json:"person,omitempty"`
	// Number is how many pieces of the set.
	Number int `json:"number"`
	// Price is what was paid for all of them; nil is given away.
	Price *Price `json:"price,omitempty"`
	Note  string `json:"note,omitempty"`
}

func (p *Piece) pass(e Event) {
	var x Passing
	if jsonv2.Unmarshal(e.Body, &x) != nil || x.Number < 1 {
		p.Newer = true
		return
	}
	x.At = e.At
	p.Passed = append(p.Passed, x)
}

// Woven is how many pieces are on the warp, at least one.
func (p Piece) Woven() int {
	if p.Plan == nil {
		return 1
	}
	return max(1, p.Plan.Spec.Pieces)
}

// InHand is how many of the pieces nobody was given yet; below zero where two
// machines handed on the same.
func (p Piece) InHand() int {
	n := p.Woven()
	for _, x := range p.Passed {
		n -= x.Number
	}
	return n
}

// Pass drafts handing on a finished piece, or some of a set. What is not finished
// or has gone already is refused.
func (p Piece) Pass(x Passing, at time.Time) (Draft, error) {
	switch {
	case p.Finish == nil:
		return Draft{}, Refuse(CodeRefused, "Finish it first: "+Command("finish", p.Name),
			"%s is not finished.", Clean(p.Name))
	case p.InHand() < 1:
		return Draft{}, Refuse(CodeRefused, Command("show", p.Name)+" says who has it.",
			"%s has gone already.", Clean(p.Name))
	case x.Number < 1:
		return Draft{}, Refuse(CodeInput, "", "At least one piece has to go.")
	case x.Number > p.InHand():
		return Draft{}, Refuse(CodeRefused, "", "Of %s only %d is left here.", Clean(p.Name),
			p.InHand())
	case at.Before(p.EndedAt):
		return Draft{}, Refuse(CodeRefused, "Give a later --on.",
			"%s was finished on %s, after that.", Clean(p.Name), p.EndedAt.Format(time.DateOnly))
	}
	x.At = time.Time{}
	return Draft{Kind: KindPass, Of: Subject(p.ID), At: at, Body: x}, nil
}
