package stash

import (
	"strings"

	"endsmeet/stash/fibre"
)

// Superwash says whether the wool of a yarn is treated not to felt, as its fibre, its
// construction, its name or its note says, and none of them says that it is not or may
// not be. A yarn that is recorded as felting is none.
func (y YarnFacts) Superwash() bool {
	texts := []string{y.Name, y.Note, strings.Join(y.Construction, ", ")}
	for _, p := range y.Fibre {
		texts = append(texts, p.Note)
	}
	says := false
	for _, text := range texts {
		switch fibre.TreatmentOf(text) {
		case fibre.NotTreated:
			return false
		case fibre.Treated:
			says = true
		}
	}
	return says && y.Shrinks != ShrinksFelts
}

// Felts says whether a yarn may felt: as recorded, else by its fibres, of which the wool
// does not where the yarn is superwash. Felting happens in wool and hair only (wool
// shrinkage note, read). It is the one rule, whoever asks.
func (y YarnFacts) Felts() bool {
	if y.Shrinks != "" {
		return y.Shrinks == ShrinksFelts
	}
	return y.Fibre.Felts(y.Superwash())
}

// Care is the gentlest care that any of its fibres needs.
func (y YarnFacts) Care() fibre.Care { return y.Fibre.Care(y.Superwash()) }
