package people

import (
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

func TestParseRule(t *testing.T) {
	for text, want := range map[string]stash.Rule{
		"against wool":                {Test: "fibre", Value: "wool", Answer: against},
		"Against  Flax strict":        {Test: "fibre", Value: "linen", Answer: against},
		"ask about":                   {},
		"ask shedding 2":              {Test: "shedding", Value: "2", Answer: ask},
		"ask shedding":                {Test: "shedding", Value: "1", Answer: ask},
		"against latex strict":        {Test: "latex", Answer: against},
		"against possible latex":      {Test: "possible latex", Answer: against},
		"against coarse":              {Test: "coarse", Value: "30 um", Answer: against},
		"against coarse 18.5 microns": {Test: "coarse", Value: "18.5 um", Answer: against},
		"only wool, mohair: it itches": {Test: "only", Value: "wool, mohair", Answer: against,
			Why: "it itches"},
		"ask only wool": {Test: "only", Value: "wool", Answer: ask},
		"survives 60c normal tumble": {Test: "survives", Value: "60 C normal tumble",
			Answer: against},
		"against fringe 1in":     {Test: "fringe", Value: "25 mm", Answer: against},
		"against odour smoke":    {Test: "odour", Value: "smoke", Answer: against},
		"ask merino":             {Test: "fibre", Value: "merino wool", Answer: ask},
		"against animal":         {Test: "fibre", Value: "animal", Answer: against},
		"no wool":                {Test: "fibre", Value: "wool", Answer: against},
		"wool-free":              {Test: "fibre", Value: "wool", Answer: against},
		"latex free":             {Test: "latex", Answer: against},
		"Allergic to wool":       {Test: "fibre", Value: "wool", Answer: against},
		"no latex: hives":        {Test: "latex", Answer: against, Why: "hives"},
		"wool allergy":           {Test: "fibre", Value: "wool", Answer: against},
		"cannot wear mohair":     {Test: "fibre", Value: "mohair", Answer: against},
		"without loops if known": {Test: "loops", Answer: against, Lenient: true},
		"no nickel":              {Test: "metal", Answer: against},
		"no rubber":              {Test: "possible latex", Answer: against},
		"no lurex":               {Test: "metal", Answer: against},
		"against Gummi":          {Test: "possible latex", Answer: against},
		"no smoke":               {Test: "odour", Value: "smoke", Answer: against},
		"against perfume":        {Test: "odour", Value: "perfume", Answer: against},
		"no beads":               {Test: "small parts", Answer: against},
		"no down":                {Test: "feathers", Answer: against},
		"nothing scratchy":       {Test: "coarse", Value: "30 um", Answer: against},
		"no lint":                {Test: "shedding", Value: "1", Answer: against},
		"against formaldehyde":   {Test: "finish", Answer: against},
		"against Wolle":          {Test: "fibre", Value: "wool", Answer: against},
		"allergique à la laine":  {},
		"against unknown fibre":  {Test: "unknown fibre", Answer: against},
		"against wool if known": {Test: "fibre", Value: "wool", Answer: against,
			Lenient: true},
		"against odour smoke if known": {Test: "odour", Value: "smoke", Answer: against,
			Lenient: true},
	} {
		t.Run(text, func(t *testing.T) {
			got, err := ParseRule(text)
			if want == (stash.Rule{}) {
				if err == nil {
					t.Fatalf("accepted as %+v", got)
				}
				return
			}
			if err != nil || got != want {
				t.Fatalf("%+v %v", got, err)
			}
			again, err := ParseRule(Words(got))
			again.Why = got.Why
			if err != nil || again != got {
				t.Errorf("%q reads back as %+v, %v", Words(got), again, err)
			}
		})
	}
}

func TestBadRules(t *testing.T) {
	for text, hint := range map[string]string{
		"against woool":          "wool",
		"against moahir":         "mohair",
		"ask sheding 2":          "shedding",
		"ask shedding 4":         "1, 2 or 3",
		"against coarse fine":    "5 to 200 um",
		"against fringe long":    "25 mm",
		"wool":                   `"ask wool"`,
		"":                       "against wool",
		"against":                "against wool",
		"only":                   "only cotton",
		"only wibble":            "",
		"survives boiling":       "60 C",
		"survives normal":        "60 C",
		"against wool 50":        "",
		"no":                     "",
		"free":                   "",
		"allergic to everything": "one thing a rule",
		"asthma":                 "--preset respiratory",
		"against eczema":         "--preset 'itchy skin'",
		"for the infusion ward":  "--preset ward",
		"against latex 5":        "",
		"against thick rope":     "500 tex",
		"against odour \x1b[2J":  "letters only",
		"against unknown":        "unknown fibre",
		"against wool (merino)?": "",
	} {
		t.Run(text, func(t *testing.T) {
			r, err := ParseRule(text)
			var e *Error
			if !errors.As(err, &e) {
				t.Fatalf("%+v, %v", r, err)
			}
			if !strings.Contains(e.Error(), hint) {
				t.Errorf("%v has no hint %q", err, hint)
			}
		})
	}
}

func TestWordsReadBack(t *testing.T) {
	starts := []string{"against", "ask", "", "only"}
	words := []string{"only", "wool,", "wool", "survives 60 C", "60", "tumble", "coarse", "22 um",
		"odour", "smoke", "fringe", "1in",
		"long ends", "unknown", "fibre", "thick", "recycled", "raw silk", "Schurwolle",
		"lana merino", "cottolin", "metal", "shedding", "2", "latex", "possible", "\x00", "é",
		"merino"}
	ends := []string{"", "strict", "if known", "if", ": why", "strict strict"}
	read := 0
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(starts).Draw(t, "start") + " " +
			strings.Join(rapid.SliceOfN(rapid.SampledFrom(words), 0, 3).Draw(t, "words"), " ") +
			" " + rapid.SampledFrom(ends).Draw(t, "end")
		r, err := ParseRule(text)
		if err != nil {
			return
		}
		read++
		again, err := ParseRule(Words(r))
		again.Why = r.Why
		if err != nil || again != r {
			t.Fatalf("%q: %+v reads back from %q as %+v, %v", text, r, Words(r), again, err)
		}
	})
	if read == 0 {
		t.Error("no rule could be read")
	}
}

