package stash_test

import (
	"encoding/json"
	"errors"
	"reflect"
	"strings"
	"testing"

	"endsmeet/stash"
)

var allWhats = []stash.What{stash.WhatYarn, stash.WhatPackage, stash.WhatProject, stash.WhatPerson,
	stash.WhatSettings}

func TestValueReads(t *testing.T) {
	for _, c := range []struct {
		what        stash.What
		field, text string
		want        string
	}{
		{stash.WhatYarn, "name", "  Ossentarn   cotton ", `"Ossentarn cotton"`},
		{stash.WhatYarn, "name", "naïve 毛糸", `"naïve 毛糸"`},
		{stash.WhatYarn, "shedding", "0", `0`},
		{stash.WhatYarn, "shedding", "unknown", `null`},
		{stash.WhatYarn, "shedding", "-", `null`},
		{stash.WhatYarn, "fit", "Weft Only", `"weft only"`},
		{stash.WhatYarn, "hazards", "latex, Long ends", `["latex","long ends"]`},
		{stash.WhatYarn, "construction", "plied,brushed", `["plied","brushed"]`},
		{stash.WhatYarn, "bleeds", "may", `"may"`},
		{stash.WhatYarn, "wash", "60 C tumble",
			`{"words":"60 C tumble","max_c":60,"agitation":"normal","tumble":true}`},
		{stash.WhatYarn, "wash", "hand", `{"words":"hand","max_c":30,"agitation":"none"}`},
		{stash.WhatYarn, "wash", "30°C gentle, no tumble",
			`{"words":"30°C gentle, no tumble","max_c":30,"agitation":"gentle"}`},
		{stash.WhatYarn, "putup", "50g", `50000`},
		{stash.WhatPackage, "tag", "cone-3", `"cone-3"`},
		{stash.WhatPackage, "form", "Cone", `"cone"`},
		{stash.WhatPackage, "acquired", "2024-02-29", `"2024-02-29"`},
		{stash.WhatPackage, "acquired", "2023-03", `"2023-03"`},
		{stash.WhatPackage, "acquired", "1999", `"1999"`},
		{stash.WhatPackage, "price", "3.10 per 100g", `{"milli":3100,"per_mg":100000}`},
		{stash.WhatPackage, "price", "3,1 / 100 g", `{"milli":3100,"per_mg":100000}`},
		{stash.WhatPackage, "price", "22 each", `{"milli":22000}`},
		{stash.WhatPackage, "price", "24 EUR", `{"milli":24000,"currency":"EUR"}`},
		{stash.WhatPackage, "price", "€24 per kg",
			`{"milli":24000,"per_mg":1000000,"currency":"EUR"}`},
		// units: 1 oz = 28.349523 g
		{stash.WhatPackage, "price", "1.50 per oz", `{"milli":1500,"per_mg":28350}`},
		{stash.WhatPackage, "price", "4,50 € per ball", `{"milli":4500,"currency":"EUR"}`},
		{stash.WhatPackage, "acquired", "27.11.2026", `"2026-11-27"`},
		{stash.WhatPackage, "acquired", "March 2024", `"2024-03"`},
		{stash.WhatPackage, "acquired", "27 Nov 2026", `"2026-11-27"`},
		{stash.WhatPackage, "price", "0.005", `{"milli":5}`},
		{stash.WhatPackage, "tare", "25g", `{"mg":25000,"source":"weighed"}`},
		{stash.WhatPackage, "tare", "28g assumed 12g",
			`{"mg":28000,"source":"assumed","spread_mg":12000}`},
		{stash.WhatPackage, "tare", "28g assumed ± 12g",
			`{"mg":28000,"source":"assumed","spread_mg":12000}`},
		{stash.WhatPackage, "longest", "75cm", `750`},
		{stash.WhatPackage, "quarantine", "2026-01-30 webbing found",
			`{"since":"2026-01-30","reason":"webbing found"}`},
		{stash.WhatPackage, "quarantine", "2026-01-30..2026-03-01",
			`{"since":"2026-01-30","until":"2026-03-01"}`},
		{stash.WhatPackage, "reserve", "60g for a commission", `{"mg":60000,"for":"a commission"}`},
		{stash.WhatProject, "stripes", "oat 40, dark slate 20",
			`[{"colour":"oat","ends":40},{"colour":"dark slate","ends":20}]`},
		{stash.WhatProject, "take_up", "120%", `1200000`},
		{stash.WhatProject, "clasped", "no", `false`},
		{stash.WhatPerson, "gone", "yes", `true`},
		{stash.WhatSettings, "fringe.twist_loss", "20%", `200000`},
		{stash.WhatSettings, "loom.heddles", "600", `600`},
	} {
		got, err := stash.Value(c.what, c.field, c.text)
		if err != nil || string(got) != c.want {
			t.Errorf("%s %s %q: %s, %v; want %s", c.what, c.field, c.text, got, err, c.want)
		}
	}
}

