package unmarked

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
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
	if len(got) != len(tests()) || got[len(got)-1] != "burning" {
		t.Errorf("%v", got)
	}
	for _, test := range tests() {
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
		test := rapid.SampledFrom(tests()).Draw(t, "test")
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
	for _, test := range tests() {
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
	if b := belief(stash.YarnFacts{}, shelf); b != [3]float64{2.0 / 6, 3.0 / 6, 1.0 / 6} {
		t.Errorf("%v", b)
	}
}
