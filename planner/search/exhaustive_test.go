package search

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// fewLots draws a shelf of a few lots, of one to three packages each, that hold about what
// a runner takes.
func fewLots(r *rand.Rand) (making.Shelf, [][]stash.PackageID) {
	s := randomShelf(r, 2+r.IntN(3), 0)
	for id, y := range s.Yarns {
		y.Fit = stash.FitWarp
		s.Yarns[id] = y
	}
	var lots [][]stash.PackageID
	for at := range 2 + r.IntN(4) {
		var lot []stash.PackageID
		one := randomPackage(r, at, len(s.Yarns))
		one.LentTo, one.Known, one.Lot = "", true, fmt.Sprint("lot ", at)
		for n := range 1 + r.IntN(3) {
			p := one
			p.ID, p.Tag = stash.PackageID(fmt.Sprint("pack ", at, n)), fmt.Sprint("P", at, n)
			p.Held = measure.Mass(20+r.IntN(110)) * measure.Gram
			s.Packages, lot = append(s.Packages, p), append(lot, p.ID)
		}
		lots = append(lots, lot)
	}
	return s, lots
}

// withSamples weaves a few samples of two of the lots, at a sett that no handbook gives, which
// take up and shrink as none would say either.
func withSamples(r *rand.Rand, s making.Shelf, lots [][]stash.PackageID, k kinds.Kind) making.Shelf {
	for n := range r.IntN(4) {
		b := k.Facts
		b.Width, b.Length, b.Fringe, b.Hem = 100, 150, 0, 0
		b.Warp, b.Weft = refs(lots[r.IntN(len(lots))]), refs(lots[r.IntN(len(lots))])
		filled, err := s.Filled(b)
		if err != nil {
			continue
		}
		b.Sett = filled.Sett * measure.Sett(80+r.IntN(30)) / 100
		o, err := making.Plan(s, b)
		if err != nil || !o.Fits() {
			continue
		}
		plan := o.Record()
		off := float64(plan.Tape) * (0.88 + 0.1*r.Float64())
		m := stash.Measures{Tape: plan.Tape, OffLoom: measure.Length(off), Wound: plan.WarpEnd,
			Length:   measure.Length(off * (0.8 + 0.2*r.Float64())),
			OffWidth: plan.ReedWidth * 92 / 100, Width: plan.ReedWidth * 85 / 100,
			Picks: plan.Picks * (95 + r.IntN(12)) / 100}
		s.Pieces = append(s.Pieces, stash.Piece{ID: stash.PieceID(fmt.Sprint("sample ", n)),
			Name: fmt.Sprint("sample ", n), State: stash.Finished, Plan: plan,
			Finish: &stash.Finish{Measures: m}})
	}
	return s
}

// bestPlan is the largest scale at which a plan of a kind from packages for warp and weft,
// of which nothing else is said, is sure and passes the gate; 0 for none. Steps of eight
// thousandths are tried from the top, then single ones.
func bestPlan(s making.Shelf, j *judge, b stash.ProjectFacts) int {
	ok := func(scale int) bool {
		at := j.sizeAt(scale)
		b.Width, b.Length = at.width, at.length
		o, err := making.Plan(s.Terse(), b)
		return err == nil && sure(o) && !verdict.OfPlan(s, o, verdict.Whom{}).Grade.Blocks()
	}
	for lo, hi := j.least-1, 1001; ; {
		mid := (lo + hi) / 2
		if hi > 1000 {
			mid = 1000
		}
		if ok(mid) {
			lo = mid
		} else {
			hi = mid
		}
		if hi-lo <= 1 && lo < j.least {
			return 0
		} else if hi-lo <= 1 || lo == 1000 {
			return lo
		}
	}
}

// nearlyTheSame is by how many thousandths of a side the size of an answer may be below the
// best: sizes are whole millimetres, and ends go by bunches. What is looked for is reckoned
// with every package at its low length, so that what is hardly above the least size that
// would do may not be found: nearlyTheLeast.
const (
	nearlyTheSame  = 3
	nearlyTheLeast = 20
)

// TestEveryAnswerIsTheBestThatPlansOfEveryAssignmentFind plans every lot of small shelves as
// warp with every lot as weft, at every size, of some of which samples were woven: each that
// is sure is an answer of the search, as large as the largest plan of it, and has the
// probability of that plan; nothing else is an answer.
func TestEveryAnswerIsTheBestThatPlansOfEveryAssignmentFind(t *testing.T) {
	seeds := 25
	if os.Getenv("ENDSMEET_LONG") == "1" {
		seeds = 400
	}
	usual := slices.DeleteFunc(kinds.Usual(), func(k kinds.Kind) bool { return k.Rag })
	var seen assignments
	for seed := range seeds {
		r := rand.New(rand.NewPCG(uint64(seed), 11))
		s, lots := fewLots(r)
		q := Query{Kind: usual[r.IntN(len(usual))], Top: 100, Weights: usualWeights}
		if s = withSamples(r, s, lots, q.Kind); len(s.Pieces) > 0 {
			seen.sampled++
		}
		got, err := Find(context.Background(), s, q)
		if err != nil {
			t.Fatal(err)
		}
		_, f := NewStock(s, q).prepare(q)
		lots = slices.DeleteFunc(lots, func(lot []stash.PackageID) bool {
			return slices.ContainsFunc(got.LeftOut,
				func(l making.LeftOut) bool { return l.ID == lot[0] })
		})
		for n := range len(lots) * len(lots) {
			b := q.Kind.Facts
			b.Warp, b.Weft = refs(lots[n%len(lots)]), refs(lots[n/len(lots)])
			if what := seen.compare(s, f.judge, b, got.Answers); what != "" {
				t.Errorf("seed %d, %s, %v + %v: %s", seed, q.Kind.Name, b.Warp, b.Weft, what)
			}
		}
	}
	if seen.smaller < seeds || seen.answers < 5*seeds || seen.none == 0 ||
		seen.sampled < seeds/3 {
		t.Errorf("too few are compared: %+v", seen)
	}
}

// assignments counts those with an answer, with one smaller than wanted, and without one,
// and the shelves of which samples were woven.
type assignments struct{ answers, smaller, none, sampled int }

// compare holds the answer for a project that names its lots against plans of it.
func (seen *assignments) compare(s making.Shelf, j *judge, b stash.ProjectFacts,
	answers []Answer) string {
	best := bestPlan(s, j, b)
	at := slices.IndexFunc(answers, func(a Answer) bool {
		return a.Warp[0] == b.Warp[0].Package && a.Weft[0] == b.Weft[0].Package
	})
	if at < 0 {
		if seen.none++; best > j.least+nearlyTheLeast {
			return fmt.Sprintf("sure at %d thousandths, and no answer", best)
		}
		return ""
	}
	a := answers[at]
	if seen.answers++; best < 1000 {
		seen.smaller++
	}
	b.Width, b.Length = a.Project.Width, a.Project.Length
	if scale := j.scaleFrom(size{b.Width, b.Length}); scale < best-nearlyTheSame {
		return fmt.Sprintf("the answer has %d thousandths, a plan %d", scale, best)
	}
	o, err := making.Plan(s, b)
	if off := math.Abs(o.Probability - a.Outcome.Probability); err != nil || !sure(o) ||
		off > o.Bound+a.Outcome.Bound {
		return fmt.Sprintf("the answer says %.4f, its plan %.4f (%s), %v", a.Outcome.Probability,
			o.Probability, o.Verdict, err)
	}
	return ""
}
