package care

import (
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/people"
)

func part(t testing.TB, content string, change ...func(*stash.YarnFacts)) people.Part {
	t.Helper()
	p := people.Part{Role: stash.RoleWarp}
	if content != "" {
		c, err := fibre.ParseContent(content)
		if err != nil {
			t.Fatal(err)
		}
		p.Yarn.Fibre = c
	}
	for _, f := range change {
		f(&p.Yarn.YarnFacts)
	}
	return p
}

func wash(w stash.Wash) func(*stash.YarnFacts) { return func(y *stash.YarnFacts) { y.Wash = &w } }

func built(words ...string) func(*stash.YarnFacts) {
	return func(y *stash.YarnFacts) { y.Construction = words }
}

// find gives the step that has the words.
func find(t *testing.T, steps []Step, words string) Step {
	t.Helper()
	for _, s := range steps {
		if strings.Contains(s.Text, words) {
			if s.Source == "" {
				t.Errorf("%q has no source", s.Text)
			}
			return s
		}
	}
	t.Errorf("no step with %q in %+v", words, steps)
	return Step{}
}

// lacks checks that no step has the words.
func lacks(t *testing.T, steps []Step, words string) {
	t.Helper()
	if slices.ContainsFunc(steps, func(s Step) bool { return strings.Contains(s.Text, words) }) {
		t.Errorf("%q in %+v", words, steps)
	}
}

// Check values held by weavers: common practice, no source.
func TestCommonPractice(t *testing.T) {
	t.Run("acrylic with superwash wool: lukewarm, mild soap, no agitation, because the two lose length differently", func(t *testing.T) {
		a := Advise([]people.Part{part(t, "acrylic"), part(t, "wool (superwash)")},
			people.PieceForm{})
		s := find(t, a.During, "lukewarm")
		if !strings.Contains(s.Text, "mild soap, no agitation") ||
			s.Why != "its yarns lose length differently" || s.Source != practice {
			t.Errorf("%+v", s)
		}
	})
	t.Run("cotton towels: hot machine wash is fine", func(t *testing.T) {
		a := Advise([]people.Part{part(t, "cotton"), part(t, "cotton 60, linen 40")},
			people.PieceForm{})
		find(t, a.During, "Machine wash, hot water is fine (60 °C")
		lacks(t, a.Forbids, "hot machine wash")
	})
	t.Run("never the second for the first", func(t *testing.T) {
		a := Advise([]people.Part{part(t, "acrylic"), part(t, "wool (superwash)")},
			people.PieceForm{})
		find(t, a.Forbids, "no hot machine wash")
		find(t, a.Forbids, "No agitation")
		lacks(t, a.During, "hot water is fine")
	})
	t.Run("weft tails are trimmed only when washed and dry", func(t *testing.T) {
		a := Advise([]people.Part{part(t, "cotton")}, people.PieceForm{})
		find(t, a.After, "Trim the weft tails now, when it is washed and dry")
		find(t, a.Before, "leave the weft tails long")
		lacks(t, a.Before, "Trim")
	})
	t.Run("a fringe is twisted or braided before washing, or it frays", func(t *testing.T) {
		a := Advise([]people.Part{part(t, "cotton")}, people.PieceForm{Fringe: 160})
		if s := find(t, a.Before, "Twist or braid the fringe"); s.Why != "or it frays" {
			t.Errorf("%+v", s)
		}
		lacks(t, Advise([]people.Part{part(t, "cotton")}, people.PieceForm{}).Before, "fringe")
	})
}

func advise(parts ...people.Part) Advice { return Advise(parts, people.PieceForm{}) }

func TestLimits(t *testing.T) {
	t.Run("the gentlest yarn decides each limit", func(t *testing.T) {
		a := advise(part(t, "cotton",
			wash(stash.Wash{MaxC: 60, Agitation: stash.AgitateGentle, Tumble: true})),
			part(t, "linen", wash(stash.Wash{MaxC: 40, Agitation: stash.AgitateNormal})))
		if a.Wash.MaxC != 40 || a.Wash.Agitation != stash.AgitateGentle || a.Wash.Tumble {
			t.Errorf("%+v", a.Wash)
		}
	})
	t.Run("tumble drying only where every yarn records it", func(t *testing.T) {
		dry := wash(stash.Wash{MaxC: 40, Tumble: true})
		find(t, advise(part(t, "acrylic", dry)).During, tumble)
		a := advise(part(t, "acrylic", dry), part(t, "cotton"))
		lacks(t, a.During, tumble)
		find(t, a.Forbids, "No tumble drying")
	})
	t.Run("what is recorded comes before what the fibre usually bears", func(t *testing.T) {
		if a := advise(part(t, "wool",
			wash(stash.Wash{MaxC: 40, Agitation: stash.AgitateNormal}))); a.Wash.MaxC != 40 ||
			a.Wash.Agitation != stash.AgitateNormal {
			t.Errorf("%+v", a.Wash)
		}
	})
	t.Run("a gap in what is recorded is filled by the fibre", func(t *testing.T) {
		if a := advise(part(t, "wool", wash(stash.Wash{Words: "hand"}))); a.Wash.MaxC != 30 ||
			a.Wash.Agitation != stash.AgitateNone {
			t.Errorf("%+v", a.Wash)
		}
	})
	t.Run("a blend within one yarn is no mixture", func(t *testing.T) {
		if a := advise(part(t, "wool (superwash) 75, nylon 25")); a.Wash.Agitation != stash.AgitateGentle {
			t.Errorf("%+v", a.Wash)
		}
	})
	t.Run("nothing recorded: gentlest, and said", func(t *testing.T) {
		a := advise()
		if !a.Unknown || a.Wash.Agitation != stash.AgitateNone || a.Wash.MaxC > 30 {
			t.Errorf("%+v", a)
		}
		find(t, a.Before, "Wash a sample first")
	})
}

