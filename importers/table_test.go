package importers

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

func TestEveryHeadingMeansOneField(t *testing.T) {
	seen := make(map[string]Field)
	for field, h := range fields() {
		for _, heading := range append([]string{words(string(field))}, h.headings...) {
			if other, ok := seen[heading]; ok {
				t.Errorf("%q is both %s and %s", heading, other, field)
			}
			seen[heading] = field
			if words(heading) != heading {
				t.Errorf("%q is not spelt as words() spells it: %q", heading, words(heading))
			}
		}
	}
	if len(seen) < 200 {
		t.Errorf("only %d headings", len(seen))
	}
}

func TestHeadings(t *testing.T) {
	for heading, want := range map[string]string{
		"weight (oz)": "net:oz", "Length yds": "length:yd", "Net [g]": "net:g",
		"gross_g": "gross:g", "GrossWeight (lb)": "gross:lb", "grist_m_per_kg": "count:m/kg",
		"Yards per pound": "count:yd/lb", "yd/lb": "", "TEX": "count:tex",
		"Price / 100g": "price:100 g", "£/kg": "", "Price (£)": "price", "Cost ($)": "price",
		"cost per skein": "price:item", "Total cost (€)": "price:total",
		"Price (total)": "price:total", "Unit price": "price:item",
		"price each":     "price:item",
		"Yards per ball": "label-length:yd", "metres per skein": "label-length:m",
		"Dye-Lot No.": "lot", "left (yd)": "length:yd", "left (g)": "net:g",
		"plus_minus_pct":  "doubt:%",
		"Weight in grams": "net:g", "Colour": "colour", "Qty": "items", "favourite song": "",
		"weight (yd)": "length:yd", "dye lot (oz)": "",
	} {
		t.Run(heading, func(t *testing.T) {
			c := matchHeading(1, heading, Mapping{})
			got := Target{Field: c.Field, Unit: c.Unit}
			if c.Field == FieldPrice {
				got.Unit = string(c.Basis)
			}
			if got.String() != want {
				t.Errorf("got %q, want %q", got, want)
			}
		})
	}
}

func TestMapping(t *testing.T) {
	t.Run("given columns win, and the mapping survives JSON", func(t *testing.T) {
		var m Mapping
		for _, text := range []string{"weight=mass:g", "What it is=name", "a=b=bin",
			"Paid=price:total"} {
			if err := m.Add(text); err != nil {
				t.Fatal(err)
			}
		}
		raw, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		var back Mapping
		if err := json.Unmarshal(raw, &back); err != nil {
			t.Fatal(err)
		}
		back.Reset()
		good, bad := read(t, gridOf("What It Is|WEIGHT|a=b|paid", "Wool|50|B1|3.20"),
			Options{Mapping: back})
		if bad.Err() != nil || len(good) != 1 || *good[0].Net != 50*measure.Gram ||
			good[0].Bin != "B1" || good[0].Price.Per != written.InTotal {
			t.Errorf("got %+v, %v from %s", good, bad.Err(), raw)
		}
	})
	t.Run("refused with what there is instead", func(t *testing.T) {
		for text, why := range map[string]string{"weight": "HEADING=FIELD", "=net": "HEADING=FIELD",
			"x=blurb": "the fields are", "x=net:tex": "it takes: mg, g", "x=name:g": "no unit",
			"x=price:yd": "a price"} {
			if err := (&Mapping{}).Add(text); err == nil || !strings.Contains(err.Error(), why) {
				t.Errorf("%q: got %v, want %q", text, err, why)
			}
		}
	})
	t.Run("a heading mapped twice is refused", func(t *testing.T) {
		var m Mapping
		if err := errors.Join(m.Add("x=net:g"), m.Add("X=gross:g")); err == nil ||
			!strings.Contains(err.Error(), "mapped twice") {
			t.Error(err)
		}
	})
	t.Run("a heading that is not there is refused", func(t *testing.T) {
		m := Mapping{Columns: map[string]Target{"wieght": {Field: FieldNet, Unit: "g"}}}
		if _, err := NewTable(gridOf("name|weight (g)", "a|1"), Options{Mapping: m}); err == nil ||
			!strings.Contains(err.Error(), "not there") {
			t.Error(err)
		}
	})
}

func TestHeaderIsFound(t *testing.T) {
	for name, lines := range map[string][]string{
		"in the first row": {"name|net (g)|dye lot", "Wool|50|7"},
		"below titles and blank rows": {"My yarns||", "||", "counted in spring||",
			"name|net (g)|dye lot", "Wool|50|7"},
		"group titles above":        {"What|Mass|Dye", "name|net (g)|lot", "Wool|50|7"},
		"units in a row below":      {"name|net|dye lot", "|(g)|", "Wool|50|7"},
		"headings in the row below": {"Name|Weight|Dye", "|net (g)|lot", "Wool|50|7"},
		"the header stands once more": {"name|net (g)|dye lot", "Wool|50|7",
			"Name|Net (g)|Dye lot"},
		"a row of totals is no yarn":   {"name|net (g)|dye lot", "Wool|50|7", "Total|50|"},
		"a column without a heading":   {"name|net (g)|dye lot|", "Wool|50|7|"},
		"blank rows between":           {"name|net (g)|dye lot", "||", "Wool|50|7", "||"},
		"names from the row above too": {"Name||Dye lot", "|net (g)|", "Wool|50|7"},
	} {
		t.Run(name, func(t *testing.T) {
			good, bad := read(t, gridOf(lines...), Options{})
			if bad.Err() != nil || len(good) != 1 {
				t.Fatalf("got %d rows, %v", len(good), bad.Err())
			}
			if r := good[0]; r.Name != "Wool" || r.Net == nil || *r.Net != 50*measure.Gram ||
				r.Lot != "7" {
				t.Errorf("got %+v", r)
			}
		})
	}
}

