package intake

import (
	"strings"
	"testing"

	"endsmeet/importers"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// A count that something else in its row contradicts is asked about with both figures and the
// likely slip, and doubted until it is measured; one that the row only says again is not.
func TestACountThatItsRowContradictsIsAsked(t *testing.T) {
	t.Parallel()
	g, mm := measure.Gram, measure.Metre
	for _, c := range []struct {
		count, words string
		net          measure.Mass
		label        measure.Length // on 100 g
		want         string         // of the question; empty for none
	}{
		{"2984 m/kg", "tag says 1480 m (niddy-noddy, before washing)", 372 * g, 0, "1480 is its count in yd/lb too"},
		{"2984 m/kg", "balance reads 1480 yd/lb after washing", 372 * g, 0, ""},
		{"1200 yd/lb", "", 100 * g, 400 * mm, "65% apart"},
		{"1984 m/kg", "", 100 * g, 400 * mm, "yards a pound may have been read as metres a kilogram"},
		{"1984 yd/lb", "", 100 * g, 400 * mm, ""},
		{"4200 m/kg", "2 skeins, label 420 m / 100 g each", 193 * g, 0, ""},
		{"4200 m/kg", "by label 840 m, by mass 811 m", 193 * g, 0, ""},
		{"4200 m/kg", "label 420 yd / 100 g", 193 * g, 0, ""}, // no surer than two bands
		{"8/2 Ne", "no piece longer than 0.75 m; tag says 40000 m/kg", 190 * g, 0, "40000 m/kg"},
		{"8/2 Ne", "4000 m/kg", 190 * g, 0, "the cotton base and the other metric"},
		{"4516 m/kg", "6773 m/kg by the shop", 190 * g, 0, "on the worsted one"},
		{"4000 m/kg", "40000 m/kg", 190 * g, 0, "decimal point"},
		{"6452 m/kg", "2.00 m sample = 0.31 g", 174 * g, 0, ""},
	} {
		reading, err := measure.ParseCount(c.count)
		if err != nil {
			t.Fatal(err)
		}
		r := &importers.Record{Name: "Moss", Count: reading, Net: &c.net, Notes: []importers.Note{{Text: c.words}}}
		if c.label > 0 {
			mass := 100 * g
			r.LabelMass, r.LabelLength = &mass, &c.label
		}
		e, err := new(Maker).Of(r, "Moss", "")
		if err != nil {
			t.Fatal(err)
		}
		asked := ""
		for _, q := range e.Questions {
			asked += q.Text
		}
		if c.want == "" && asked != "" || !strings.Contains(asked, c.want) {
			t.Errorf("%s with %q: %q, want %q", c.count, c.words, asked, c.want)
		}
		wide := countFactOf(e.Yarn).Doubt > 10*measure.Percent
		if wide != (c.want != "") {
			t.Errorf("%s with %q: its doubt is %s", c.count, c.words, countFactOf(e.Yarn).Doubt)
		}
	}
}

// The doubt between two counts is wider than that of either, and symmetrical.
func TestTheDoubtBetweenTwoCountsIsWide(t *testing.T) {
	t.Parallel()
	a := stash.CountFact{Count: 335_000, Source: measure.Balance}
	b := stash.CountFact{Count: 251_000, Source: measure.Label}
	doubt := a.DoubtBetween(b, nil)
	if doubt <= measure.Balance.StartingDoubt() || doubt >= measure.Whole {
		t.Error(doubt)
	}
}
