package importers

import (
	"math"
	"strings"
	"testing"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

func TestNetMass(t *testing.T) {
	g := measure.Gram
	for _, c := range []struct {
		name, header, row string
		want              measure.Mass
		asks              string
	}{
		{"gross less tare", "name|gross (g)|tare (g)", "a|412|25", 387 * g, ""},
		{"agrees with the sheet", "name|gross (g)|tare (g)|net (g)", "a|412|25|387", 387 * g, ""},
		{"asks where the sheet disagrees", "name|gross (g)|tare (g)|net (g)", "a|412|25|300",
			300 * g, "which holds?"},
		{"adds up packages", "name|form", "a|2 skeins (91 g, 102 g)", 193 * g, ""},
		{"3.5 balls by the label", "name|amount|ball weight (g)", "a|3.5 balls|50", 175 * g, ""},
		{"2 balls + 9 g by the label", "name|amount|ball weight (g)", "a|2 balls + 9 g|25", 59 * g,
			""},
		{"two alike", "name|weight (g)", "a|2x100g", 200 * g, ""},
		// units: 19 oz = 538.64094 g
		{"pounds and ounces", "name|weight", "a|1 lb 3 oz", 538_641, ""},
		{"a mass among amounts", "name|amount", "a|200 g", 200 * g, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := one(t, c.header, c.row)
			if r.Net == nil || *r.Net != c.want {
				t.Fatalf("got net %v, want %v", r.Net, c.want)
			}
			if asked := strings.Join(r.Questions, "; "); (c.asks == "") != (asked == "") ||
				!strings.Contains(asked, c.asks) {
				t.Errorf("questions: %q, want %q", asked, c.asks)
			}
		})
	}
}

func TestMassesOfPackages(t *testing.T) {
	g := measure.Gram
	for _, c := range []struct {
		name, header, row string
		want              []measure.Mass
		asks              string
	}{
		{"one package is the net mass", "name|form|net (g)", "a|cone|90", []measure.Mass{90 * g},
			""},
		{"listed", "name|form|net (g)", "a|2 skeins (91 g, 102 g)|193",
			[]measure.Mass{91 * g, 102 * g}, ""},
		{"listed and not the net mass", "name|form|net (g)", "a|2 skeins (91 g, 102 g)|150",
			[]measure.Mass{91 * g, 102 * g}, "add up to"},
		{"several, not given one by one", "name|form|net (g)", "a|4 skeins|372", nil,
			"4 skeins whose weights are not given"},
		{"a part is never guessed", "name|form|net (g)|ball weight (g)", "a|3 balls + part|181|50",
			nil, "4 balls"},
		{"whole ones by the label", "name|form|net (g)|ball weight (g)", "a|3 balls|150|50",
			[]measure.Mass{50 * g, 50 * g, 50 * g}, ""},
		{"whole ones by the label, and the last", "name|form|net (g)|ball weight (g)",
			"a|2 balls + 9 g|59|25", []measure.Mass{25 * g, 25 * g, 9 * g}, ""},
		{"not by the label when the net mass differs", "name|form|net (g)|ball weight (g)",
			"a|3 balls|140|50", nil, "3 balls"},
		{"no number", "name|form|net (g)", "a|balls|1400", nil, "how many there are (ball)"},
		{"3.5 balls: three whole and the rest", "name|amount|ball weight (g)", "a|3.5 balls|50",
			[]measure.Mass{50 * g, 50 * g, 50 * g, 25 * g}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := one(t, c.header, c.row)
			got := r.Packages.Masses
			if len(got) != len(c.want) {
				t.Fatalf("got %v, want %v; %v", got, c.want, r.Questions)
			}
			for i := range got {
				if got[i] != c.want[i] {
					t.Errorf("got %v, want %v", got, c.want)
				}
			}
			if asked := strings.Join(r.Questions, "; "); (c.asks == "") != (asked == "") ||
				!strings.Contains(asked, c.asks) {
				t.Errorf("questions: %q, want %q", asked, c.asks)
			}
		})
	}
}

func TestCountIsFound(t *testing.T) {
	for _, c := range []struct {
		name, header, row string
		mPerKg            float64 // as published with the count, or by the label
		source            measure.Source
	}{
		{"in its own column", "name|count", "a|8/2 Ne", 6773, measure.KnownCount},
		{"bare under a unit", "name|grist_m_per_kg|grist_source", "a|6773|weighed sample", 6773,
			measure.WeighedSample},
		{"an unknown source is none", "name|grist_m_per_kg|grist_source", "a|6773|measured relaxed",
			6773, measure.SourceUnknown},
		{"by the put-up", "name|put up", "a|125 m / 50 g", 2500, measure.Label},
		{"by label columns", "name|Label length (m)|Label mass (g)", "a|420|100", 4200,
			measure.Label},
		{"in the construction", "name|construction", "a|unmercerised, Ne 8/2", 6773,
			measure.KnownCount},
		{"label in the construction", "name|construction", "a|sock 4-ply, label 400 m / 100 g",
			4000, measure.Label},
		{"skeins are no Yorkshire count", "name|construction", "a|2 skeins, Ne 8/2", 6773,
			measure.KnownCount},
		{"by length and net mass", "name|net (g)|length (m)", "a|100|677.3", 6773,
			measure.SourceUnknown},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := one(t, c.header, c.row)
			if got := r.Count.Count.In(measure.BaseMPerKg); math.Abs(got-c.mPerKg) > 0.5 ||
				r.Count.Source != c.source {
				t.Errorf("got %.1f m/kg from %v, want %.0f from %v", got, r.Count.Source, c.mPerKg,
					c.source)
			}
		})
	}
}

func TestFieldsOfText(t *testing.T) {
	r := one(t, "name|warp|shedding|flags|acquired|fibre|price per 100g",
		"a|no: weft|some|wool (fine, soft), lint; -|rolling|cotton 60, unobtanium 40|£3.10")
	if r.Warp != WarpNo || r.WarpText != "no: weft" || *r.Shedding != 1 || len(r.Flags) != 2 ||
		r.Flags[0] != "wool (fine, soft)" {
		t.Errorf("got %+v", r)
	}
	if r.Acquired != nil || r.Notes[0].Text != "rolling" || r.Content != nil ||
		len(r.Questions) != 1 || !strings.Contains(r.Questions[0], "counts as unknown") {
		t.Errorf("got %+v, %q", r.Notes, r.Questions)
	}
	if *r.Price != (written.Price{Amount: "3.1", Per: written.Per100g, Currency: "GBP"}) {
		t.Errorf("got %+v", r.Price)
	}
	for text, want := range map[string]Warp{"yes": WarpYes, "No": WarpNo, "not yet": WarpCare,
		"yes, with care": WarpCare, "unknown": "", "weft only": WarpNo} {
		if got := one(t, "name|warp", "a|"+text).Warp; got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}

func TestApproximateIsNoted(t *testing.T) {
	r := one(t, "name|net (g)", "a|approx 200 (damp)")
	if *r.Net != 200*measure.Gram || len(r.Notes) != 2 || r.Notes[0].Text != "approx" ||
		r.Notes[1].Text != "damp" {
		t.Errorf("got %v, %+v", r.Net, r.Notes)
	}
}

func TestCompleteRefusesContradictions(t *testing.T) {
	gross, tare := 10*measure.Gram, 20*measure.Gram
	r := Record{Gross: &gross, Tare: &tare}
	if err := r.Complete(); err == nil || !strings.Contains(err.Error(), "less than the tare") {
		t.Error(err)
	}
}
