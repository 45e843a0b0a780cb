package stash

import (
	"encoding/json"

	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// Yarn is a product or a spinning: what many packages share.
type Yarn struct {
	ID YarnID `json:"id"`
	YarnFacts
	// Disputed holds the fields whose values disagree, all values in full.
	Disputed map[string][]json.RawMessage `json:"disputed,omitempty"`
	// Newer says that a newer version wrote what this one cannot show.
	Newer bool `json:"newer,omitempty"`
}

// YarnFacts are the facts of a yarn. Empty or nil means not recorded, which
// is never the same as none.
type YarnFacts struct {
	Name         string        `json:"name,omitempty"`
	Fibre        fibre.Content `json:"fibre,omitempty"`
	Count        *CountFact    `json:"count,omitempty"`
	Construction []string      `json:"construction,omitempty"`
	Twist        Twist         `json:"twist,omitempty"`
	Fit          WarpFit       `json:"fit,omitempty"`
	// Shedding is a grade from 0 (none seen) to 3 (sheds all over).
	Shedding *int     `json:"shedding,omitempty"`
	Stretch  Stretch  `json:"stretch,omitempty"`
	Shrinks  Shrinks  `json:"shrinks,omitempty"`
	Wash     *Wash    `json:"wash,omitempty"`
	Bleeds   Answered `json:"bleeds,omitempty"`
	Odour    string   `json:"odour,omitempty"`
	Hazards  []string `json:"hazards,omitempty"`
	// PutUp is the mass of one package as sold.
	PutUp  measure.Mass `json:"putup,omitempty"`
	Source string       `json:"source,omitempty"`
	Note   string       `json:"note,omitempty"`
	// Beside are the words that stand with its packages. They are read with the
	// yarn's own where rules are asked, and are facts of the packages.
	Beside []Beside `json:"-"`
}

// Beside is a text that stands with a yarn or a package, and where.
type Beside struct{ Where, Text string }

// Loose says that words there often speak of something else than what is in the yarn: a
// colour, a shop, a washing programme. They are a reason to ask, and never more.
func (b Beside) Loose() bool {
	switch b.Where {
	case BesideColour, BesideOdour, BesideSource, BesideWash, BesideAway:
		return true
	}
	return false
}

// Words are the texts that stand with a yarn and may speak of a fibre or a hazard, and
// where each stands.
func (y YarnFacts) Words() []Beside {
	words := []Beside{{BesideName, y.Name}, {BesideOwnNote, y.Note}, {BesideOdour, y.Odour},
		{BesideSource, y.Source}}
	if y.Wash != nil {
		words = append(words, Beside{BesideWash, y.Wash.Words})
	}
	return append(words, y.Beside...)
}

// FoldYarn folds a yarn from its fact events, in any order.
func FoldYarn(id YarnID, events []Event, env Env) Yarn {
	folded, newer := foldFacts(Subject(id), events, env)
	facts, unfit := fitFacts[YarnFacts](folded.Shown())
	return Yarn{ID: id, YarnFacts: facts, Disputed: folded.Disputed(), Newer: newer || unfit}
}

// Tex is the yarn's count, zero where none is recorded.
func (y YarnFacts) Tex() measure.Count {
	if y.Count == nil {
		return 0
	}
	return y.Count.Count
}

// Construction is a word for how a yarn is built. Those with loops or long ends are
// hazards of their own: they catch, or wrap round a finger.
type Construction struct {
	Word            string
	Loops, LongEnds bool
}

// ConstructionOf is the construction of a word, empty for one that is none.
func ConstructionOf(word string) Construction {
	for _, c := range Constructions {
		if c.Word == word {
			return c
		}
	}
	return Construction{}
}

// Constructions are the words for how a yarn is built.
var Constructions = []Construction{
	{Word: "plied"}, {Word: "singles"}, {Word: "cabled"}, {Word: "woollen"}, {Word: "worsted"},
	{Word: "boucle", Loops: true}, {Word: "loop", Loops: true}, {Word: "chenille"},
	{Word: "brushed"}, {Word: "slub"}, {Word: "core-spun"}, {Word: "covered"}, {Word: "tape"},
	{Word: "cord"}, {Word: "eyelash", LongEnds: true}, {Word: "metallised"}, {Word: "mercerised"},
	{Word: "paper"}, {Word: "strips"}, {Word: "handspun"}, {Word: "gradient"}, {Word: "tow"},
	{Word: "line"},
}

// Hazards are the flags that a weaver may set by hand, beyond what the
// fibres themselves imply.
var Hazards = []string{
	"latex", "possible latex", "lanolin", "metal", "dust", "loops", "long ends", "prickle",
	"perished", "oil",
}