func TestTableRefuses(t *testing.T) {
	for _, c := range []struct {
		name, why string
		lines     []string
	}{
		{"a heading that stands twice", "is there twice", []string{"name|Lot|lot", "a|1|2"}},
		{"no header", "none of the first 30 rows", []string{"a|1", "b|2"}},
		{"nothing at all", "holds no text", []string{"", ""}},
		{"no column for the name", "no column holds the name", []string{"colour|dye lot", "red|1"}},
		{"numbers without a unit", "in which unit", []string{"name|weight", "a|50"}},
		{"weight beside tare", "with or without the cone",
			[]string{"name|weight (g)|tare (g)", "a|50|5"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := NewTable(gridOf(c.lines...), Options{})
			var all *Problems
			if !errors.As(err, &all) || !strings.Contains(err.Error(), c.why) {
				t.Fatalf("got %v", err)
			}
			for _, p := range all.List {
				if p.Hint == "" || p.File == "" {
					t.Errorf("no hint or file: %+v", p)
				}
			}
		})
	}
}

func TestUnknownColumnsAreNotes(t *testing.T) {
	r := one(t, "name|favourite song|", "Wool|Greensleeves|?!")
	if len(r.Notes) != 2 || r.Notes[0] != (Note{"favourite song", "Greensleeves"}) ||
		r.Notes[1] != (Note{"column 3", "?!"}) {
		t.Errorf("got %+v", r.Notes)
	}
}

