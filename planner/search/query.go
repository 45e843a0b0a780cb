package search

import (
	"cmp"
	"slices"

	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Weights say how much each part of the score counts; only their proportions
// matter.
type Weights struct{ Size, Use, Rest, Lots int }

// Query is what is looked for.
type Query struct {
	Kind   kinds.Kind
	Person *stash.Person
	// Colours is the greatest number of colours in the warp; 0 means 1.
	Colours int
	// From limits the search to some packages, nil does not.
	From func(stash.Package) bool
	// Using asks for choices in which such a lot takes part, nil does not.
	Using func(stash.DyeLot) bool
	// Aside lets pairs through that the gate refuses, and what a person's rules
	// keep out: a reason was given for it.
	Aside bool
	// Top is how many answers are wanted; 0 means 10.
	Top     int
	Weights Weights
	// Near is how much better, in thousandths of a score, a choice must be to be looked
	// for once there are as many as wanted; 0 finds the best.
	Near int
	// Rest is the length below which a rest is of no use.
	Rest measure.Length
}

// useless says that what would remain of a lot is too short for anything.
func (q Query) useless(left measure.Length) bool { return left > 0 && left < q.Rest }

// Parts are the parts of a score, each from 0 to 1.
type Parts struct {
	Size float64 `json:"size"`
	Use  float64 `json:"use"`
	Rest float64 `json:"leftover"`
	Lots float64 `json:"lots"`
}

// Rest is what would remain of a lot.
type Rest struct {
	Packages []stash.PackageID `json:"items"`
	Mass     measure.Mass      `json:"net_mg"`
	// Length is null where the yarn has no count.
	Length *measure.Length `json:"length_mm"`
	// Useless says that it is too short for anything.
	Useless bool `json:"useless"`
}

// Size is a finished size.
type Size struct {
	Width  measure.Length `json:"width_mm"`
	Length measure.Length `json:"length_mm"`
}

// Answer is one choice.
type Answer struct {
	Kind kinds.Kind `json:"-"`
	// Warp and Weft are the packages of the lots chosen, by label.
	Warp []stash.PackageID `json:"warp"`
	Weft []stash.PackageID `json:"weft"`
	// Project is what was planned, with its size and packages; what the plan filled in
	// stands in Outcome.
	Project stash.ProjectFacts `json:"-"`
	// AsNamed says that it is the project's own plan, of all the yarn that it names.
	AsNamed bool `json:"-"`
	// Scale is the size as a share of the one wanted, in thousandths.
	Scale int `json:"size_permille"`
	// Grade is what the gate says of its plan.
	Grade verdict.Grade `json:"-"`
	// Score is from 0 to 1000.
	Score int   `json:"points"`
	Parts Parts `json:"points_of"`
	// Short is what the next greater size would lack, empty at the wanted size.
	Short string `json:"-"`
	// Larger is a size of another shape that the kind allows, out of the same yarn,
	// at least a twentieth larger; nil where there is none.
	Larger *Size `json:"larger"`
	// Outcome is the plan for exactly this project.
	Outcome making.Outcome `json:"-"`
	Rests   []Rest         `json:"leftovers"`
	// Shelf holds the packages of the answer alone.
	Shelf making.Shelf `json:"-"`
}

// Compare puts the milder grade first, then the greater score.
func (a Answer) Compare(b Answer) int {
	return cmp.Or(a.Grade.Compare(b.Grade), cmp.Compare(b.Score, a.Score))
}

// RunsOut are the packages of the yarn of which a larger piece would lack some, none where
// something else keeps it from being larger, or it is as large as wanted.
func (a Answer) RunsOut() []stash.PackageID {
	switch a.Short {
	case string(stash.RoleWarp):
		return a.Warp
	case string(stash.RoleWeft):
		return a.Weft
	case "yarn":
		return slices.Concat(a.Warp, slices.DeleteFunc(slices.Clone(a.Weft),
			func(id stash.PackageID) bool { return slices.Contains(a.Warp, id) }))
	}
	return slices.DeleteFunc(slices.Clone(a.Warp), func(id stash.PackageID) bool {
		p, _ := a.Shelf.Find(id)
		return a.Shelf.StripeOf(p, a.Project) != a.Short
	})
}

// Result is what a search found.
type Result struct {
	Kind    kinds.Kind
	Answers []Answer
	// LeftOut are the packages that could not be chosen from, and why.
	LeftOut []making.LeftOut
	// Looked is how many choices were reckoned through; the others could not be
	// among the answers.
	Looked int
}

func (q Query) top() int {
	if q.Top <= 0 {
		return 10
	}
	return q.Top
}

func (q Query) colours() int { return max(1, q.Colours) }