func TestEveryFibreCanBeNamed(t *testing.T) {
	named := 0
	for _, f := range fibre.All() {
		if f.Hazards.Has(fibre.UnknownHazard) || !onlyLetters(string(f.ID)) {
			continue
		}
		named++
		if f.ID == anyHair { // a group: TestAWordForAGroupMeansAllOfIt
			continue
		}
		if r, err := ParseRule("against " + string(f.ID)); err != nil || r.Value != string(f.ID) &&
			r.Test == "fibre" {
			t.Errorf("%s: %+v %v", f.ID, r, err)
		}
	}
	if named < 40 {
		t.Errorf("only %d fibres", named)
	}
}

func TestContradictions(t *testing.T) {
	for name, row := range map[string]struct {
		rules []string
		want  int
	}{
		"only what is refused":            {[]string{"only wool", "against wool"}, 1},
		"only what a class refuses":       {[]string{"against animal", "only wool, silk"}, 1},
		"two needs without a common part": {[]string{"only wool", "only cotton"}, 1},
		"two needs with a common part":    {[]string{"only wool, cotton", "only cotton"}, 0},
		"one of two allowed is left":      {[]string{"only wool, cotton", "against wool"}, 0},
		"only what melts, against melts":  {[]string{"only acrylic", "against melts"}, 1},
		"the same test, two answers":      {[]string{"ask mohair", "against mohair"}, 1},
		"a rule repeated":                 {[]string{"against wool", "against wool"}, 0},
		"a narrower rule beside a wider": {[]string{"ask hair", "against wool", "ask shedding 1",
			"against shedding 2"}, 0},
		"lanolin may be washed out": {[]string{"only wool", "against lanolin"}, 0},
	} {
		t.Run(name, func(t *testing.T) {
			got := Check(person(t, row.rules...).Rules)
			if len(got) != row.want {
				t.Fatalf("%v", got)
			}
			for _, c := range got {
				if !strings.Contains(c.Error(), row.rules[0]) &&
					!strings.Contains(c.Error(), row.rules[1]) {
					t.Errorf("%v names no rule", c)
				}
			}
		})
	}
}

