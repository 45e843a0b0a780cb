package people

import (
	"slices"
	"strings"
	"testing"

	"endsmeet/stash"
)

func rules(t *testing.T, texts ...string) []stash.Rule {
	t.Helper()
	var out []stash.Rule
	for _, text := range texts {
		r, err := ParseRule(text)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, r)
	}
	return out
}

func wordsOf(rules []stash.Rule) string {
	var out []string
	for _, r := range rules {
		out = append(out, Words(r))
	}
	return strings.Join(out, ", ")
}

func TestCombine(t *testing.T) {
	for name, row := range map[string]struct {
		a, b []string
		want string
	}{
		"different questions stay": {[]string{"against wool"}, []string{"ask silk"},
			"against wool, ask silk"},
		"the graver answer stays": {[]string{"ask fringe", "ask silk"},
			[]string{"against fringe"}, "against fringe, ask silk"},
		"the milder does not replace": {[]string{"against fringe"}, []string{"ask fringe"},
			"against fringe"},
		"strict in either is strict": {[]string{"ask hair"}, []string{"against hair if known"},
			"against hair"},
		"another argument asks another": {[]string{"against shedding 2"},
			[]string{"ask shedding 1"}, "against shedding 2, ask shedding 1"},
	} {
		t.Run(name, func(t *testing.T) {
			a := rules(t, row.a...)
			if got := wordsOf(Combine(a, rules(t, row.b...))); got != row.want ||
				wordsOf(a) != strings.Join(row.a, ", ") {
				t.Errorf("%s, want %s; the first set is now %s", got, row.want, wordsOf(a))
			}
		})
	}
	t.Run("any presets together contradict nothing that each alone does not", func(t *testing.T) {
		for _, a := range Presets() {
			for _, b := range Presets() {
				ra, rb := preset(t, a.Name).Rules, preset(t, b.Name).Rules
				for _, c := range Check(Combine(ra, rb)) {
					if !strings.Contains(c.Why, "no fibre is left") {
						t.Errorf("%s and %s: %v", a.Name, b.Name, c)
					}
				}
			}
		}
	})
}

func TestWith(t *testing.T) {
	have := rules(t, "against wool", "ask silk")
	t.Run("a rule that says the same takes the place", func(t *testing.T) {
		if got := wordsOf(With(have,
			rules(t, "against wool if known")[0])); got != "against wool if known, ask silk" ||
			wordsOf(have) != "against wool, ask silk" {
			t.Error(got)
		}
	})
	t.Run("one that says otherwise stays to be found", func(t *testing.T) {
		got := With(have, rules(t, "ask wool")[0])
		if len(got) != 3 || len(Check(got)) != 1 {
			t.Error(wordsOf(got))
		}
	})
}

func TestWithout(t *testing.T) {
	have := append(rules(t, "against wool strict", "ask silk", "survives 60 C normal",
		"ask shedding 1"), stash.Rule{Test: "of tomorrow", Answer: stash.Ask})
	for text, left := range map[string]int{
		"against wool strict": 4, "against wool": 4, "wool": 4, "ASK  Silk": 4,
		"survives 60 C normal": 4, "shedding 1": 4, "ask of tomorrow": 4,
		"ask wool": 5, "shedding 2": 5, "nothing like it": 5,
	} {
		t.Run(text, func(t *testing.T) {
			got, err := Without(have, text)
			if refused := left == 5; refused != (err != nil) || !refused && len(got) != left {
				t.Errorf("%s, %v", wordsOf(got), err)
			}
			if err != nil && (strings.Contains(err.Error(), "silk") ||
				strings.Contains(err.Error(), "strict")) {
				t.Errorf("tells of other rules: %v", err)
			}
			if len(have) != 5 {
				t.Fatal("the rules given were changed")
			}
		})
	}
}

func TestNewerPerson(t *testing.T) {
	p := stash.Person{Newer: true}
	y := stash40(t)["Y01"]
	for name, r := range map[string]Result{"yarn": Suits(p, y),
		"piece": SuitsPiece(p, []Part{{stash.RoleWarp, y}}, PieceForm{})} {
		if r.Answer != stash.Unknown || !r.Blocks() {
			t.Errorf("%s: what cannot be read passes: %+v", name, r)
		}
	}
}

func TestAdded(t *testing.T) {
	p := stash.Person{PersonFacts: stash.PersonFacts{Rules: rules(t, "against shedding 2",
		"ask cotton")}}
	y := stash40(t)["Y01"]
	before := Suits(p, y)
	shed := 3
	y.Shedding = &shed
	added := Added(before, Suits(p, y))
	if len(added) != 1 || added[0].Rule != "against shedding 2" || len(Added(before, before)) != 0 {
		t.Errorf("%+v", added)
	}
}

func TestContentCautions(t *testing.T) {
	yarns := stash40(t)
	for _, row := range []struct {
		id, want string
	}{
		{"Y34", "Holds natural rubber latex."},
		{"Y33", "May hold natural rubber latex"},
		{"Y31", "Part of its fibre is not known."},
		{"Y19", "Sheds loose fibre."},
		{"Y37", "Holds metal."},
		{"Y17", "coarse fibre"},
		{"Y30", "lanolin"},
		{"Y28", "dye may run"},
		{"Y27", "dye may run"},
		{"Y16", "had a smell"},
		{"Y14", "spinning oil"},
		{"Y38", "loose ends"},
	} {
		t.Run(row.id+": "+row.want, func(t *testing.T) {
			got := ContentCautions([]Part{{stash.RoleWeft, yarns[row.id]}}, PieceForm{})
			if !slices.ContainsFunc(got,
				func(c Caution) bool { return strings.Contains(c.Text, row.want) }) {
				t.Errorf("%+v", got)
			}
			if last := got[len(got)-1]; !strings.Contains(last.Text, "ask") {
				t.Errorf("does not end by asking: %+v", got)
			}
		})
	}
	t.Run("a test is the maker's and no word for the card", func(t *testing.T) {
		y := yarn(t, "unknown (burn test: hair smell and a hard bead)")
		y.Note = "burn test says animal and paper smell, ash; holds angora"
		var asked []string
		for _, c := range ContentCautions([]Part{{stash.RoleWeft, y}}, PieceForm{}) {
			if strings.HasPrefix(c.Text, "Ask the maker") {
				asked = append(asked, c.Text)
			}
		}
		if len(asked) != 1 || !strings.Contains(asked[0], "angora") {
			t.Errorf("%q", asked)
		}
	})
	t.Run("elastane is not latex", func(t *testing.T) {
		for _, c := range ContentCautions([]Part{{stash.RoleWeft, yarns["Y35"]}}, PieceForm{}) {
			if strings.Contains(c.Text, "latex") {
				t.Error(c)
			}
		}
	})
	t.Run("a fringe is for no small child", func(t *testing.T) {
		if got := ContentCautions([]Part{{stash.RoleWarp, yarns["Y01"]}},
			PieceForm{Fringe: 120}); len(got) != 2 ||
			!strings.Contains(got[0].Text, "small children") {
			t.Errorf("%+v", got)
		}
	})
	t.Run("nothing recorded, no caution", func(t *testing.T) {
		if got := ContentCautions([]Part{{stash.RoleWarp, yarns["Y01"]}},
			PieceForm{}); len(got) != 0 {
			t.Errorf("%+v", got)
		}
	})
}
