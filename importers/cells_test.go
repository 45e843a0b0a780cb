package importers

import (
	"reflect"
	"strings"
	"testing"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

func TestParseDateReads(t *testing.T) {
	for text, want := range map[string]written.Date{
		"2023": {Year: 2023}, "2023-03": {Year: 2023, Month: 3},
		"2023-03-14": {Year: 2023, Month: 3, Day: 14}, "2023-03-14T00:00:00": {Year: 2023, Month: 3,
			Day: 14},
		"14.3.2023": {Year: 2023, Month: 3, Day: 14}, "14/3/2023": {Year: 2023, Month: 3, Day: 14},
		"3/14/2023": {Year: 2023, Month: 3, Day: 14}, "3/2023": {Year: 2023, Month: 3},
		"14 March 2023": {Year: 2023, Month: 3, Day: 14}, "March 14, 2023": {Year: 2023, Month: 3,
			Day: 14}, "Mar 2023": {Year: 2023, Month: 3},
		"14-Sept-2023":  {Year: 2023, Month: 9, Day: 14},
		"1988 (estate)": {Year: 1988, Note: "estate"}, "5/5/2023": {Year: 2023, Month: 5, Day: 5},
		"29.2.2024": {Year: 2024, Month: 2, Day: 29},
	} {
		if got, err := written.ParseDate(text); err != nil || got != want {
			t.Errorf("%q: got %+v, %v; want %+v", text, got, err, want)
		}
	}
}

func TestParseDateRefuses(t *testing.T) {
	for text, why := range map[string]string{
		"3/4/2023": "two days", "3/4/23": "two digits", "rolling": "not a date",
		"2023-13": "no such date", "31.4.2023": "no such date", "29.2.2023": "no such date",
		"": "not a date", "1066": "no such date", "yes (2023)": "not a date",
	} {
		if got, err := written.ParseDate(text); err == nil || !strings.Contains(err.Error(), why) {
			t.Errorf("%q: got %+v, %v; want a refusal with %q", text, got, err, why)
		}
	}
}

func TestParsePrice(t *testing.T) {
	for text, want := range map[string]written.Price{
		"12.50": {Amount: "12.5", Per: written.Per100g}, "£4": {Amount: "4", Per: written.Per100g,
			Currency: "GBP"}, "3.20 €": {Amount: "3.2", Per: written.Per100g, Currency: "EUR"},
		"5.60 per kg": {Amount: "5.6", Per: written.PerKilogram},
		"USD 8":       {Amount: "8", Per: written.Per100g, Currency: "USD"},
		"$8":          {Amount: "8", Per: written.Per100g, Currency: "$"},
		"4.50 each":   {Amount: "4.5", Per: written.PerPackage},
	} {
		if got, err := written.ParsePrice(text, written.StylePoint, written.Per100g,
			""); err != nil || got != want {
			t.Errorf("%q: got %+v, %v; want %+v", text, got, err, want)
		}
	}
	for _, text := range []string{"free", "2x5", "5 apples", "1,5"} {
		if got, err := written.ParsePrice(text, written.StylePoint, "", ""); err == nil {
			t.Errorf("%q: got %+v, want a refusal", text, got)
		}
	}
}

func TestParsePackages(t *testing.T) {
	g := measure.Gram
	for text, want := range map[string]Packages{
		"cone":            {Form: "cone", Number: 1},
		"mill cone":       {Form: "cone", Number: 1, Note: "mill"},
		"hand-wound ball": {Form: "ball", Number: 1, Note: "hand-wound"},
		"part skein":      {Form: "skein", Number: 1, Part: true},
		"balls":           {Form: "ball"},
		"4":               {Number: 4},
		"3.5 balls":       {Form: "ball", Number: 4, Part: true, Whole: "3.5"},
		"½ skein":         {Form: "skein", Number: 1, Part: true, Whole: "0.5"},
		"2 skeins (91 g, 102 g)": {Form: "skein", Number: 2,
			Masses: []measure.Mass{91 * g, 102 * g}},
		"5 skeins (20.4, 19.1, 20.0, 18.6, 20.8 g)": {Form: "skein", Number: 5,
			Masses: []measure.Mass{20400, 19100, 20000, 18600, 20800}},
		"3 balls + part":        {Form: "ball", Number: 4, Part: true},
		"1 ball + part":         {Form: "ball", Number: 2, Part: true},
		"2 balls + 9 g":         {Form: "ball", Number: 3, Part: true, Last: 9 * g},
		"2 x 100 g":             {Number: 2, Masses: []measure.Mass{100 * g, 100 * g}},
		"200 g":                 {Mass: "200 g"},
		"approx 3 hanks":        {Form: "hank", Number: 3, Note: "approx"},
		"2 skeins (one washed)": {Form: "skein", Number: 2, Note: "one washed"},
		"thrums":                {Form: "thrums"},
		"2 balls and part":      {Form: "ball", Number: 3, Part: true},
		"sliver":                {Form: "sliver"},
	} {
		if got, err := ParsePackages(text, written.StylePoint); err != nil ||
			!reflect.DeepEqual(got, want) {
			t.Errorf("%q:\n got %+v, %v\nwant %+v", text, got, err, want)
		}
	}
	for _, text := range []string{"0 balls", "2-Aug", "1000000 balls", "2 x 3 balls",
		"3 balls + 9"} {
		if got, err := ParsePackages(text, written.StylePoint); err == nil {
			t.Errorf("%q: got %+v, want a refusal", text, got)
		}
	}
}

// What any text makes of the parsers of cells: an answer or a refusal with a
// remedy, never a panic, never a negative number of packages.
func FuzzCells(f *testing.F) {
	seeds := []string{"2 skeins (91 g, 102 g)", "3 balls + part", "2 balls + 9 g", "14.3.2023",
		"1988 (estate)", "£4 per kg", "125 m / 50 g", "+", "( )", "½", "\x00"}
	if len(seeds) == 0 {
		f.Fatal("no seeds")
	}
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if p, err := ParsePackages(text, written.StyleUnknown); err == nil &&
			(p.Number < 0 || p.Number > written.MaxTimes+1 || len(p.Masses) > written.MaxTimes) {
			t.Errorf("%q: %+v", text, p)
		}
		if d, err := written.ParseDate(text); err == nil {
			d.Note = ""
			if again, err := written.ParseDate(d.String()); err != nil || again != d {
				t.Errorf("%q is %v, which reads as %v, %v", text, d, again, err)
			}
		}
		if p, err := written.ParsePrice(text, written.StyleUnknown, "", ""); err == nil &&
			p.Amount == "" {
			t.Errorf("%q: %+v", text, p)
		}
		_, _, _ = ParsePutUp(text)
		_ = (&Mapping{}).Add(text)
	})
}