func TestSteps(t *testing.T) {
	t.Run("paper is not soaked", func(t *testing.T) {
		a := advise(part(t, "paper"), part(t, "cotton"))
		find(t, a.During, "Sponge it")
		find(t, a.Forbids, "No soaking")
	})
	t.Run("wool dries flat, cotton on a line", func(t *testing.T) {
		find(t, advise(part(t, "wool")).During, flat)
		find(t, advise(part(t, "cotton")).During, line)
	})
	t.Run("each ban on agitation has its own reason", func(t *testing.T) {
		still := wash(stash.Wash{MaxC: 30, Agitation: stash.AgitateNone})
		for want, a := range map[string]Advice{
			"wool and hair may felt": advise(part(t, "wool")),
			"its yarns lose length differently": advise(part(t, "acrylic"),
				part(t, "wool (superwash)")),
			"one of its yarns does not accept it": advise(part(t, "cotton", still)),
		} {
			if got := find(t, a.Forbids, "No agitation"); got.Why != want {
				t.Errorf("%q, want %q", got.Why, want)
			}
		}
	})
	t.Run("oil is scoured out", func(t *testing.T) {
		find(t, advise(part(t, "wool",
			func(y *stash.YarnFacts) { y.Hazards = []string{"oil"} })).During, "Scour")
	})
	t.Run("dye that runs", func(t *testing.T) {
		find(t, advise(part(t, "cotton", func(y *stash.YarnFacts) { y.Bleeds = stash.May })).Before,
			"white cloth")
	})
	t.Run("lively yarn soaks first", func(t *testing.T) {
		find(t, advise(part(t, "wool", built("handspun", "singles"))).During, "soak")
	})
	t.Run("elastic and the iron", func(t *testing.T) {
		find(t, advise(part(t, "cotton 92, elastic 8")).Forbids, "elastic")
	})
	t.Run("a value in dispute is read the gentle way", func(t *testing.T) {
		p := part(t, "cotton")
		p.Yarn.Disputed = map[string][]json.RawMessage{"fibre": {json.RawMessage(`[{"name":"wool","percent_ppm":1000000}]`)}}
		if a := advise(p); a.Wash.Agitation != stash.AgitateNone {
			t.Errorf("%+v", a.Wash)
		}
	})
	for content, want := range map[string]string{"cotton": lightly, "linen": damp, "wool": steam,
		"silk": coolest, "acrylic": coolest,
		"polyester 60, metallised film 40": coolest, "unknown": coolest} {
		t.Run("pressing "+content,
			func(t *testing.T) { find(t, advise(part(t, content)).After, want) })
	}
	t.Run("pressing pile", func(t *testing.T) {
		find(t, advise(part(t, "viscose", built("chenille"))).After, noIron)
	})
	t.Run("words for a label", func(t *testing.T) {
		if got, want := advise(part(t, "wool")).Words(),
			"Wash by hand, lukewarm (30 °C at most), mild soap, hardly moved. Dry flat. Steam through a cloth, do not press."; got != want {
			t.Errorf("%q", got)
		}
	})
}

func TestMoreYarnsAreNeverWashedHarder(t *testing.T) {
	contents := []string{"cotton", "linen", "wool", "wool (superwash)", "acrylic", "silk", "paper",
		"unknown", "viscose", "cotton 92, elastic 8", ""}
	rapid.Check(t, func(rt *rapid.T) {
		var parts []people.Part
		last := Advise([]people.Part{part(t, "cotton",
			wash(stash.Wash{MaxC: 95, Agitation: stash.AgitateNormal, Tumble: true}))},
			people.PieceForm{})
		for range rapid.IntRange(1, 5).Draw(rt, "yarns") {
			parts = append(parts, part(t, rapid.SampledFrom(contents).Draw(rt, "content")))
			a := Advise(parts, people.PieceForm{})
			if a.Wash.MaxC > last.Wash.MaxC ||
				slices.Index(agitations, a.Wash.Agitation) > slices.Index(agitations,
					last.Wash.Agitation) || a.Wash.Tumble && !last.Wash.Tumble {
				rt.Fatalf("%+v after %+v", a.Wash, last.Wash)
			}
			last = a
		}
	})
}

