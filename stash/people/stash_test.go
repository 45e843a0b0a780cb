package people

import (
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// stash40 reads the invented stash of testdata/sheets/stash40.csv as yarns.
func stash40(t *testing.T) map[string]stash.Yarn {
	t.Helper()
	f, err := os.Open("../../testdata/sheets/stash40.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) != 41 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	yarns := map[string]stash.Yarn{}
	for _, row := range rows[1:] {
		yarns[row[0]] = yarnOf(t, rows[0], row)
	}
	return yarns
}

func yarnOf(t *testing.T, head, row []string) stash.Yarn {
	col := func(name string) string { return row[slices.Index(head, name)] }
	content, err := fibre.ParseContent(col("fibre"))
	if err != nil {
		t.Fatalf("%s: %v", row[0], err)
	}
	grade, err := strconv.Atoi(col("shed_0_3"))
	if err != nil {
		t.Fatal(err)
	}
	perKg, err := strconv.ParseFloat(col("grist_m_per_kg"), 64)
	if err != nil {
		t.Fatal(err)
	}
	y := stash.YarnFacts{Name: col("name"), Fibre: content, Shedding: &grade,
		Wash: washOf(col("care"))}
	y.Count = &stash.CountFact{Count: measure.Count(1e9 / perKg)}
	for _, c := range stash.Constructions {
		if strings.Contains(strings.ReplaceAll(col("construction"), "2-ply", "plied"), c.Word) {
			y.Construction = append(y.Construction, c.Word)
		}
	}
	marks(&y, col("flags")+" "+col("why_it_is_here"))
	return stash.Yarn{ID: stash.YarnID(row[0]), YarnFacts: y}
}

func washOf(care string) *stash.Wash {
	w := &stash.Wash{Words: care, Tumble: strings.Contains(care, "tumble")}
	number, _, _ := strings.Cut(care, " C")
	w.MaxC, _ = strconv.Atoi(number)
	if strings.HasPrefix(care, "hand") {
		w.MaxC, w.Agitation = 30, stash.AgitateNone
	} else if !strings.Contains(care, "wool") && !strings.Contains(care, "hand") {
		w.Agitation = stash.AgitateNormal
	}
	return w
}

func marks(y *stash.YarnFacts, words string) {
	for _, smell := range []string{"smoke", "mothball"} {
		if strings.Contains(words, smell) && y.Name != "Hazelmane mist, smoke" {
			y.Odour = smell
		}
	}
	switch {
	case strings.Contains(words, "may bleed"):
		y.Bleeds = stash.May
	case strings.Contains(words, "bleeds"):
		y.Bleeds = stash.Yes
	}
	for word, hazard := range map[string]string{"dust": "dust", "loops catch": "loops",
		"long loose ends": "long ends",
		", lanolin":       "lanolin", "some lanolin": "lanolin", "aged": "perished", "oily": "oil",
		"scratchy": "prickle"} {
		if strings.Contains(words, word) && !strings.Contains(words, "no lanolin") {
			y.Hazards = append(y.Hazards, hazard)
		}
	}
}

// person makes a person from rules in words.
func person(t *testing.T, rules ...string) stash.Person {
	t.Helper()
	p := stash.Person{ID: "p"}
	for _, text := range rules {
		r, err := ParseRule(text)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		p.Rules = append(p.Rules, r)
	}
	return p
}

// preset makes a person from a preset.
func preset(t *testing.T, name string) stash.Person {
	t.Helper()
	preset, err := PresetNamed(name)
	if err != nil {
		t.Fatal(err)
	}
	return stash.Person{ID: "p", PersonFacts: stash.PersonFacts{Rules: preset.Rules}}
}

// yarn makes a yarn from its fibre in words.
func yarn(t testing.TB, content string, change ...func(*stash.YarnFacts)) stash.Yarn {
	t.Helper()
	y := stash.Yarn{YarnFacts: stash.YarnFacts{Name: content}}
	if content != "" {
		c, err := fibre.ParseContent(content)
		if err != nil {
			t.Fatal(err)
		}
		y.Fibre = c
	}
	for _, f := range change {
		f(&y.YarnFacts)
	}
	return y
}
