package together

import (
	"cmp"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
)

// Answer says how far two yarns go together.
type Answer string

// The answers, mildest first.
const (
	Fine   Answer = "fine"
	Sample Answer = "sample first"
	Effect Answer = "only as an effect"
	No     Answer = "no"
)

var ranks = []Answer{Fine, Sample, Effect, No}

// worse says whether a is a graver answer than b.
func (a Answer) worse(b Answer) bool { return slices.Index(ranks, a) > slices.Index(ranks, b) }

// Use is a yarn and the part that it is to play.
type Use struct {
	Yarn stash.Yarn
	// Role is warp or weft; empty is weft.
	Role stash.Role
	// Loss is how much it shrinks when washed, from its own finished pieces;
	// nil takes a handbook figure, where there is one.
	Loss *measure.Ratio
	// Every says that it is every so many-th end: 1 every end, 2 every second,
	// 0 not stated.
	Every int
	// Sett is the sett it is woven at, 0 not stated.
	Sett measure.Sett
}

func (u Use) warp() bool { return u.Role == stash.RoleWarp }

func (u Use) role() stash.Role { return cmp.Or(u.Role, stash.RoleWeft) }

// Setting is how the two lie in the cloth.
type Setting struct {
	// Stripe is the width of stripes of one beside the other, 0 for evenly
	// mixed ends. It is read for two yarns side by side only.
	Stripe measure.Length
	// Over is the woven length or width over which the pucker is computed, 0
	// for none.
	Over measure.Length
	// Units are those that figures are said in.
	Units measure.System
}

// Reason is what one check found.
type Reason struct {
	Check  string `json:"check"`
	Answer Answer `json:"answer"`
	Why    string `json:"why"`
	// Figure is the number behind it, empty where none exists.
	Figure string `json:"figure,omitempty"`
	// Source says where a figure or a threshold is from.
	Source string `json:"source,omitempty"`
}

// Agreement is the gravest answer, with all reasons, gravest first. Reasons that
// are fine say what to mind.
type Agreement struct {
	Answer  Answer   `json:"answer"`
	Reasons []Reason `json:"reasons"`
}

const practice = "common practice, no source"

// pair is two readings of the yarns in their parts.
type pair struct {
	a, b     Use
	ya, yb   stash.YarnFacts
	bothWarp bool
	// beside says that the two lie side by side: warp by warp, or weft by weft.
	beside bool
	in     Setting
}

var checks = []func(pair) []Reason{grist, strength, stretch, felting, shrinkage, washing, shedding,
	dye}

// Together holds two yarns against each other. Values in dispute are each
// read, and the gravest finding of each check counts.
func Together(a, b Use, in Setting) Agreement {
	v := Agreement{Answer: Fine, Reasons: []Reason{}}
	for _, ya := range people.Readings(a.Yarn) {
		for _, yb := range people.Readings(b.Yarn) {
			v.add(pair{a: a, b: b, ya: ya, yb: yb, bothWarp: a.warp() && b.warp(),
				beside: a.role() == b.role(), in: in})
		}
	}
	slices.SortStableFunc(v.Reasons, func(x, y Reason) int {
		return slices.Index(ranks, y.Answer) - slices.Index(ranks, x.Answer)
	})
	return v
}

func (v *Agreement) add(p pair) {
	for _, check := range checks {
		for _, r := range check(p) {
			if !slices.Contains(v.Reasons, r) {
				v.Reasons = append(v.Reasons, r)
			}
			if r.Answer.worse(v.Answer) {
				v.Answer = r.Answer
			}
		}
	}
}

// each runs a check of one yarn in its part on both.
func (p pair) each(check func(Use, stash.YarnFacts) []Reason) []Reason {
	return slices.Concat(check(p.a, p.ya), check(p.b, p.yb))
}

// name names a yarn in a reason.
func name(y stash.YarnFacts) string {
	if y.Name == "" {
		return "a yarn without a name"
	}
	return y.Name
}
