package search

import (
	"context"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// anyYarn draws a yarn that a warp can be made of, of any nature.
func anyYarn(t *rapid.T, name string) stash.Yarn {
	draw := func(label string, from []string) string {
		return rapid.SampledFrom(from).Draw(t,
			name+" "+label)
	}
	y := stash.Yarn{ID: stash.YarnID(name)}
	y.Name, y.Fit = name, stash.FitWarp
	y.Fibre, _ = fibre.ParseContent(draw("fibre", append(contents, "wool (merino superwash) 100",
		"paper 100", "cotton 92, elastane 8", "viscose 100")))
	y.Shrinks = stash.Shrinks(draw("shrinks", []string{"", "", string(stash.ShrinksFelts),
		string(stash.ShrinksMuch), string(stash.ShrinksHardly)}))
	y.Stretch = stash.Stretch(draw("stretch", []string{"", "", string(stash.StretchElastic),
		string(stash.StretchNone)}))
	if draw("oil", []string{"", "", "oil"}) != "" {
		y.Hazards = []string{"oil"}
	}
	y.Bleeds = stash.Answered(draw("bleeds", []string{"", string(stash.Yes), string(stash.No)}))
	y.Count = &stash.CountFact{Count: measure.Count(rapid.IntRange(60, 600).Draw(t,
		name+" tex")) * measure.Tex, Source: measure.Label}
	return y
}

func TestWhatTheSearchPairsIsWhatTheGateAgreesTo(t *testing.T) {
	refused, agreed := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s := making.Shelf{Settings: stash.DefaultSettings(), Yarns: map[stash.YarnID]stash.Yarn{},
			Claims: map[stash.PackageID]measure.Mass{},
			Now:    time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)}
		for _, name := range []string{"one", "other"} {
			y := anyYarn(t, name)
			p := stash.Package{ID: stash.PackageID(name)}
			p.Yarn, p.Tag, p.Known, p.Held, p.Step = y.ID, name, true, 3000*measure.Gram,
				measure.Gram
			s.Yarns[y.ID], s.Packages = y, append(s.Packages, p)
		}
		var b stash.Project
		b.ID, b.Name, b.Width, b.Length, b.Structure, b.Fringe = "project", "strip", 200, 600,
			"plain", 50
		b.Sett, b.Picks = 4*measure.PerCentimetre, 4*measure.PerCentimetre
		b.Warp, b.Weft = []stash.Ref{{Package: "one"}}, []stash.Ref{{Package: "other"}}
		k, _ := kinds.OfProject(b)
		found, err := NewStock(s, Query{}).Choices(context.Background(), Query{Kind: k, Weights: usualWeights}, 100)
		if err != nil {
			t.Fatal(err)
		}
		o, err := making.Plan(s, b.ProjectFacts)
		if err != nil {
			t.Fatal(err)
		}
		a, asked := verdict.OfPlan(s, o, verdict.Whom{}).Of(verdict.Agree)
		if !asked || a.Grade.Blocks() != (len(found.Choices) == 0) {
			t.Fatalf("the gate says %q, the search has %d choices (%s)", a.Words,
				len(found.Choices), found.Refused)
		}
		if a.Grade.Blocks() {
			refused++
		} else {
			agreed++
		}
	})
	if refused == 0 || agreed == 0 {
		t.Errorf("%d refused, %d agreed: nothing was compared", refused, agreed)
	}
}