func TestValueRefusesAndSaysWhatToDo(t *testing.T) {
	for _, c := range []struct {
		what        stash.What
		field, text string
		words       string
	}{
		{stash.WhatYarn, "fiber", "wool", "did you mean fibre? one of: name, fibre, count"},
		{stash.WhatYarn, "sparkle", "1", "(one of: name, fibre, count"},
		{stash.WhatSettings, "doubt.cuont", "3%",
			"there is no such setting (did you mean doubt.count?"},
		{stash.WhatSettings, "doubt.count", "500%", "a doubt of 100% or more says nothing"},
		{stash.WhatYarn, "name", strings.Repeat("x", 5000), `xx…" is longer than 80 characters`},
		{stash.WhatYarn, "bin", "A1", "no such field"},
		{stash.WhatYarn, "name", "", "a name is wanted"},
		{stash.WhatYarn, "name", "\u202e\u200b", "a name is wanted"},
		{stash.WhatYarn, "name", "a\x1b[31mb", "control characters"},
		{stash.WhatYarn, "name", strings.Repeat("x", 81), "80 characters"},
		{stash.WhatYarn, "shedding", "4", "0 to 3"},
		{stash.WhatYarn, "shedding", "-1", "0 to 3"},
		{stash.WhatYarn, "shedding", "1.5", "0 to 3"},
		{stash.WhatYarn, "shedding", "99999999999999999999", "0 to 3"},
		{stash.WhatYarn, "fit", "warp only", "weft only"},
		{stash.WhatYarn, "hazards", "latx", "latex"},
		{stash.WhatYarn, "construction", "brushd", "brushed"},
		{stash.WhatYarn, "wash", "nicely", "40 C"},
		{stash.WhatYarn, "wash", "140 C", "95"},
		{stash.WhatYarn, "putup", "50", "g"},
		{stash.WhatYarn, "putup", "50m", ""},
		{stash.WhatYarn, "putup", "-50g", ""},
		{stash.WhatYarn, "count", "8/2", "base"},
		{stash.WhatYarn, "count", "8/2 Ne, by eye", "source"},
		{stash.WhatYarn, "fibre", "cotton 60, linen 30", ""},
		{stash.WhatPackage, "yarn", "x", "another record"},
		{stash.WhatPackage, "tag", "a b", "letters"},
		{stash.WhatPackage, "tag", "-rf", "letters"},
		{stash.WhatPackage, "tag", strings.Repeat("x", 25), "24"},
		{stash.WhatPackage, "form", "conne", "cone"},
		{stash.WhatPackage, "acquired", "2023-02-29", "no such date"},
		{stash.WhatPackage, "acquired", "2023-13", "no such date"},
		{stash.WhatPackage, "acquired", "29.02.2023", "no such date"},
		{stash.WhatPackage, "acquired", "3/4/2023", "two days"},
		{stash.WhatPackage, "acquired", "27.11.26", "four digits"},
		{stash.WhatPackage, "price", "1.500", "two ways"},
		{stash.WhatPackage, "acquired", "0005", "not a date"},
		{stash.WhatPackage, "price", "cheap", "per 100g"},
		{stash.WhatPackage, "price", "-3", "per 100g"},
		{stash.WhatPackage, "price", "3.10 per metre", ""},
		{stash.WhatPackage, "price", "3.10 per 0g", "nothing"},
		{stash.WhatPackage, "price", "99999999999999999999", "not a number of a size"},
		{stash.WhatPackage, "tare", "25", "g"},
		{stash.WhatPackage, "tare", "25g roundish", ""},
		{stash.WhatPackage, "tare", "assumed", ""},
		{stash.WhatPackage, "quarantine", "moths", "begins with a day"},
		{stash.WhatPackage, "quarantine", "2026-03-01..2026-01-30", "beginning"},
		{stash.WhatPackage, "quarantine", "2026-02-30", "begins with a day"},
		{stash.WhatPackage, "reserve", "some", ""},
		{stash.WhatPackage, "knots", "1001", "1000"},
		{stash.WhatProject, "stripes", "oat 2cm", "number of ends"},
		{stash.WhatProject, "stripes", "oat 40,", "number of ends"},
		{stash.WhatProject, "stripes", "oat 0", "number of ends"},
		{stash.WhatProject, "stripes", "oat -3", "number of ends"},
		{stash.WhatProject, "shrink_length", "100%", "leaves nothing"},
		{stash.WhatProject, "shrink_width", "-3%", ""},
		{stash.WhatProject, "clasped", "perhaps", "yes or no"},
		{stash.WhatProject, "warp", "x", "another record"},
		{stash.WhatSettings, "units", "cubits", ""},
		{stash.WhatSettings, "stale.days", "0", "1 to"},
		{stash.WhatSettings, "loom.widht", "70cm", "loom.width"},
		{stash.WhatSettings, "doubt.label", "100%", ""},
		{stash.WhatProject, "floats", "2", "floating_selvedges"},
		{"loom", "name", "x", "no such field"},
	} {
		got, err := stash.Value(c.what, c.field, c.text)
		if err == nil || !strings.Contains(err.Error(), c.words) {
			t.Errorf("%s %s %q: %s, %v; want a refusal that says %q", c.what, c.field, c.text, got,
				err, c.words)
		} else if harmful(err.Error()) {
			t.Errorf("%s %s: the refusal carries what it refuses: %q", c.what, c.field, err)
		}
	}
}

