package learn

import (
	"math"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

const inch = 25.4

func inches(v float64) measure.Length { return measure.Length(math.Round(v * inch)) }

func ratio(v float64) *measure.Ratio { r := measure.RatioOf(v); return &r }

// yarnOf is a yarn of one fibre.
func yarnOf(id stash.YarnID, f fibre.ID, count measure.Count) stash.Yarn {
	y := stash.Yarn{ID: id, YarnFacts: stash.YarnFacts{Name: string(id),
		Fibre: fibre.Content{{Fibre: f, Share: measure.Whole}}}}
	if count > 0 {
		y.Count = &stash.CountFact{Count: count, Source: measure.Label, Doubt: 5 * measure.Percent}
	}
	return y
}

// shelf holds three wools, a cotton and a linen, each with a package for the warp
// and one for the weft.
func shelf() Shelf {
	s := Shelf{Yarns: map[stash.YarnID]stash.Yarn{}, Packages: map[stash.PackageID]*stash.Package{},
		Settings: stash.DefaultSettings()}
	for _, y := range []stash.Yarn{
		yarnOf("oat", "wool", 250*measure.Tex), yarnOf("slate", "wool", 250*measure.Tex),
		yarnOf("moss", "wool", 250*measure.Tex),
		yarnOf("chalk", "cotton", 148*measure.Tex), yarnOf("flax", "linen", 103*measure.Tex),
		yarnOf("found", "unknown", 0),
	} {
		s.Yarns[y.ID] = y
		for _, role := range []string{"warp", "weft"} {
			id := stash.PackageID(string(y.ID) + " " + role)
			s.Packages[id] = &stash.Package{ID: id, PackageFacts: stash.PackageFacts{Yarn: y.ID}}
		}
	}
	return s
}

// scarf asks for a scarf with one yarn in warp and another in weft.
func scarf(warp, weft stash.YarnID) Question {
	return Question{Project: stash.ProjectFacts{
		Structure: "plain", Washing: "hand, cool", Sett: 5 * measure.PerCentimetre,
		Warp: []stash.Ref{{Yarn: warp}}, Weft: []stash.Ref{{Yarn: weft}},
	}}
}

// woven is a finished piece of the question with these measures.
func woven(q Question, m stash.Measures) stash.Piece {
	return stash.Piece{ID: "p", Name: "first", State: stash.Finished,
		Plan: &stash.Plan{Spec: q.Project}, Finish: &stash.Finish{Measures: m}}
}

func close(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.6f, want %.6f", what, got, want)
	}
}