func TestTwoColumnsForAField(t *testing.T) {
	table, err := NewTable(gridOf("name|weight (oz)|net (g)", "Wool|1|28"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(table.Notes, ""); !strings.Contains(got,
		`"weight (oz)" is kept as a note, since "net (g)" already gives net`) {
		t.Errorf("notes: %q", got)
	}
}

// Sums of other rows are no yarns, and it is told which rows they are; a title
// among the rows comes in, with a question.
func TestSumsAreToldAndTitlesAskedAbout(t *testing.T) {
	table, err := NewTable(gridOf("name|net (g)|lot", "Wool|20|1", "Shelf B||", "Total:|20|",
		"Summer cotton|5|"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	var asked []string
	for range 2 { // every run tells anew
		asked = nil
		for rec, err := range table.Records() {
			if err != nil {
				t.Fatal(err)
			}
			asked = append(asked, rec.Name+":"+strings.Join(rec.Questions, ""))
		}
	}
	if got := fmt.Sprint(table.Passed()); got != "[4]" {
		t.Errorf("passed over %s", got)
	}
	if len(asked) != 3 || asked[0] != "Wool:" ||
		!strings.HasPrefix(asked[1], "Shelf B:the row holds") ||
		asked[2] != "Summer cotton:" {
		t.Errorf("got %q", asked)
	}
}

// Half a gram is less than anybody keeps; half an ounce is not.
func TestAFractionOfAGramIsAskedAbout(t *testing.T) {
	for row, asked := range map[string]bool{"net (g)|1/2": true, "net (g)|½": true,
		"net (oz)|1/2": false, "net (g)|½ oz": false, "net (g)|0.5": false, "net (kg)|1/2": false} {
		head, cell, _ := strings.Cut(row, "|")
		r := one(t, "name|"+head, "Wool|"+cell)
		if got := strings.Contains(strings.Join(r.Questions, ""),
			"was a part of a ball or cone meant?"); got != asked {
			t.Errorf("%s: asked %v, questions %q", row, got, r.Questions)
		}
	}
}

func TestTwoMassesInOneCellOfPackages(t *testing.T) {
	r := one(t, "name|amount", "Wool|1 lb 3 oz")
	// units: 19 oz = 538.64092 g
	if r.Net == nil || r.Net.String() != "538.641 g" {
		t.Errorf("got %v", r.Net)
	}
}

// All faults of all rows come in one go, and good rows still come.
func TestAllBadRowsAreReported(t *testing.T) {
	good, bad := read(t, gridOf("name|net (g)|shedding|acquired", "a|1,x|0|", "|5|9|",
		"good|5|1|2020", "c|2-Aug|0|"), Options{})
	if len(good) != 1 || good[0].Name != "good" || bad.Rows != 3 || len(bad.List) != 4 {
		t.Fatalf("got %d good, %d bad rows, problems:\n%v", len(good), bad.Rows, bad)
	}
	want := "test.csv:3:3: \"shedding\": \"9\": not a degree of shedding\n    write 0 (none), 1, 2 or 3 (much)"
	if got := bad.List[1].Error(); got != want {
		t.Errorf("got %s\nwant %s", got, want)
	}
}

func TestProblemsAreHarmlessAndBounded(t *testing.T) {
	p := &Problem{File: "a\x1b[2J.csv", Sheet: "S", Line: 3, Column: 2, Header: "h",
		Value: strings.Repeat("é", 100) + "\x07", Reason: "bad"}
	got := p.Error()
	if strings.ContainsAny(got, "\x1b\x07") || len(got) > 200 ||
		!strings.HasPrefix(got, `a\x1b[2J.csv!S:3:2: "h": "é`) {
		t.Errorf("got %q", got)
	}
	var all Problems
	for i := range keepProblems + 5 {
		all.Add(&RowError{Line: i, Problems: []*Problem{{Reason: "bad"}}})
	}
	if len(all.List) != keepProblems || all.More != 5 || all.Rows != keepProblems+5 ||
		!strings.HasSuffix(all.Error(), "and 5 more problems of the same file") {
		t.Errorf("kept %d, more %d, rows %d", len(all.List), all.More, all.Rows)
	}
	if (&Problems{}).Err() != nil {
		t.Error("an empty list is an error")
	}
}

func TestCellsThatAreRefused(t *testing.T) {
	for _, c := range []struct{ header, row, why string }{
		{"name|net (g)", "a|a lot", "has no number"},
		{"name|net (g)", "a|5 yd", "is a length"},
		{"name|gross (g)|tare (g)", "a|20|25", "less than the tare"},
		{"name|count", "a|2-Aug", "a date"},
		{"name|count", "a|8/2", "count base"},
		{"name|doubt", "a|5 g", "percent"},
		{"name|tare (g)|gross (g)", "a|2 x 5 g|100", "more than one weight"},
		{"name|price", "a|free", "has no number"},
		{"name|put up", "a|50", "unit"},
		{"name|form", "a|0 balls", "not how many"},
		{"name|length (m)", "a|3 kg", "length is wanted"},
		{"name|bin", "a|" + strings.Repeat("x", maxText+1), "longer than"},
		{"name|bin", "a|b|c", "3 cells"},
		{"name|bin", "|b", "no name"},
	} {
		t.Run(c.header+" "+c.row[:min(len(c.row), 20)], func(t *testing.T) {
			p := refused(t, c.header, c.row)
			if got := fmt.Sprint(p[0]); !strings.Contains(got, c.why) {
				t.Errorf("got %s, want %q", got, c.why)
			}
		})
	}
}

func TestSpreadsheetKinds(t *testing.T) {
	g := gridOf("name|net (g)|lot", "a|x|y")
	for _, c := range []struct {
		kind Kind
		text string
		why  string
	}{{KindError, "#REF!", "shows an error"}, {KindFormula, "formula", "result is not stored"},
		{KindDate, "2024-08-02", "a date"}} {
		kinds := &Grid{File: "k", Rows: func(yield func(Row, error) bool) {
			for row := range g.Rows {
				if row.Line == 2 {
					row.Cells[1].Kind, row.Cells[1].Text = c.kind, c.text
				}
				if !yield(row, nil) {
					return
				}
			}
		}}
		_, bad := read(t, kinds, Options{})
		if bad.Rows != 1 || !strings.Contains(bad.Error(), c.why) {
			t.Errorf("%v: got %v", c.kind, bad)
		}
	}
}

func TestFatalProblemEndsTheRows(t *testing.T) {
	g := gridOf("name|lot", "a|1", "b|2")
	cut := &Grid{File: "k", Rows: func(yield func(Row, error) bool) {
		for row := range g.Rows {
			if row.Line == 3 {
				yield(Row{}, &Problem{File: "k", Line: 3, Reason: "cut off", Fatal: true})
				return
			}
			if !yield(row, nil) {
				return
			}
		}
	}}
	table, err := NewTable(cut, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var last error
	n := 0
	for _, err := range table.Records() {
		n++
		last = err
	}
	var row *RowError
	if n != 2 || last == nil || errors.As(last, &row) {
		t.Errorf("got %d results, last %v; want a good row and an error that is no row's", n, last)
	}
}

func FuzzTable(f *testing.F) {
	seeds := []string{"name|net (g)\na|1", "x|y\nname|weight\n|oz\na|2x5",
		"name|form|label weight (g)|put up\na|3 balls + part|50|125 m / 50 g",
		"name|gross (lb)|tare|count\na|1|2|8/2 Ne"}
	if len(seeds) == 0 {
		f.Fatal("no seeds")
	}
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		table, err := NewTable(gridOf(strings.Split(text, "\n")...), Options{})
		if err != nil {
			return
		}
		for rec, err := range table.Records() {
			if err == nil && (rec.Name == "" || rec.Identity.Key == "" || rec.Net != nil &&
				*rec.Net < 0) {
				t.Errorf("%q: %+v", text, rec)
			}
		}
	})
}