// TestEveryFieldHasAPlaceInItsRecord: a field without one would be stored and
// then taken for one of a newer version.
func TestEveryFieldHasAPlaceInItsRecord(t *testing.T) {
	records := map[stash.What]any{stash.WhatYarn: stash.YarnFacts{},
		stash.WhatPackage: stash.PackageFacts{}, stash.WhatProject: stash.ProjectFacts{},
		stash.WhatPerson: stash.PersonFacts{}}
	for _, what := range allWhats[:4] {
		places := map[string]bool{}
		record := reflect.TypeOf(records[what])
		for i := range record.NumField() {
			name, _, _ := strings.Cut(record.Field(i).Tag.Get("json"), ",")
			places[name] = true
		}
		fields := stash.FieldsOf(what)
		if len(fields) == 0 {
			t.Errorf("a %s has no fields", what)
		}
		for _, f := range fields {
			if !places[f.Name] {
				t.Errorf("a %s has no place for %s", what, f.Name)
			}
			if f.About() == "" && f.Refers == "" {
				t.Errorf("nothing says what %s of a %s means", f.Name, what)
			}
			delete(places, f.Name)
		}
		// of an import; told by its own command; derived
		for _, apart := range []string{"row", "rules", "-", ""} {
			delete(places, apart)
		}
		for name := range places {
			t.Errorf("%s of a %s is not in the table of fields", name, what)
		}
	}
}

