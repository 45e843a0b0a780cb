// Package unmarked says what to find out next of yarn whose label is gone: which
// measurement or test tells most, what common practice reads from it, and how it can
// hurt. A test narrows down; none makes sure. It is pure.
package unmarked

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// Group is what a test at home can tell apart, as the fibre that it leaves.
type Group = fibre.ID

// groups are the three, in the order in which they are told.
var groups = []Group{fibre.UnknownAnimal, fibre.UnknownCellulose, fibre.UnknownSynthetic}

// Sign is one thing that a test may show: how likely it is with each group, and what
// may be recorded then.
type Sign struct {
	Shows string
	// Odds are the chances of the sign with each of Groups (common practice, no
	// source: what teachers of weaving say it tells, and where it misleads).
	Odds [3]float64
	// Leaves is the group that is left, empty where the sign narrows nothing down.
	Leaves Group
	// Hazard is what it tells of the yarn's state, and Stretch how the yarn gives; empty
	// where it tells nothing of them.
	Hazard  string
	Stretch stash.Stretch
}

// Test is one way of finding out about the fibre.
type Test struct {
	Name, How string
	// Misleads says what it cannot tell.
	Misleads string
	// Cautions say how it can hurt, and what to do against that.
	Cautions []string
	Signs    []Sign
	// Source is where it is from.
	Source string
	// Last says that it hurts more than the others: it is named after them, however
	// much it tells.
	Last bool
	// Mark begins the word by which a note says that it was made.
	Mark string
}

// tests are the tests of fibre.
var tests = []Test{
	{
		Name: "water", How: "Wet a hand's length in hand-warm water with a drop of soap, rub it hard between the palms for two minutes, let it dry.",
		Misleads: "Superwash wool and silk do not felt; a blend may felt a little.",
		Cautions: []string{"Look first whether dye comes out: it stains hands and cloths."},
		Signs: []Sign{
			{Shows: "it felts: fuzzy, denser, sticks together", Odds: [3]float64{0.65, 0.02, 0.03}, Leaves: fibre.UnknownAnimal},
			{Shows: "it does not felt", Odds: [3]float64{0.35, 0.98, 0.97}},
		},
		Source: "common practice, no source",
	},
	{
		Name: "microscope", Mark: "microscop", How: "Ten fibres or more from an end in a drop of water or oil, 200 times or more: scales are wool or hair, a flat twisted ribbon is cotton, " +
			"a rod with cross marks is flax or hemp, a smooth rod is synthetic, or viscose or silk.",
		Misleads: "Silk and viscose look smooth as synthetics do; dark dye and finishes hide marks.",
		Signs: []Sign{
			{Shows: "scales", Odds: [3]float64{0.85, 0.01, 0.01}, Leaves: fibre.UnknownAnimal},
			{Shows: "a twisted ribbon or cross marks", Odds: [3]float64{0.01, 0.7, 0.01}, Leaves: fibre.UnknownCellulose},
			{Shows: "smooth rods", Odds: [3]float64{0.14, 0.29, 0.98}},
		},
		Source: "a conservation institute's notes on natural fibres; what the marks are: from memory",
	},
	{
		Name: "bleach", Mark: "bleach", How: "Photograph a finger's length, lay it in a glass dish with household chlorine bleach, outdoors, and look after five minutes and after a few hours.",
		Misleads: "It does not tell wool from alpaca or silk, nor cotton from acrylic; of a blend a part stays, which says roughly how much is not animal.",
		Cautions: []string{
			"Chlorine gas: never together with vinegar, descaler, ammonia or any other cleaner.",
			"Outdoors or at an open window, with gloves and eye protection, a lid on the dish; not with asthma. Follow the bottle.",
		},
		Signs: []Sign{
			{Shows: "it dissolves", Odds: [3]float64{0.93, 0.01, 0.01}, Leaves: fibre.UnknownAnimal},
			{Shows: "it stays", Odds: [3]float64{0.07, 0.99, 0.99}},
		},
		Source: "trade tables and weavers' own trials; ISO 1833-4 is the laboratory's form of it",
	},
	{
		Name: "burning", Mark: "burn", Last: true,
		How: "At most 4 cm, washed and dry first, in metal tweezers over a metal tray or sink: bring it slowly to a small flame, into it, and out again. " +
			"Look how it catches and goes out and at the residue when it is cold.",
		Misleads: "It does not tell which animal or plant, nor most blends; finishes, size and dye confuse it. Descriptions differ from each other for viscose, polyester and acrylic.",
		Cautions: []string{
			"Only where open fire is allowed: away from everything that burns, hair tied back, no loose sleeves, water next to you, never alone with children.",
			"Tweezers, not fingers: molten drips stick to the skin and burn deep. Good air; do not breathe the smoke in, which is toxic from some fibres (acrylic gives hydrogen cyanide, others hydrogen chloride: from memory).",
			"Never yarn that is coated, waxed, metallised, rubbered or treated with something unknown.",
		},
		Signs: []Sign{
			{Shows: "curls away, goes out by itself, smells of burnt hair, leaves crumbly ash", Odds: [3]float64{0.9, 0.01, 0.02}, Leaves: fibre.UnknownAnimal},
			{Shows: "catches at once, burns on, smells of paper, leaves soft ash", Odds: [3]float64{0.02, 0.9, 0.05}, Leaves: fibre.UnknownCellulose},
			{Shows: "shrinks away, melts, leaves a hard bead", Odds: [3]float64{0.03, 0.02, 0.85}, Leaves: fibre.UnknownSynthetic},
			{Shows: "something of several", Odds: [3]float64{0.05, 0.07, 0.08}},
		},
		Source: "guilds' and museums' notes on burning tests, which agree on no more than plant, animal, melting",
	},
}