// Days from the sources named beside each freezing.
func TestFreezing(t *testing.T) {
	t.Run("the sources disagree and all are there", func(t *testing.T) {
		all := Freezings()
		if len(all) < 4 {
			t.Fatal(len(all))
		}
		for _, f := range all {
			if f.Source == "" || f.Days*f.Cycles > all[0].Days*all[0].Cycles {
				t.Errorf("%+v", f)
			}
		}
		for _, words := range []string{"disagree", "7 days once", "7 days twice", "6 to 10 days",
			"48 hours", "-20 °C"} {
			if !strings.Contains(all[0].Note(), words) {
				t.Errorf("the note lacks %q", words)
			}
		}
		if sources := all[0].Sources(); len(sources) != len(all) {
			t.Errorf("%q for %d ways", sources, len(all))
		}
	})
	t.Run("note, stages and sources are of the way taken", func(t *testing.T) {
		degrees := regexp.MustCompile(`-[0-9]+ °C or colder`)
		for _, celsius := range []int{-18, -20, -30} {
			f, _ := FreezingAt(celsius)
			_, stages, _ := f.Plan("2025-01-30", "")
			want := degrees.FindString(stages[0].What)
			if got := degrees.FindAllString(f.Note(), -1); len(got) != 1 || got[0] != want {
				t.Errorf("at %d °C the stages say %s, the note %q", celsius, want, got)
			}
			if !slices.Contains(f.Sources(), f.Source) {
				t.Errorf("at %d °C %q is taken, and %q named", celsius, f.Source, f.Sources())
			}
		}
	})
	t.Run("dates of a week twice from 2025-01-30", func(t *testing.T) {
		q, stages, err := Freezings()[0].Plan("2025-01-30", "")
		if err != nil || len(stages) != 5 {
			t.Fatal(stages, err)
		}
		var dates []string
		for _, s := range stages {
			dates = append(dates, s.Until)
		}
		if got := strings.Join(dates,
			" "); got != "2025-02-06 2025-02-07 2025-02-14 2025-02-15 2025-03-17" {
			t.Error(got)
		}
		if q.Since != "2025-01-30" || q.Until != "2025-03-17" {
			t.Errorf("%+v", q)
		}
	})
	t.Run("what came out of the freezer is watched from then on", func(t *testing.T) {
		for out, want := range map[string]string{"2025-02-20": "2025-03-23", "2025-01-30": "2025-03-02",
			"2025-02": "2025-03-31", "2025-01-29": "2025-03-17", "2024": "2025-03-17"} {
			q, _, err := Freezings()[0].Plan("2025-01-30", out)
			if err != nil || q.Until != want {
				t.Errorf("out on %s: until %s, want %s (%v)", out, q.Until, want, err)
			}
		}
		for out, short := range map[string]bool{"": false, "2025-02-05": true, "2025-02-14": false,
			"2025-01-20": false} {
			if got := Freezings()[0].TooShort("2025-01-30", out); (got != "") != short {
				t.Errorf("out on %s: %q", out, got)
			}
		}
	})
	t.Run("a leap day counts", func(t *testing.T) {
		if _, stages, err := (Freezing{Cycles: 1, Days: 7}).Plan("2024-02-25", ""); err != nil ||
			stages[0].Until != "2024-03-03" {
			t.Error(stages, err)
		}
	})
	t.Run("bad days and freezings", func(t *testing.T) {
		if _, _, err := Freezings()[0].Plan("30.1.2025", ""); err == nil {
			t.Error("a bad day is taken")
		}
		if _, _, err := (Freezing{}).Plan("2025-01-30", ""); err == nil {
			t.Error("no freezing is taken")
		}
	})
}

func TestMayBeInsects(t *testing.T) {
	for reason, want := range map[string]bool{
		"": true, "webbing found": true, "Moths": true, "insects: frozen a week, twice": true,
		"smells of mothballs": false, "smoke": false, "wet": false,
	} {
		if got := MayBeInsects(stash.Quarantine{Since: "2026-01-30", Reason: reason}); got != want {
			t.Errorf("%q: %v", reason, got)
		}
	}
}

func TestAFreezerGoesByItsTemperature(t *testing.T) {
	for celsius, want := range map[int]string{0: "a week, twice", -20: "a week, twice",
		-25: "a week, twice", -29: "three days, twice", -35: "three days, twice",
		-18: "two weeks, twice", -19: "two weeks, twice"} {
		if f, cold := FreezingAt(celsius); !cold || f.Name != want {
			t.Errorf("%d C: %+v, want %s", celsius, f, want)
		}
	}
	for _, warm := range []int{-1, -8, -15, -17} {
		if f, cold := FreezingAt(warm); cold {
			t.Errorf("%d C: %+v", warm, f)
		}
	}
}