// TestTheExampleOfEveryFieldCanBeRead: what the help offers is accepted.
func TestTheExampleOfEveryFieldCanBeRead(t *testing.T) {
	read := 0
	for _, what := range allWhats {
		for _, f := range stash.FieldsOf(what) {
			example, _, _ := strings.Cut(f.Help, " or ")
			example, _, _ = strings.Cut(example, " to ")
			if f.Parse == nil || f.Help == "" {
				continue
			}
			read++
			raw, err := stash.Value(what, f.Name, example)
			if err != nil || !json.Valid(raw) || string(raw) == "null" {
				t.Errorf("%s %s: the example %q gives %s, %v", what, f.Name, example, raw, err)
			}
		}
	}
	if read < 40 {
		t.Errorf("only %d fields have an example", read)
	}
}

func TestACountWithoutBaseOffersTheBases(t *testing.T) {
	_, err := stash.Value(stash.WhatYarn, "count", "8/2")
	if needed, ok := stash.NeedsBase(err); !ok || needed == nil {
		t.Errorf("got %v", err)
	}
	if _, ok := stash.NeedsBase(errors.New("else")); ok {
		t.Error("any error asks for a base")
	}
}

func TestTheWordsOfASettingCanBeTypedAgain(t *testing.T) {
	values, err := stash.SettingValues(stash.DefaultSettings())
	if err != nil {
		t.Fatal(err)
	}
	if len(values) < len(stash.FieldsOf(stash.WhatSettings)) {
		t.Errorf("%d values of %d settings", len(values), len(stash.FieldsOf(stash.WhatSettings)))
	}
	for _, f := range stash.FieldsOf(stash.WhatSettings) {
		words := stash.SettingWords(f.Name, values[f.Name])
		if words == "" {
			continue // text that is not set
		}
		again, err := stash.Value(stash.WhatSettings, f.Name, words)
		if err != nil || string(again) != string(values[f.Name]) {
			t.Errorf("%s: %s is shown as %q, which reads as %s, %v", f.Name, values[f.Name], words,
				again, err)
		}
	}
}

func TestSettingsLieOverTheDefaults(t *testing.T) {
	s := stash.SettingsOf(stash.Fields{"stale.days": json.RawMessage("30"),
		"loom.width": json.RawMessage(`"wide"`), "maker": json.RawMessage("null"),
		"sparkle":     json.RawMessage("3"),
		"doubt.label": json.RawMessage("70000")})
	want := stash.DefaultSettings()
	want.StaleDays = 30
	if s.StaleDays != 30 || s.LoomWidth != want.LoomWidth || s.Maker != want.Maker ||
		len(s.Doubts) != 1 {
		t.Errorf("got %+v", s)
	}
	want.Doubts = s.Doubts
	if !reflect.DeepEqual(s, want) {
		t.Errorf("got %+v\nwant %+v", s, want)
	}
}

// Every field that holds free text stands among the words that rules ask about, or is
// named here as one in which nobody speaks of a fibre.
func TestEveryFreeTextIsReadForFibres(t *testing.T) {
	never := map[string]bool{"tag": true, "lot": true, "form": true}
	const word = "angora"
	set := func(what stash.What, into any) (texts []string) {
		for _, f := range stash.FieldsOf(what) {
			if f.Parse == nil || never[f.Name] || f.Name == "fibre" {
				continue
			}
			for _, text := range []string{word, "2026-01-01 " + word} {
				value, err := stash.Value(what, f.Name, text)
				if err != nil || !strings.Contains(string(value), word) {
					continue
				}
				one, err := json.Marshal(stash.Fields{f.Name: value})
				if err == nil && json.Unmarshal(one, into) == nil {
					texts = append(texts, f.Name)
				}
				break
			}
		}
		return texts
	}
	var y stash.YarnFacts
	var p stash.PackageFacts
	yarn, pack := set(stash.WhatYarn, &y), set(stash.WhatPackage, &p)
	count := func(words []stash.Beside) (n int) {
		for _, b := range words {
			if strings.Contains(b.Text, word) {
				n++
			}
		}
		return n
	}
	if n := count(y.Words()); len(yarn) < 4 || n != len(yarn) {
		t.Errorf("of a yarn's texts %v are %d read", yarn, n)
	}
	if n := count(p.Beside()); len(pack) < 5 || n != len(pack) {
		t.Errorf("of an item's texts %v are %d read", pack, n)
	}
}