func TestPresets(t *testing.T) {
	all := Presets()
	if len(all) < 12 {
		t.Fatalf("%d presets", len(all))
	}
	for _, p := range all {
		t.Run(p.Name, func(t *testing.T) {
			got, err := PresetNamed(strings.ToUpper(p.Name))
			rules := got.Rules
			if err != nil || len(rules) == 0 || got.Source == "" || got.Dated == "" ||
				got.Grade == "" {
				t.Fatalf("%+v %v %v", got, rules, err)
			}
			for _, r := range rules {
				if r.Why == "" || r.Source != p.Source || r.Dated != p.Dated {
					t.Errorf("%+v", r)
				}
			}
			if c := Check(rules); len(c) > 0 {
				t.Error(c)
			}
		})
	}
	t.Run("rules are the caller's own", func(t *testing.T) {
		p, _ := PresetNamed("latex")
		p.Rules[0].Test, p.Also[0] = "changed", "changed"
		q, _ := PresetNamed("latex")
		if q.Rules[0].Test == "changed" || q.Also[0] == "changed" {
			t.Error("a preset was changed from outside")
		}
	})
	t.Run("another name finds it", func(t *testing.T) {
		for name, want := range map[string]string{"infusion ward": "ward", "baby": "infant",
			"nicu": "newborn unit", "asthma": "respiratory"} {
			if p, err := PresetNamed(name); err != nil || p.Name != want {
				t.Errorf("%s: %s %v", name, p.Name, err)
			}
		}
	})
	t.Run("no such preset", func(t *testing.T) {
		if _, err := PresetNamed("werewolf"); err == nil ||
			!strings.Contains(err.Error(), "respiratory") {
			t.Error(err)
		}
	})
	t.Run("no name stands for two presets", func(t *testing.T) {
		var names []string
		for _, p := range all {
			names = append(append(names, p.Name), p.Also...)
		}
		slices.Sort(names)
		if compact := slices.Compact(slices.Clone(names)); !reflect.DeepEqual(compact, names) {
			t.Error(names)
		}
	})
}

func TestTestsAreDocumented(t *testing.T) {
	docs := Tests()
	if len(docs) < 20 {
		t.Fatalf("%d tests", len(docs))
	}
	for _, d := range docs {
		if d.Name == "" || d.About == "" {
			t.Errorf("%+v", d)
		}
	}
}

func TestCautions(t *testing.T) {
	text := func(cs []Caution) string {
		var out string
		for _, c := range cs {
			if c.Source == "" {
				t.Errorf("%q has no source", c.Text)
			}
			out += c.Text + "\n"
		}
		return out
	}
	yarns := stash40(t)
	for name, row := range map[string]struct {
		got  string
		want string
	}{
		"linen asks for air and a mask":     {text(WeaverCautions(yarns["Y08"])), "mask"},
		"linen likes damp air":              {text(WeaverCautions(yarns["Y09"])), "damp air"},
		"shedding mohair asks for an apron": {text(WeaverCautions(yarns["Y19"])), "apron"},
		"raw wool asks for scouring": {text(WeaverCautions(yarn(t, "wool (raw fleece)"))),
			"scour"},
		"metallised yarn and the iron": {text(WeaverCautions(yarns["Y37"])), "No hot iron"},
		"acrylic melts":                {text(WeaverCautions(yarns["Y26"])), "melt"},
		"unknown fibre":                {text(WeaverCautions(yarns["Y31"])), "scrap"},
		"mothballs":                    {text(WeaverCautions(yarns["Y21"])), "outdoors"},
		"an infant's standard":         {text(Cautions(preset(t, "infant"))), "EN 14682"},
		"an infant's other standard":   {text(Cautions(preset(t, "infant"))), "16 CFR 1120"},
		"scents": {text(Cautions(preset(t, "respiratory"))),
			"without scent"},
		"whom to ask": {text(Cautions(stash.Person{})), "clinician"},
	} {
		t.Run(name, func(t *testing.T) {
			if !strings.Contains(row.got, row.want) {
				t.Errorf("%q lacks %q", row.got, row.want)
			}
		})
	}
	t.Run("plain cotton has no caution", func(t *testing.T) {
		if got := WeaverCautions(yarns["Y01"]); len(got) != 0 {
			t.Error(got)
		}
	})
	t.Run("nobody's standard is quoted to a wool reaction", func(t *testing.T) {
		if got := text(Cautions(preset(t, "wool reaction"))); strings.Contains(got, "EN 14682") {
			t.Error(got)
		}
	})
}

