package together

import (
	"encoding/json"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// Invented yarns of the shared stash, as far as the pair table needs them.
var yarns = map[string]struct {
	name, fibre  string
	perKg        float64
	construction string
	fit          stash.WarpFit
	shed         int
	shrinks      stash.Shrinks
	hazards      string
}{
	"Y01": {"oat", "cotton 100", 6773, "plied", stash.FitWarp, 0, "", ""},
	"Y06": {"black carpet warp", "cotton 100", 3387, "plied", stash.FitWeftOnly, 1, "", "perished"},
	"Y07": {"fog", "cotton 60, linen 40", 6652, "plied", stash.FitWarp, 1, "", ""},
	"Y08": {"flax", "linen 100", 9676, "singles", stash.FitWarp, 1, "", ""},
	"Y11": {"ink", "viscose 100", 2923, "chenille", stash.FitWarp, 3, "", ""},
	"Y13": {"moss", "wool 100", 6773, "worsted", stash.FitWarp, 0, "", ""},
	"Y14": {"peat", "wool 100", 4500, "woollen", stash.FitWarp, 1, "", "oil"},
	"Y15": {"superwash, sky", "wool (merino 18.5 um) 100", 4200, "plied", stash.FitWarp, 0, "", ""},
	"Y16": {"feltable, sky", "wool (merino) 100", 2500, "plied", stash.FitWarp, 1,
		stash.ShrinksFelts, ""},
	"Y18": {"heather", "mohair 78, wool 13, nylon 9", 2000, "brushed", stash.FitSpaced, 2, "", ""},
	"Y23": {"undyed silk", "silk 100", 9900, "plied", stash.FitWarp, 0, "", ""},
	"Y26": {"lemon", "acrylic 100", 3000, "plied", stash.FitWarp, 0, "", ""},
	"Y27": {"five minis", "wool (merino superwash) 70, silk 30", 4000, "plied", stash.FitWarp, 0,
		"", ""},
	"Y31": {"burgundy", "unknown", 4334, "plied", stash.FitWarp, 1, "", ""},
	"Y33": {"navy", "cotton 92, elastic 8", 2000, "plied", stash.FitWeftOnly, 0, "", ""},
	"Y36": {"undyed paper", "paper 100", 3500, "paper", stash.FitWarp, 0, "", ""},
}

func yarn(t *testing.T, id string) stash.Yarn {
	t.Helper()
	row, ok := yarns[id]
	if !ok {
		t.Fatalf("no yarn %s", id)
	}
	content, err := fibre.ParseContent(row.fibre)
	if err != nil {
		t.Fatal(err)
	}
	y := stash.Yarn{ID: stash.YarnID(id)}
	y.Name, y.Fibre, y.Fit, y.Shedding, y.Shrinks = row.name, content, row.fit, &row.shed,
		row.shrinks
	y.Construction, y.Hazards = strings.Fields(row.construction), strings.Fields(row.hazards)
	y.Count = &stash.CountFact{Count: measure.Count(1e9 / row.perKg)}
	return y
}

func warp(t *testing.T, id string) Use { return Use{Yarn: yarn(t, id), Role: stash.RoleWarp} }
func weft(t *testing.T, id string) Use { return Use{Yarn: yarn(t, id), Role: stash.RoleWeft} }

// wants checks the answer, and that the check named is among its reasons with
// the words.
func wants(t *testing.T, v Agreement, answer Answer, check, words string) {
	t.Helper()
	if v.Answer != answer {
		t.Errorf("%s, want %s: %+v", v.Answer, answer, v.Reasons)
	}
	for _, r := range v.Reasons {
		if r.Check == check && strings.Contains(r.Why+" "+r.Figure, words) {
			return
		}
	}
	t.Errorf("no reason %q with %q: %+v", check, words, v.Reasons)
}

// The rows of practice "Pair checks" that concern two yarns or a yarn in its
// part, and B5: common practice, no source. Those on latex and unknown fibre
// are tests of stash/people.
func TestPairTable(t *testing.T) {
	t.Run("Y01 + Y07 stripes 2 cm wide: sample first, linen shrinks less", func(t *testing.T) {
		v := Together(warp(t, "Y01"), warp(t, "Y07"), Setting{Stripe: 20, Over: 700})
		wants(t, v, Sample, "shrinkage", "fog shrinks less")
		wants(t, v, Sample, "shrinkage", "10% against 6.8%: 2.2 cm of pucker over 70 cm")
	})
	t.Run("Y01 warp, Y08 weft over the whole piece: fine, do not switch to cotton weft half-way",
		func(t *testing.T) {
			wants(t, Together(warp(t, "Y01"), weft(t, "Y08"), Setting{}), Fine, "shrinkage",
				"do not switch")
		})
	t.Run("Y15 + Y16 in one warp: no, one felts", func(t *testing.T) {
		wants(t, Together(warp(t, "Y15"), warp(t, "Y16"), Setting{}), No, "felting", "felts")
	})
	t.Run("Y18 every end: sticky, every second or third end", func(t *testing.T) {
		every := warp(t, "Y18")
		every.Every = 1
		wants(t, Together(every, weft(t, "Y14"), Setting{}), Sample, "strength",
			"every second or third end")
		every.Every = 2
		if v := Together(every, weft(t, "Y14"), Setting{}); v.Answer != Fine {
			t.Errorf("%+v", v)
		}
	})
	t.Run("Y23 with Y13: fine after grist check, 9,900 against 6,773 m/kg", func(t *testing.T) {
		for _, other := range []Use{warp(t, "Y13"), weft(t, "Y13")} {
			wants(t, Together(warp(t, "Y23"), other, Setting{}), Fine, "thickness",
				"9900 m/kg against 6773 m/kg")
		}
	})
	t.Run("Y11 in an open sett: worms and sheds", func(t *testing.T) {
		u := warp(t, "Y11")
		u.Sett = 4 * measure.PerCentimetre
		v := Together(u, weft(t, "Y11"), Setting{})
		wants(t, v, Sample, "sett", "worming")
		wants(t, v, Sample, "shedding", "grade 3")
	})
	t.Run("Y11 in a close sett does not worm", func(t *testing.T) {
		u := warp(t, "Y11")
		u.Sett = 8 * measure.PerCentimetre
		for _, r := range Together(u, weft(t, "Y01"), Setting{}).Reasons {
			if r.Check == "sett" && r.Answer != Fine {
				t.Errorf("%+v", r)
			}
		}
	})
	t.Run("Y36 with Y14: no, paper cannot take fulling", func(t *testing.T) {
		v := Together(warp(t, "Y14"), weft(t, "Y36"), Setting{})
		wants(t, v, No, "felting", "paper cannot take the fulling")
		wants(t, v, No, "washing", "scoured")
	})
	t.Run("B5: Y27 warp refuses Y16 as weft, which felts, and takes Y15", func(t *testing.T) {
		wants(t, Together(warp(t, "Y27"), weft(t, "Y16"), Setting{}), No, "felting", "superwash")
		if v := Together(warp(t, "Y27"), weft(t, "Y15"), Setting{}); v.Answer != Fine {
			t.Errorf("%+v", v)
		}
	})
	t.Run("B7: Y06 refused as warp", func(t *testing.T) {
		wants(t, Together(warp(t, "Y06"), weft(t, "Y01"), Setting{}), No, "strength", "weft only")
	})
}

// change sets facts of a use's yarn.
func change(u Use, f func(*stash.YarnFacts)) Use {
	f(&u.Yarn.YarnFacts)
	return u
}

func TestBuildChecks(t *testing.T) {
	t.Run("a count not recorded", func(t *testing.T) {
		u := change(warp(t, "Y01"), func(y *stash.YarnFacts) { y.Count = nil })
		wants(t, Together(u, weft(t, "Y01"), Setting{}), Sample, "thickness", "not recorded")
	})
	t.Run("grists far apart in one warp", func(t *testing.T) {
		wants(t, Together(warp(t, "Y01"), warp(t, "Y26"), Setting{}), Sample, "thickness", "ratio 2.26")
		wants(t, Together(warp(t, "Y08"), warp(t, "Y26"), Setting{}), Effect, "thickness", "ratio 3.23")
	})
	t.Run("stripes of unlike thickness: narrow ones at one sett, wide ones each at its own", func(t *testing.T) {
		for stripe, words := range map[measure.Length]string{0: "mix them evenly", 3: "narrow stripes",
			60: "a sett of its own"} {
			v := Together(warp(t, "Y01"), warp(t, "Y26"), Setting{Stripe: stripe})
			wants(t, v, Sample, "thickness", "ratio 2.26")
			wants(t, v, Sample, "thickness", words)
		}
	})
	t.Run("a stretchy warp beside one that does not give", func(t *testing.T) {
		wants(t, Together(warp(t, "Y26"), warp(t, "Y36"), Setting{}), Sample, "stretch",
			"slack or tight")
	})
	t.Run("recorded stretch comes before the fibre's", func(t *testing.T) {
		u := change(warp(t, "Y26"), func(y *stash.YarnFacts) { y.Stretch = stash.StretchNone })
		for _, r := range Together(u, warp(t, "Y36"), Setting{}).Reasons {
			if r.Check == "stretch" {
				t.Errorf("%+v", r)
			}
		}
	})
	t.Run("an elastic weft draws in", func(t *testing.T) {
		wants(t, Together(warp(t, "Y01"), weft(t, "Y33"), Setting{}), Effect, "stretch",
			"draws the cloth in")
	})
}

func TestWashChecks(t *testing.T) {
	t.Run("unknown fibre", func(t *testing.T) {
		wants(t, Together(warp(t, "Y01"), weft(t, "Y31"), Setting{}), Sample, "shrinkage",
			"not known")
	})
	t.Run("no figure in stripes", func(t *testing.T) {
		wants(t, Together(warp(t, "Y01"), warp(t, "Y23"), Setting{Stripe: 30}), Sample, "shrinkage",
			"no figure")
	})
	t.Run("felting beside cotton", func(t *testing.T) {
		wants(t, Together(warp(t, "Y01"), weft(t, "Y16"), Setting{}), Sample, "felting",
			"wash the sample")
		wants(t, Together(warp(t, "Y01"), warp(t, "Y16"), Setting{}), Effect, "felting", "puckers")
	})
	t.Run("measured losses are used", func(t *testing.T) {
		a, b := warp(t, "Y13"), warp(t, "Y01")
		la, lb := measure.Ratio(250_000), measure.Ratio(100_000)
		a.Loss, b.Loss = &la, &lb
		wants(t, Together(a, b, Setting{Over: 1000}), Effect, "shrinkage",
			"25% against 10%: 15 cm of pucker over 100 cm")
	})
	t.Run("dye that runs", func(t *testing.T) {
		u := change(weft(t, "Y01"), func(y *stash.YarnFacts) { y.Bleeds = stash.Yes })
		wants(t, Together(warp(t, "Y01"), u, Setting{}), Sample, "dye", "bleeds")
		u = change(u, func(y *stash.YarnFacts) { y.Bleeds = stash.May })
		wants(t, Together(warp(t, "Y01"), u, Setting{}), Fine, "dye", "may bleed")
	})
	t.Run("not fit to be woven", func(t *testing.T) {
		u := change(weft(t, "Y01"), func(y *stash.YarnFacts) { y.Fit = stash.FitDiscard })
		wants(t, Together(warp(t, "Y01"), u, Setting{}), No, "strength", "not fit")
	})
	t.Run("fitness not recorded is said", func(t *testing.T) {
		u := change(warp(t, "Y01"), func(y *stash.YarnFacts) { y.Fit = "" })
		wants(t, Together(u, weft(t, "Y01"), Setting{}), Fine, "strength", "tug")
	})
	t.Run("washing differs", func(t *testing.T) {
		hot := change(warp(t, "Y01"), func(y *stash.YarnFacts) { y.Wash = &stash.Wash{MaxC: 60} })
		cool := change(weft(t, "Y01"),
			func(y *stash.YarnFacts) { y.Wash = &stash.Wash{Words: "hand"} })
		wants(t, Together(hot, cool, Setting{}), Fine, "washing", "60 °C against not recorded")
	})
	t.Run("a value in dispute is read the strict way", func(t *testing.T) {
		u := weft(t, "Y15")
		u.Yarn.Disputed = map[string][]json.RawMessage{"shrinks": {json.RawMessage(`"felts"`),
			json.RawMessage(`"hardly"`)}}
		wants(t, Together(warp(t, "Y27"), u, Setting{}), No, "felting", "felts")
	})
	t.Run("not superwash is not superwash", func(t *testing.T) {
		if (stash.YarnFacts{Name: "non-superwash merino"}).Superwash() ||
			!(stash.YarnFacts{Name: "Superwash merino"}).Superwash() {
			t.Error("read wrongly")
		}
	})
}

// A weaver's record: a linen weft after a cotton one came out 1.5 in wider on
// 23 in of cloth (common practice, no source), that is 6.5 % apart.
func TestPucker(t *testing.T) {
	if got := Pucker(584, 80_000, 15_000); got != 38 {
		t.Errorf("%d mm, want 38 (1.5 in)", got)
	}
	t.Run("symmetrical, and none where they shrink alike", rapid.MakeCheck(func(t *rapid.T) {
		over := measure.Length(rapid.Int64Range(0, 100_000).Draw(t, "over"))
		a := measure.Ratio(rapid.Int64Range(0, 500_000).Draw(t, "a"))
		b := measure.Ratio(rapid.Int64Range(0, 500_000).Draw(t, "b"))
		if Pucker(over, a, b) != Pucker(over, b, a) || Pucker(over, a, a) != 0 ||
			Pucker(over, a, b) > over {
			t.Fatal(over, a, b)
		}
	}))
}

func TestTogetherIsSymmetrical(t *testing.T) {
	pairs := 0
	for a := range yarns {
		for b := range yarns {
			pairs++
			in := Setting{Stripe: 20}
			if x, y := Together(warp(t, a), warp(t, b), in),
				Together(warp(t, b), warp(t, a), in); x.Answer != y.Answer {
				t.Errorf("%s with %s: %s and %s", a, b, x.Answer, y.Answer)
			}
		}
	}
	if pairs < 200 {
		t.Errorf("%d pairs", pairs)
	}
}
