package fibre_test

import (
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

func content(t *testing.T, s string) fibre.Content {
	t.Helper()
	c, err := fibre.ParseContent(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Wool 4 %, cotton 2 %, acrylic none: common practice, no source.
func TestHumidityDoubt(t *testing.T) {
	for in, want := range map[string]measure.Ratio{
		"wool": 40_000, "cotton": 20_000, "acrylic": 0, "wool 50, acrylic 50": 20_000,
		"wool ?, acrylic ?": 40_000, "unknown": 40_000, "cotton?": 40_000,
	} {
		if got := fibre.HumidityDoubt(content(t, in)); got != want {
			t.Errorf("%s: %v, want %v", in, got, want)
		}
	}
	if got := fibre.HumidityDoubt(nil); got != 40_000 {
		t.Errorf("nothing recorded: %v, want 4%%", got)
	}
}

// The shares and flags are the pair checks of the project's own example stash:
// elastane is not latex, elastic of unknown kind may be.
func TestHazardsOfElastics(t *testing.T) {
	for in, want := range map[string][2]bool{ // latex, possible latex
		"cotton 93, elastane 7":        {false, false},
		"cotton 92, elastic 8":         {false, true},
		"cotton 65, natural rubber 35": {true, false},
		"unknown":                      {false, true},
		"cotton?":                      {false, true},
	} {
		h := content(t, in).Hazards()
		if got := [2]bool{h.Has(fibre.Latex), h.Has(fibre.PossibleLatex)}; got != want {
			t.Errorf("%s: latex, possible latex %v, want %v", in, got, want)
		}
	}
}

func TestUnknownIsNeverNone(t *testing.T) {
	for _, c := range []fibre.Content{nil, {}, content(t, "unknown"), content(t, "cotton?")} {
		for class := fibre.Animal; class <= fibre.Paper; class++ {
			if !c.MayHave(class) {
				t.Errorf("%v rules out %v", c, class)
			}
		}
		if !c.Unknown() || !c.Felts(false) || !c.Melts() || !c.Hazards().Has(fibre.UnknownHazard) {
			t.Errorf("%v is taken as known", c)
		}
	}
}

func TestNarrowedRulesOutOtherClasses(t *testing.T) {
	for in, rules := range map[string]map[fibre.Class]bool{
		"cellulose?":    {fibre.Bast: true, fibre.Wool: false, fibre.Rubber: false},
		"animal fibre?": {fibre.Silk: true, fibre.Wool: true, fibre.Synthetic: false},
		"synthetic?":    {fibre.Synthetic: true, fibre.Wool: false},
		"elastic":       {fibre.Rubber: true, fibre.Synthetic: true, fibre.Wool: false},
		"wool":          {fibre.Wool: true, fibre.Animal: false},
	} {
		for class, want := range rules {
			if got := content(t, in).MayHave(class); got != want {
				t.Errorf("%s may have %v: %v, want %v", in, class, got, want)
			}
		}
	}
}

func TestSuperwashDoesNotFelt(t *testing.T) {
	for in, want := range map[string]bool{
		"wool": true, "wool (superwash)": false, "superwash merino": false,
		"wool (not superwash)":           true,
		"wool (superwash) 50, alpaca 50": true, "cotton": false, "silk": false,
	} {
		if got := content(t, in).Felts(false); got != want {
			t.Errorf("%s felts: %v, want %v", in, got, want)
		}
	}
}

func TestCareIsTheGentlest(t *testing.T) {
	for in, want := range map[string]fibre.Care{
		"cotton": fibre.Wash60, "cotton 50, acrylic 50": fibre.Wash40,
		"cotton 90, wool 10": fibre.HandWool,
		"wool (superwash)":   fibre.Wash30, "unknown": fibre.HandWool,
		"paper 90, wool 10": fibre.SpongeOnly,
	} {
		if got := content(t, in).Care(false); got != want {
			t.Errorf("%s: %v, want %v", in, got, want)
		}
	}
}

// Cottolin 22/2 is 22 lea (common practice, no source).
func TestCustomaryCountBaseComesFirst(t *testing.T) {
	for in, want := range map[string]measure.Base{
		"cotton": measure.BaseNe, "linen": measure.BaseLea, "cotton 60, linen 40": measure.BaseLea,
		"cotton 90, linen 10": measure.BaseNe,
		"silk":                measure.BaseNm, "wool": measure.BaseNeW,
		"nylon 10, mohair 90": measure.BaseNm,
	} {
		if got := fibre.CountBases(content(t, in)); len(got) == 0 || got[0] != want {
			t.Errorf("%s: %v, want %v first", in, got, want)
		}
	}
	if got := fibre.CountBases(nil); len(got) != 0 {
		t.Errorf("nothing recorded proposes %v", got)
	}
}

func TestABlendIsNeverBetterThanItsParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyContent(t)
		worst, gentlest := measure.Ratio(0), fibre.Wash60
		for _, p := range c {
			one := fibre.Content{p}
			one[0].Share = measure.Whole
			worst, gentlest = max(worst, fibre.HumidityDoubt(one)), max(gentlest, one.Care(false))
			if !c.Hazards().Has(one.Hazards()) {
				t.Fatalf("%v loses a hazard of %v", c, p)
			}
		}
		if fibre.HumidityDoubt(c) > worst || c.Care(false) != gentlest {
			t.Fatalf("%v: doubt %v of %v, care %v of %v", c, fibre.HumidityDoubt(c), worst,
				c.Care(false), gentlest)
		}
	})
}

func TestWords(t *testing.T) {
	h := content(t, "wool 90, metal 10").Hazards()
	if h != fibre.AnimalFibre|fibre.PossibleLanolin|fibre.Metal {
		t.Errorf("hazards are %b", h)
	}
	if got := fibre.HandWool.String(); got != "wash by hand, lukewarm, do not rub, dry flat" {
		t.Errorf("care reads %q", got)
	}
	if got := fibre.Class(99).String() + " " + fibre.Bast.String() + " " +
		fibre.CommonPractice.String(); got != "unknown bast common practice, no source" {
		t.Errorf("words read %q", got)
	}
}