// TestForbiddenWords reads every string of this package's own files, and of
// the planner packages that speak about people.
func TestForbiddenWords(t *testing.T) {
	files, _ := filepath.Glob("*.go")
	for _, dir := range []string{"together", "care", "label"} {
		more, _ := filepath.Glob("../../planner/" + dir + "/*.go")
		if len(more) == 0 {
			t.Fatalf("no files in %s", dir)
		}
		files = append(files, more...)
	}
	strings_, set := 0, token.NewFileSet()
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(set, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			lit, ok := n.(*ast.BasicLit)
			if !ok || lit.Kind != token.STRING {
				return true
			}
			strings_++
			for _, word := range []string{"safe", "hypoallergenic", "hypo-allergenic"} {
				if strings.Contains(strings.ToLower(lit.Value), word) {
					t.Errorf("%s: %s", set.Position(lit.Pos()), lit.Value)
				}
			}
			return true
		})
	}
	if strings_ < 300 {
		t.Errorf("only %d strings read", strings_)
	}
}

// Ledgers from when strictness had to be asked for: a rule that does not ask for
// it is strict now, and one that does is no rule of a newer version.
func TestRulesOfBeforeAreStrict(t *testing.T) {
	for _, text := range []string{
		`{"name":"Nell","rules":[{"test":"fibre","value":"wool","answer":"against"}]}`,
		`{"name":"Nell","rules":[{"test":"fibre","value":"wool","answer":"against","strict":true}]}`,
	} {
		d := json.NewDecoder(strings.NewReader(text))
		d.DisallowUnknownFields()
		var facts stash.PersonFacts
		if err := d.Decode(&facts); err != nil {
			t.Fatal(err)
		}
		got := Suits(stash.Person{PersonFacts: facts}, stash.Yarn{})
		if got.Answer != unknown || !got.Blocks() || got.Reasons[0].Rule != "against wool" {
			t.Errorf("%s: %+v", text, got)
		}
	}
}

// What people say behind the name of a thing leaves the rule as strict as it is.
func TestRulesAsPeopleSayThem(t *testing.T) {
	for said, want := range map[string]string{"no wool next to skin": "against wool",
		"no animal fibres": "against animal", "no scratchy yarn": "against coarse 30 um",
		"no wool at all please": "against wool", "no unknown fibre": "against unknown fibre",
		"against latex content": "against latex", "no wool fibers in it": "against wool"} {
		r, err := ParseRule(said)
		if err != nil || Words(r) != want {
			t.Errorf("%s is read as %q, %v, want %q", said, Words(r), err, want)
		}
	}
	for said, hint := range map[string]string{"vegan": "no animal", "wool: itches": "against wool",
		"no yarn": "", "no fibre": ""} {
		if _, err := ParseRule(said); err == nil || !strings.Contains(err.Error(), hint) {
			t.Errorf("%s: %v, want %s", said, err, hint)
		}
	}
	for _, rules := range several {
		for _, part := range strings.Split(rules, `"`) {
			if strings.HasPrefix(part, "no ") || strings.HasPrefix(part, "ask ") {
				if _, err := ParseRule(part); err != nil {
					t.Errorf("%s: %v", part, err)
				}
			}
		}
	}
}
