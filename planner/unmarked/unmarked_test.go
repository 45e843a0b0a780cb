package unmarked

import (
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

func yarnOf(t testing.TB, content string) stash.Yarn {
	t.Helper()
	y := stash.Yarn{}
	if content == "" {
		return y
	}
	c, err := fibre.ParseContent(content)
	if err != nil {
		t.Fatal(err)
	}
	y.Fibre = c
	return y
}

func names(all []Ranked) []string {
	var out []string
	for _, r := range all {
		out = append(out, r.Name)
	}
	return out
}

func TestBurningIsNamedLastAndWithItsCautions(t *testing.T) {
	got := names(Rank(stash.YarnFacts{}, nil))
	if len(got) != len(tests) || got[len(got)-1] != "burning" {
		t.Errorf("%v", got)
	}
	for _, test := range tests {
		text := strings.ToLower(strings.Join(test.Cautions, " "))
		for name, words := range map[string][]string{
			"burning": {"water", "tweezers", "air", "coated", "everything that burns", "children"},
			"bleach":  {"vinegar", "gloves", "outdoors", "asthma"},
		} {
			for _, w := range words {
				if test.Name == name && !strings.Contains(text, w) {
					t.Errorf("%s does not warn of %q", name, w)
				}
			}
		}
	}
}

func TestWhatMayBeCoatedIsNeverBurnt(t *testing.T) {
	for _, y := range []stash.YarnFacts{
		{Hazards: []string{"metal"}}, {Hazards: []string{"possible latex"}},
		yarnOf(t, "cotton 92, unknown elastic 8").YarnFacts,
		yarnOf(t, "polyester 60, metallised 40").YarnFacts,
	} {
		if got := names(Rank(y, nil)); slices.Contains(got, "burning") {
			t.Errorf("%+v: %v", y, got)
		}
	}
}

func TestWhatIsNarrowedDownNeedsNoTestOfTheThree(t *testing.T) {
	if got := names(Rank(yarnOf(t, "unknown cellulose fibre").YarnFacts, nil)); len(got) != 0 {
		t.Errorf("%v", got)
	}
}

// TestATestTellsWhatItsSignsAreWorth works the mutual information out the other way
// round: by the sign, given the group.
func TestATestTellsWhatItsSignsAreWorth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var prior [3]float64
		sum := 0.0
		for i := range prior {
			prior[i] = rapid.Float64Range(0.01, 1).Draw(t, "prior")
			sum += prior[i]
		}
		for i := range prior {
			prior[i] /= sum
		}
		test := rapid.SampledFrom(tests).Draw(t, "test")
		want := 0.0
		for _, s := range test.Signs {
			all := 0.0
			for i := range prior {
				all += prior[i] * s.Odds[i]
			}
			for i := range prior {
				if joint := prior[i] * s.Odds[i]; joint > 0 {
					want += joint * math.Log2(s.Odds[i]/all)
				}
			}
		}
		if got := expected(prior, test); math.Abs(got-want) > 1e-9 || got > entropy(prior)+1e-9 {
			t.Fatalf("%s: %v, want %v of %v", test.Name, got, want, entropy(prior))
		}
	})
}

func TestTheSignsOfATestAreAllThereIs(t *testing.T) {
	for _, test := range tests {
		for i := range groups {
			sum := 0.0
			for _, s := range test.Signs {
				sum += s.Odds[i]
			}
			if math.Abs(sum-1) > 1e-9 {
				t.Errorf("%s: the signs of %s come to %v", test.Name, groups[i], sum)
			}
		}
	}
}

func TestWhatIsOnTheShelfIsLikelier(t *testing.T) {
	shelf := []stash.Yarn{yarnOf(t, "cotton"), yarnOf(t, "linen"), yarnOf(t, "cotton 50, wool 50"),
		yarnOf(t, "wool")}
	if b := belief(shelf); b != [3]float64{2.0 / 6, 3.0 / 6, 1.0 / 6} {
		t.Errorf("%v", b)
	}
}

