package fibre_test

import (
	"testing"

	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// annexIX is Regulation (EU) 1007/2011 Annex IX, agreed allowances in percent
// of dry mass, read in a published copy of the annex; form "" is the only one.
// Two rows (metallised, paper) were read in its predecessor, Directive
// 96/74/EC Annex II.
var annexIX = []struct {
	eu          int
	name, form  string
	wantPercent float64
}{
	{1, "wool", "combed", 18.25}, {1, "wool", "carded", 17}, {2, "alpaca", "combed", 18.25},
	{2, "mohair", "carded", 17},
	{2, "angora", "carded", 17}, {2, "cashmere", "combed", 18.25},
	{3, "animal hair", "combed", 18.25}, {3, "animal hair", "carded", 17},
	{3, "horsehair", "combed", 16}, {3, "horsehair", "carded", 15},
	{4, "silk", "", 11}, {5, "cotton", "normal", 8.5}, {5, "cotton", "mercerised", 10.5},
	{6, "kapok", "", 10.9},
	{7, "flax", "", 12}, {8, "hemp", "", 12}, {9, "jute", "", 17}, {10, "abaca", "", 14},
	{11, "alfa", "", 14}, {12, "coir", "", 13},
	{13, "broom", "", 14}, {14, "ramie", "bleached", 8.5}, {15, "sisal", "", 14},
	{16, "sunn", "", 12}, {17, "henequen", "", 14},
	{18, "maguey", "", 14}, {19, "acetate", "", 9}, {20, "alginate", "", 20}, {21, "cupro", "", 13},
	{22, "modal", "", 13},
	{23, "protein", "", 17}, {24, "triacetate", "", 7}, {25, "viscose", "", 13},
	{26, "acrylic", "", 2}, {27, "chlorofibre", "", 2},
	{28, "fluorofibre", "", 0}, {29, "modacrylic", "", 2}, {30, "polyamide", "discontinuous", 6.25},
	{30, "nylon", "filament", 5.75},
	{31, "aramid", "", 8}, {32, "polyimide", "", 3.5}, {33, "lyocell", "", 13},
	{34, "polylactide", "", 1.5}, {35, "polyester", "", 1.5},
	{36, "polyethylene", "", 1.5}, {37, "polypropylene", "", 2}, {38, "polycarbamide", "", 2},
	{39, "polyurethane", "discontinuous", 3.5},
	{39, "polyurethane", "filament", 3}, {40, "vinylal", "", 5}, {41, "trivinyl", "", 3},
	{42, "elastodiene", "", 1}, {43, "elastane", "", 1.5},
	{44, "glass fibre", "over 5 um", 2}, {44, "glass fibre", "up to 5 um", 3},
	{45, "elastomultiester", "", 1.5}, {46, "elastolefin", "", 1.5},
	{47, "melamine", "", 7}, {48, "metal", "", 2}, {48, "metallised", "", 2},
	{48, "paper", "", 13.75},
}

func TestAgreedAllowancesAreAnnexIX(t *testing.T) {
	for _, row := range annexIX {
		f, ok := fibre.Lookup(row.name)
		if !ok || f.EU != row.eu {
			t.Errorf("%s: found %v with number %d, want number %d", row.name, ok, f.EU, row.eu)
			continue
		}
		if got := allowance(f, row.form); got != measure.RatioOf(row.wantPercent/100) {
			t.Errorf("%s %s: allowance %v, want %v%%", row.name, row.form, got, row.wantPercent)
		}
	}
}

func allowance(f fibre.Fibre, form string) measure.Ratio {
	for _, a := range f.Allowances {
		if a.Form == form {
			return a.Ratio
		}
	}
	return -1
}

func TestEveryAnnexINumberHasARow(t *testing.T) {
	seen := map[int]bool{}
	for _, f := range fibre.All() {
		seen[f.EU] = true
	}
	for n := 1; n <= 50; n++ {
		if !seen[n] {
			t.Errorf("Annex I number %d has no row", n)
		}
	}
}

// Commercial regain: ASTM D1909-13, and measured regain at 65 % relative
// humidity and 20 °C: Morton and Hearle 2008, both as cited in one published
// review's table.
func TestRegainsAreThePublishedOnes(t *testing.T) {
	for _, row := range []struct {
		name                string
		commercial, low, hi float64
	}{
		{"cotton", 8.5, 7, 8}, {"flax", 12, 7, 7}, {"hemp", 12, 8, 8}, {"jute", 13.75, 12, 12},
		{"silk", 11, 10, 10}, {"wool", 13.6, 14, 18},
	} {
		f, _ := fibre.Lookup(row.name)
		if f.Commercial.High != measure.RatioOf(row.commercial/100) ||
			f.Commercial.Grade != fibre.Published {
			t.Errorf("%s: commercial regain %v, want %v%% as published", row.name,
				f.Commercial.High, row.commercial)
		}
		if f.Measured.Low != measure.RatioOf(row.low/100) ||
			f.Measured.High != measure.RatioOf(row.hi/100) {
			t.Errorf("%s: measured regain %v to %v, want %v to %v%%", row.name, f.Measured.Low,
				f.Measured.High, row.low, row.hi)
		}
	}
}

func TestTableHasNoContradictions(t *testing.T) {
	owner := map[string]fibre.ID{}
	for _, f := range fibre.All() {
		names := append([]string{string(f.ID)}, f.Synonyms...)
		if f.EUName != string(f.ID) && f.EUName != "" {
			names = append(names, f.EUName)
		}
		for _, name := range names {
			if other, taken := owner[name]; taken {
				t.Errorf("%q names both %s and %s", name, other, f.ID)
			}
			owner[name] = f.ID
		}
		if f.Humidity.Grade == fibre.NoFigure {
			t.Errorf("%s has no humidity figure", f.ID)
		}
		if protein := f.Class.Protein(); protein != f.Hazards.Has(fibre.AnimalFibre) &&
			f.ID != fibre.Unknown {
			t.Errorf("%s: animal origin %v, but hazards %v", f.ID, protein, f.Hazards)
		}
		if f.Class == fibre.Rubber && !f.Hazards.Has(fibre.Latex) &&
			!f.Hazards.Has(fibre.PossibleLatex) {
			t.Errorf("%s is rubber without a latex flag", f.ID)
		}
		if c, err := fibre.ParseContent(string(f.ID)); err != nil || c[0].Fibre != f.ID {
			t.Errorf("its own name reads %q as %v, %v", f.ID, c, err)
		}
	}
	if len(owner) < 100 {
		t.Fatalf("only %d names in the table", len(owner))
	}
}

func TestSynonyms(t *testing.T) {
	for synonym, want := range map[string]fibre.ID{
		"flax": "linen", "Polyamide": "nylon", "RAYON": "viscose", "spandex": "elastane",
		"natural rubber": "elastodiene",
		"latex":          "elastodiene", "elastic": fibre.UnknownElastic,
		"bamboo viscose":  "viscose",
		"metallised film": "metallised", "cellulose": fibre.UnknownCellulose,
	} {
		if f, ok := fibre.Lookup(synonym); !ok || f.ID != want {
			t.Errorf("%s is %s, want %s", synonym, f.ID, want)
		}
	}
	if _, ok := fibre.Lookup("moonbeam"); ok {
		t.Error("a made-up fibre was found")
	}
}

func TestNearestName(t *testing.T) {
	for typed, want := range map[string]string{"cottn": "cotton", "linnen": "linen",
		"alpacca": "alpaca", "merinoo": "merino", "viscsoe": "viscose"} {
		if got, ok := fibre.Nearest(typed); !ok || got != want {
			t.Errorf("Nearest(%q) = %q, want %q", typed, got, want)
		}
	}
	for _, far := range []string{"", "xy", "moonbeam"} {
		if got, ok := fibre.Nearest(far); ok {
			t.Errorf("Nearest(%q) = %q, want none", far, got)
		}
	}
}

func TestAnIDThatTheTableLacksIsUnknown(t *testing.T) {
	c := fibre.Content{{Fibre: "stardust", Share: measure.Whole}}
	if !c.Unknown() || !c.MayHave(fibre.Rubber) || !c.Felts(false) || !c.Melts() {
		t.Errorf("%v is not taken for an unknown fibre", c)
	}
	if id := fibre.ID("stardust").Info().ID; id != "stardust" {
		t.Errorf("its name became %q", id)
	}
}
