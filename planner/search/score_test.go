package search

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"endsmeet/planner"
	"endsmeet/planner/kinds"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// drawnChoices visits choices of one warp lot and one weft lot out of random shelves, of
// scarves with ends of several strands, wound single and in loops.
func drawnChoices(t *testing.T, visit func(k kinds.Kind, j *judge, c choice)) {
	t.Helper()
	tried := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 31))
		k := usualKind("scarf")
		k.Facts.EndStrands, k.Facts.Loops = 1+int(seed%3), seed%2 == 0
		g, f := NewStock(randomShelf(r, 4, 16), Query{Kind: k, Weights: usualWeights,
			Rest: 25_000}).prepare(Query{Kind: k, Weights: usualWeights, Rest: 25_000})
		for _, warp := range g.all() {
			for _, weft := range g.all() {
				if warp.asWarp && weft.asWeft {
					tried++
					visit(k, f.judge, choice{[]*lot{warp}, weft})
				}
			}
		}
	}
	if tried < 100 {
		t.Fatalf("only %d choices", tried)
	}
}

// TestPartsOfTheScoreAreReckonedByHand winds and weaves a choice by its own sums.
func TestPartsOfTheScoreAreReckonedByHand(t *testing.T) {
	fits, useless := 0, 0
	drawnChoices(t, func(k kinds.Kind, j *judge, c choice) {
		at := j.sizeAt(j.least)
		got := j.try(c, at)
		if !got.ok {
			return
		}
		fits++
		per := 1
		if k.Facts.Loops {
			per = 2
		}
		windings := math.Ceil(float64(got.ends[0]*k.Facts.EndStrands) / float64(per))
		took := map[*lot]float64{c.warp[0]: windings * float64(per) * float64(got.end)}
		took[c.weft] += float64(got.weft)
		var used, mass, rests float64
		for l, mm := range took {
			used, mass = used+mm*l.tex, mass+float64(l.length)*l.tex
			if left := float64(l.length) - mm; left > 0 && left < 25_000 {
				rests += left * l.tex
				useless++
			}
		}
		p := j.parts(c, at, got)
		if math.Abs(p.Use-min(1, used/mass)) > 1e-9 || math.Abs(p.Rest-(1-min(1, rests/mass))) > 1e-9 ||
			p.Lots != 1/float64(len(took)) {
			t.Errorf("%+v: used %.4f, rests %.4f, %d lots", p, used/mass, rests/mass, len(took))
		}
	})
	if fits < 50 || useless < 3 {
		t.Fatalf("%d fit, %d useless rests", fits, useless)
	}
}

// TestALotGivesWholeWindings counts them package by package.
func TestALotGivesWholeWindings(t *testing.T) {
	drawnChoices(t, func(k kinds.Kind, j *judge, c choice) {
		per, end := 1, measure.Length(2345)
		if k.Facts.Loops {
			per = 2
		}
		windings := 0
		for _, p := range c.warp[0].packs {
			windings += p.strands().Windings(p.low, end*measure.Length(per))
		}
		if got := j.capacity(c.warp[0], end); got != windings*per/k.Facts.EndStrands {
			t.Errorf("%d ends of %d strands out of %d windings of %d", got, k.Facts.EndStrands,
				windings, per)
		}
	})
}

// TestTheLowLengthIsThereInThirtyNineOfForty holds it against the normal distribution.
func TestTheLowLengthIsThereInThirtyNineOfForty(t *testing.T) {
	want, tried := distuv.UnitNormal.Quantile(0.975), 0
	shelf := randomShelf(rand.New(rand.NewPCG(1, 31)), 4, 30)
	for _, p := range shelf.Packages {
		length, spread, known := shelf.Span(p, stash.ProjectFacts{})
		low := Low(shelf, p, stash.ProjectFacts{})
		if !known || low == 0 || spread < 100 {
			continue
		}
		tried++
		if got := float64(length-low) / float64(spread); math.Abs(got-want) > 0.02 {
			t.Errorf("%s: %.3f standard uncertainties below", p.Tag, got)
		}
	}
	if tried < 10 {
		t.Fatalf("%d packages", tried)
	}
}

func TestAColourHasHalfAnEvenShareAtLeast(t *testing.T) {
	for _, c := range []struct{ ends, colours, least int }{{100, 2, 25}, {240, 3, 40}, {3, 4, 1}} {
		if got := leastShare(c.ends, c.colours); got != c.least {
			t.Errorf("%d ends in %d colours: %d at least, not %d", c.ends, c.colours, got, c.least)
		}
	}
}

// TestEdgesInAYarnOfTheirOwnTakeNoWeft holds hemstitched edges in another yarn against none.
func TestEdgesInAYarnOfTheirOwnTakeNoWeft(t *testing.T) {
	stitched, more := 0, 0
	drawnChoices(t, func(k kinds.Kind, j *judge, c choice) {
		with := func(edges int, yarn []stash.Ref) trial {
			k := k
			k.Facts.HemstitchedEdges, k.Facts.HemstitchYarn = edges, yarn
			q := j.query
			q.Kind = k
			base := j.base
			base.Edges.Finished[planner.HemStitching] = edges
			return newJudge(q, base, j.join).try(c, j.sizeAt(j.least))
		}
		none, own := with(0, nil), with(2, []stash.Ref{{Yarn: "edges"}})
		if none.weft == 0 {
			return
		}
		stitched++
		if own.weft != none.weft {
			t.Errorf("%v of weft with edges in another yarn, %v without", own.weft, none.weft)
		}
		if with(2, nil).weft > none.weft {
			more++
		}
	})
	if stitched < 50 || more != stitched {
		t.Fatalf("%d with edges, %d take weft for them", stitched, more)
	}
}

// TestAShapeIsNearlyTheLargestOfAnyWidth tries every width to the millimetre.
func TestAShapeIsNearlyTheLargestOfAnyWidth(t *testing.T) {
	told := 0
	drawnChoices(t, func(k kinds.Kind, j *judge, c choice) {
		at, _, ok := j.shaped(c, size{1, 1})
		if !ok || told == 40 {
			return
		}
		told++
		best := 0.0
		for w := max(1, k.Facts.LeastWidth); w <= max(k.Facts.Width, k.Facts.MostWidth); w += 4 {
			most := min(max(k.Facts.Length, k.Facts.MostLength),
				measure.Length(float64(k.Facts.Width)*float64(k.Facts.Length)/float64(w)))
			lo, hi := max(1, k.Facts.LeastLength)-1, most+1
			for hi-lo > 1 {
				if mid := (lo + hi) / 2; j.try(c, size{w, mid}).ok {
					lo = mid
				} else {
					hi = mid
				}
			}
			if lo >= k.Facts.LeastLength {
				best = max(best, j.area(size{w, lo}))
			}
		}
		if j.area(at) < 0.97*best {
			t.Errorf("%v has %.3f of the area wanted, some width %.3f", at, j.area(at), best)
		}
	})
	if told < 10 {
		t.Fatalf("%d shapes", told)
	}
}