// yarns draws yarn of which something may be known, narrowed down, believed or unknown.
var yarns = rapid.Custom(func(t *rapid.T) stash.YarnFacts {
	var y stash.YarnFacts
	shares := rapid.SampledFrom([][]measure.Ratio{{}, {100}, {92, 8}, {40, 40, 20}, {0, 0}}).Draw(t,
		"shares")
	of := rapid.Permutation(fibre.All()).Draw(t, "fibres")
	for i, share := range shares {
		p := fibre.Part{Fibre: of[i].ID, Share: share * measure.Percent,
			Doubtful: rapid.Bool().Draw(t, "doubtful") && of[i].ID != fibre.Unknown,
			Note: rapid.SampledFrom([]string{"", "says label",
				"burn test: hair smell and a hard bead"}).Draw(t, "note")}
		if i == 0 {
			p.Fibre = rapid.SampledFrom([]fibre.ID{p.Fibre, fibre.Unknown, fibre.UnknownElastic,
				fibre.UnknownAnimal, "cotton"}).Draw(t, "first")
			p.Doubtful = p.Doubtful && p.Fibre != fibre.Unknown
		}
		y.Fibre = append(y.Fibre, p)
	}
	y.Hazards = rapid.SliceOfNDistinct(rapid.SampledFrom(stash.Hazards), 0, 3, rapid.ID).Draw(t,
		"hazards")
	y.Stretch = rapid.SampledFrom([]stash.Stretch{"", stash.StretchNone,
		stash.StretchMarked}).Draw(t, "stretch")
	return y
})

// What a test proposes to record keeps every fact that is recorded, reads back as it is
// typed, and rules in nothing that was ruled out.
func TestNoProposalMakesAFactLessKnown(t *testing.T) {
	proposed := 0
	rapid.Check(t, func(t *rapid.T) {
		y := yarns.Draw(t, "yarn")
		for _, r := range Rank(y, nil) {
			for _, s := range r.Signs {
				field, value, then, ok := Proposal(y, s)
				if !ok {
					continue
				}
				proposed++
				keeps(t, y, then)
				raw, err := stash.Value(stash.WhatYarn, field, value)
				var typed stash.YarnFacts
				if err != nil || json.Unmarshal([]byte(`{"`+field+`":`+string(raw)+`}`),
					&typed) != nil {
					t.Logf("%s=%s: %v", field, value, err) // a fibre that was drawn twice
					continue
				}
				if field == "fibre" && !reflect.DeepEqual(typed.Fibre, then.Fibre) ||
					field == "hazards" && len(typed.Hazards) != len(then.Hazards) {
					t.Fatalf("%s=%s reads as %+v, not %+v", field, value, typed, then)
				}
			}
		}
	})
	if proposed == 0 {
		t.Error("nothing was proposed")
	}
}

func keeps(t *rapid.T, y, then stash.YarnFacts) {
	for i, p := range y.Fibre {
		q := then.Fibre[i]
		if p.Fibre == fibre.Unknown {
			p.Fibre = q.Fibre
		}
		if p.Doubtful && !q.Doubtful && strings.Contains(q.Note, string(p.Fibre)) {
			p = q
		}
		if p != q {
			t.Fatalf("%v became %v", y.Fibre, then.Fibre)
		}
	}
	for _, f := range fibre.All() {
		if then.Fibre.MayHave(f.Class) && !y.Fibre.MayHave(f.Class) {
			t.Fatalf("%v became %v, which may be %s", y.Fibre, then.Fibre, f.ID)
		}
	}
	for _, h := range y.Hazards {
		if !slices.Contains(then.Hazards, h) {
			t.Fatalf("%v became %v", y.Hazards, then.Hazards)
		}
	}
	if y.Stretch != "" && then.Stretch != y.Stretch {
		t.Fatalf("%s became %s", y.Stretch, then.Stretch)
	}
}

// Elastic is tested for whether it still works, with its cautions, and nothing says what
// it is made of.
func TestElasticIsStretched(t *testing.T) {
	got := Rank(yarnOf(t, "cotton 92, unknown elastic 8").YarnFacts, nil)
	if !slices.Equal(names(got), []string{"stretch"}) {
		t.Fatalf("%v", names(got))
	}
	if text := strings.Join(got[0].Cautions, " "); !strings.Contains(text, "snaps") ||
		!strings.Contains(text, "latex") || got[0].Source != "common practice, no source" {
		t.Errorf("%+v", got[0])
	}
	for _, s := range got[0].Signs {
		if s.Leaves != "" {
			t.Errorf("%+v says what it is", s)
		}
	}
}