// Ranked is a test with what it is expected to tell.
type Ranked struct {
	Test
	// Tells is the part of what is not known, in bits of the three groups, that it
	// is expected to settle.
	Tells float64
}

// Rank puts the tests in the order of what they tell of a yarn, those that hurt most
// last, and leaves out what tells nothing, what must not be done with this yarn and what
// was done.
func Rank(y stash.YarnFacts, shelf []stash.Yarn) []Ranked {
	prior := belief(shelf)
	var out []Ranked
	if elastic(y) {
		out = append(out, Ranked{Test: stretchTest()})
	}
	if !open(y.Fibre) {
		return out
	}
	for _, t := range tests {
		if t.Last && coated(y) || t.made(y) {
			continue
		}
		if tells := expected(prior, t); tells > 0.02 {
			out = append(out, Ranked{t, tells})
		}
	}
	slices.SortStableFunc(out, func(a, b Ranked) int {
		if a.Last != b.Last {
			if a.Last {
				return 1
			}
			return -1
		}
		return cmp.Compare(b.Tells, a.Tells)
	})
	return out
}

// made says whether the test was made of a yarn, by what is noted of its fibre.
func (t Test) made(y stash.YarnFacts) bool {
	return t.Mark != "" && slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
		return strings.Contains(strings.ToLower(p.Note), t.Mark)
	})
}

// coated says that a yarn is, or may be, of what must not be burnt.
func coated(y stash.YarnFacts) bool {
	return slices.ContainsFunc(y.Hazards, func(h string) bool { return h != "dust" }) ||
		slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
			class := p.Fibre.Info().Class
			return class == fibre.Mineral || class == fibre.Rubber ||
				p.Fibre == fibre.UnknownElastic
		})
}

// belief is how likely each group is before a test: as often as it is on the shelf, and
// once more each so that none is ruled out.
func belief(shelf []stash.Yarn) [3]float64 {
	var b [3]float64
	sum := 0.0
	for i := range b {
		b[i] = 1
	}
	for _, other := range shelf {
		if i := groupOf(other.Fibre); i >= 0 {
			b[i]++
		}
	}
	for _, v := range b {
		sum += v
	}
	for i := range b {
		b[i] /= sum
	}
	return b
}

// groupOf is the group of a content that is all of one, -1 where it is not.
func groupOf(c fibre.Content) int {
	group := -1
	for _, p := range c {
		one := -1
		switch class := p.Fibre.Info().Class; {
		case class.Protein():
			one = 0
		case class == fibre.Cellulose, class == fibre.Bast, class == fibre.Regenerated:
			one = 1
		case class == fibre.Synthetic:
			one = 2
		}
		if one < 0 || group >= 0 && one != group {
			return -1
		}
		group = one
	}
	return group
}

// expected is the mutual information of a test's sign and the group, in bits.
func expected(prior [3]float64, t Test) float64 {
	bits := entropy(prior)
	for _, s := range t.Signs {
		var joint [3]float64
		all := 0.0
		for i := range prior {
			joint[i] = prior[i] * s.Odds[i]
			all += joint[i]
		}
		if all == 0 {
			continue
		}
		for i := range joint {
			joint[i] /= all
		}
		bits -= all * entropy(joint)
	}
	return max(0, bits)
}

func entropy(p [3]float64) float64 {
	h := 0.0
	for _, v := range p {
		if v > 0 {
			h -= v * math.Log2(v)
		}
	}
	return h
}
