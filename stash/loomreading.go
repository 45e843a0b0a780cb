package stash

import (
	"slices"
	"time"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash/measure"
)

// LoomReading is the body of an event that says something of a piece while it is on
// the loom, or whether it is to be learned from once it is off. Zero is not read.
type LoomReading struct {
	At time.Time `json:"at,omitzero"`
	// Tape is the length woven so far under tension, Relaxed the same with the tension off.
	Tape    measure.Length `json:"tape_mm,omitempty"`
	Relaxed measure.Length `json:"relaxed_mm,omitempty"`
	// Left is the warp not yet woven, front and back, under tension.
	Left measure.Length `json:"left_mm,omitempty"`
	// Picks were counted over Over of the taut web.
	Picks int            `json:"picks,omitempty"`
	Over  measure.Length `json:"picks_over_mm,omitempty"`
	// WeftLeft is the weft not yet woven, on shuttle, bobbins and balls, without their empties.
	WeftLeft measure.Mass `json:"weft_left_mg,omitempty"`
	// Broken is how many warp ends broke and were mended.
	Broken int `json:"broken,omitempty"`
	// Learn says whether the finished piece is to be learned from.
	Learn *bool  `json:"learn,omitempty"`
	Note  string `json:"note,omitempty"`
}

// LastTape is what the tape read last; zero before any reading.
func (p Piece) LastTape() measure.Length {
	for _, x := range slices.Backward(p.Readings) {
		if x.Tape > 0 {
			return x.Tape
		}
	}
	return 0
}

func (p *Piece) read(e Event) {
	var r LoomReading
	if jsonv2.Unmarshal(e.Body, &r) != nil {
		p.Newer = true
		return
	}
	if r.Learn != nil {
		p.Learn = r.Learn
		return
	}
	r.At = e.At
	p.Readings = append(p.Readings, r)
}