// TestWhatIsOfferedIsPlannedAlike searches random shelves of yarns of any nature for usual
// pieces, and plans each answer from the whole shelf: the gate answers alike, each reason, and
// nothing is offered that it calls unfit for its part.
func TestWhatIsOfferedIsPlannedAlike(t *testing.T) {
	offered, stretchy, taught := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s := making.Shelf{Settings: stash.DefaultSettings(), Yarns: map[stash.YarnID]stash.Yarn{},
			Claims: map[stash.PackageID]measure.Mass{}, Now: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)}
		for _, name := range []string{"one", "two", "three"} {
			y := anyYarn(t, name)
			if y.Stretchy() {
				stretchy++
			}
			p := stash.Package{ID: stash.PackageID(name)}
			p.Yarn, p.Tag, p.Known, p.Held, p.Step = y.ID, name, true, 900*measure.Gram, measure.Gram
			s.Yarns[y.ID], s.Packages = y, append(s.Packages, p)
		}
		name := rapid.SampledFrom([]string{"band", "belt", "scarf", "towel"}).Draw(t, "kind")
		k, _ := kinds.Named(kinds.Usual(), name)
		if rapid.Bool().Draw(t, "a piece was made") {
			r := rand.New(rand.NewPCG(uint64(rapid.IntRange(0, 99).Draw(t, "piece")), 0))
			s = withSamples(r, s, [][]stash.PackageID{{"one"}}, k)
		}
		taught += len(s.Pieces)
		found, err := readAsWanted(s).Find(context.Background(), Query{Kind: k, Weights: usualWeights, Top: 3})
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range found.Answers {
			offered++
			has := verdict.OfPlan(a.Shelf, a.Outcome, verdict.Whom{})
			o, err := making.Plan(s, a.Project)
			if err != nil {
				t.Fatal(err)
			}
			if !reflect.DeepEqual(a.Outcome.Needs, o.Needs) || a.Outcome.Probability != o.Probability {
				t.Errorf("%s of %v and %v, %d pieces made: offered with %+v, %v, planned with %+v, %v", name,
					a.Warp, a.Weft, len(s.Pieces), a.Outcome.Needs, a.Outcome.Probability, o.Needs, o.Probability)
			}
			if had := verdict.OfPlan(s, o, verdict.Whom{}); !reflect.DeepEqual(withoutDo(had), withoutDo(has)) {
				t.Errorf("%s of %v and %v: offered as\n%+v\nplanned as\n%+v", name, a.Warp, a.Weft, has, had)
			}
			if c, _ := has.Of(verdict.Condition); slices.ContainsFunc(c.Reasons,
				func(r verdict.Reason) bool { return r.Check == "use" }) {
				t.Errorf("%s of %v and %v is offered, and %s", name, a.Warp, a.Weft, c.Words)
			}
		}
	})
	if offered == 0 || stretchy == 0 || taught == 0 {
		t.Errorf("%d offered, %d yarns that stretch, %d pieces made", offered, stretchy, taught)
	}
}

// readAsWanted is a stock of a shelf that holds no packages at first but those that its pieces
// were made of, as a large stash is read.
func readAsWanted(s making.Shelf) *Stock {
	few, all := s, map[stash.PackageID]stash.Package{}
	made := map[stash.PackageID]bool{}
	for _, piece := range s.Pieces {
		for _, id := range piece.MadeOf() {
			made[id] = true
		}
	}
	few.Packages = nil
	for _, p := range s.Packages {
		all[p.ID] = p
		if made[p.ID] {
			few.Packages = append(few.Packages, p)
		}
	}
	st := Empty(few, Query{}, func(ids []stash.PackageID) (out []stash.Package, _ error) {
		for _, id := range ids {
			out = append(out, all[id])
		}
		return out, nil
	})
	for _, p := range s.Packages {
		st.Add(p)
	}
	return st
}

// withoutDo are the words and reasons of a verdict; what would help most is not worked out for
// each answer of a search.
func withoutDo(v verdict.Verdict) (out []string) {
	for _, a := range v.Answers {
		out = append(out, string(a.Question), a.Words)
		for _, r := range a.Reasons {
			out = append(out, string(r.Grade), r.Why)
		}
	}
	return out
}

// TestWhatNeedNotBeAskedAboutIsFoundAlone asks random shelves for the best answer alone and
// for ten: the gate says of the first what it says of the best of ten.
func TestWhatNeedNotBeAskedAboutIsFoundAlone(t *testing.T) {
	t.Parallel()
	compared := map[verdict.Grade]int{}
	for seed := range uint64(3) {
		s := randomShelf(rand.New(rand.NewPCG(seed, 7)), 4, 12)
		stock := NewStock(s, Query{})
		for _, name := range []string{"towel", "tablecloth", "place mat", "lap blanket", "scarf"} {
			k, _ := kinds.Named(kinds.Usual(), name)
			var grades [2][]verdict.Grade
			for i, top := range []int{1, 10} {
				found, err := stock.Find(context.Background(),
					Query{Kind: k, Weights: usualWeights, Top: top, Rest: s.Settings.RestUse})
				if err != nil {
					t.Fatal(err)
				}
				for _, a := range found.Answers[:min(1, len(found.Answers))] {
					grades[i] = append(grades[i], a.Grade)
					compared[a.Grade]++
				}
			}
			if !slices.Equal(grades[0], grades[1]) {
				t.Errorf("%d: the best %s is graded %q alone, %q among ten", seed, name, grades[0], grades[1])
			}
		}
	}
	if len(compared) < 2 {
		t.Errorf("all graded alike: %v", compared)
	}
}
