package csvfile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"endsmeet/importers"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// All forty rows, cell for cell against a plain reading of the file. The
// sheet's own estimate of the length is held against net mass and count.
func TestStash40(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/sheets/stash40.csv")
	if err != nil {
		t.Fatal(err)
	}
	plain, err := csv.NewReader(bytes.NewReader(raw)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	table, all := records(t, "../../testdata/sheets/stash40.csv")
	if len(all) != 40 || len(plain) != 41 || table.Grid.Encoding != UTF8 ||
		table.Grid.Delimiter != "comma" || table.Style != written.StylePoint {
		t.Fatalf("%d rows, %d lines, %s, %s, %v", len(all), len(plain), table.Grid.Encoding,
			table.Grid.Delimiter, table.Style)
	}
	for i, r := range all {
		t.Run(r.Ref, func(t *testing.T) { checkStashRow(t, plain[0], plain[i+1], r) })
	}
}

func checkStashRow(t *testing.T, header, cells []string, r importers.Record) {
	cell := make(map[string]string)
	for i, h := range header {
		cell[h] = strings.TrimSpace(cells[i])
	}
	same := func(column, got string) {
		if want := cell[column]; got != want && !(importers.Blank(want) && got == "") {
			t.Errorf("%s: got %q, want %q", column, got, want)
		}
	}
	same("id", r.Ref)
	same("name", r.Name)
	same("fibre", r.Fibre)
	same("construction", r.Construction)
	same("grist_source", r.CountSource)
	same("dye_lot", r.Lot)
	same("bin", r.Bin)
	same("care", r.Care)
	same("warp_use", r.WarpText)
	same("gross_g", grams(*r.Gross))
	same("tare_g", grams(*r.Tare))
	same("net_g", grams(*r.Net))
	same("shed_0_3", strconv.Itoa(*r.Shedding))
	same("grist_m_per_kg", strconv.FormatFloat(r.Count.Count.In(measure.BaseMPerKg), 'f', 0, 64))
	if note := (importers.Note{Heading: "why_it_is_here",
		Text: cell["why_it_is_here"]}); !slices.Contains(r.Notes, note) {
		t.Errorf("the unknown column became %+v", r.Notes)
	}
	price, _ := strconv.ParseFloat(cell["price_per_100g"], 64)
	if got, _ := strconv.ParseFloat(r.Price.Amount, 64); got != price ||
		r.Price.Per != written.Per100g {
		t.Errorf("price %+v, want %v", r.Price, price)
	}
	if r.Content == nil {
		t.Errorf("the fibre %q is not understood", r.Fibre)
	}
	if net := *r.Gross - *r.Tare; net != *r.Net {
		t.Errorf("gross less tare is %v, net %v", net, *r.Net)
	}
	length, _ := measure.LengthOf(*r.Net, r.Count.Count)
	if d := math.Abs(float64(length - *r.Length)); d > 0.005*float64(*r.Length)+1000 {
		t.Errorf("net mass and count make %v, the sheet says %v", length, *r.Length)
	}
}

func grams(m measure.Mass) string { return strconv.FormatFloat(float64(m)/1000, 'f', -1, 64) }

// The rows of the forty that hold several packages, or none that can be counted.
func TestStash40Packages(t *testing.T) {
	_, all := records(t, "../../testdata/sheets/stash40.csv")
	want := map[string]string{
		"Y15": "skein 2 [91 g 102 g]", "Y16": "ball 4 part []", "Y18": "ball 3 part []",
		"Y19": "ball 3 part [25 g 25 g 9 g]", "Y20": "ball 1 part [46 g]", "Y21": "skein 3 []",
		"Y25": "cake 2 [200 g 143 g]", "Y26": "ball 3 part []",
		"Y27": "skein 5 [20.4 g 19.1 g 20 g 18.6 g 20.8 g]", "Y29": "skein 4 []",
		"Y38": "ball 2 part []", "Y39": "bundle 1 [190 g]", "Y40": "ball 0 []",
		"Y12": "skein 1 part [74 g]", "Y09": "ball 1 [88 g]", "Y14": "cone 1 [483 g]",
	}
	found := 0
	for _, r := range all {
		p := r.Packages
		got := fmt.Sprintf("%s %d%s %v", p.Form, p.Number, map[bool]string{true: " part"}[p.Part],
			p.Masses)
		if w, ok := want[r.Ref]; ok {
			found++
			if got != w {
				t.Errorf("%s: got %q, want %q", r.Ref, got, w)
			}
		} else if p.Number != 1 {
			t.Errorf("%s: got %q, want one package", r.Ref, got)
		}
		if asks := len(p.Masses) != p.Number || p.Number == 0; asks != (len(r.Questions) == 1) {
			t.Errorf("%s: %q asks %q", r.Ref, got, r.Questions)
		}
	}
	if found != len(want) {
		t.Errorf("found %d of %d", found, len(want))
	}
}

// Five sheets of different habits, all invented.
func TestSheetsOfDifferentHabits(t *testing.T) {
	for _, c := range []struct {
		file, encoding, delimiter string
		style                     written.Style
		rows                      []string
	}{
		// units: 17.5, 13, 8.5 and 7 oz; 560 and 3360 yd/lb in m/kg
		{"imperial.csv", UTF8, "comma", written.StylePoint, []string{
			"Fennick rug wool/rust net 496.117 g 1129 m/kg lot 22 2019-10-14",
			"Fennick rug wool/rust net 368.544 g 1129 m/kg lot 23 2019-10-14",
			"Quillbeck cotton/sand net 240.971 g 6773 m/kg lot  2021-05",
			"Quillbeck cotton/sky net 198.446 g 6773 m/kg lot A-1 2021",
			"Sorrelby silk/pearl net 50 g 10080 m/kg lot  1998"}},
		{"semicolon.csv", Windows1252, "semicolon", written.StyleComma, []string{
			"Übermoor Wolle/grün net 1234.5 g 2000 m/kg lot  2022-03-14",
			"Strandgras Leinen/natur net 0.85 g 4824 m/kg lot  2020",
			"Kieselbach Baumwolle/weiß net 98.9 g 4004 m/kg lot  2021-03"}},
		{"balls.csv", UTF8, "comma", written.StylePoint, []string{
			"Plumley sock/teal net 175 g 4200 m/kg lot T4 -",
			"Plumley sock/ochre net 25 g 4200 m/kg lot T9 -",
			"Ashwick aran/stone net 200 g 1600 m/kg lot  -",
			"Ashwick aran/moss net 400 g 1600 m/kg lot M1 -",
			"Merrow mist/smoke net 59 g 8400 m/kg lot M2 -",
			"Merrow mist/fog net - 8400 m/kg lot M3 -",
			"Gorsley tweed/bracken net 201 g 2000 m/kg lot  -",
			"Gorsley tweed/heath net 300 g 2000 m/kg lot  -"}},
		{"tworows.csv", UTF8, "comma", written.StylePoint, []string{
			"Hollin lambswool/fern net 200 g 4000 m/kg lot 81 -",
			"Hollin lambswool/peat net 51.5 g 4000 m/kg lot 82 -",
			"Skarn linen/grey net 250 g 4800 m/kg lot  -"}},
		{"titles.csv", UTF8BOM, "comma", written.StylePoint, []string{
			"Tarnside alpaca/fawn net 291 g 0 m/kg lot  -",
			"Whitrigg cotton/ecru net 1400 g 0 m/kg lot 7 -",
			"Whitrigg cotton/navy net 640 g 0 m/kg lot 9 -"}},
	} {
		t.Run(c.file, func(t *testing.T) {
			table, all := records(t, filepath.Join("../../testdata/sheets", c.file))
			if table.Grid.Encoding != c.encoding || table.Grid.Delimiter != c.delimiter ||
				table.Style != c.style {
				t.Errorf("got %s, %s, %v", table.Grid.Encoding, table.Grid.Delimiter, table.Style)
			}
			if len(all) != len(c.rows) {
				t.Fatalf("got %d rows, want %d", len(all), len(c.rows))
			}
			for i, r := range all {
				if got := project(r); got != c.rows[i] {
					t.Errorf("row %d:\n got %s\nwant %s", i+1, got, c.rows[i])
				}
			}
		})
	}
}

func project(r importers.Record) string {
	net, date := "-", "-"
	if r.Net != nil {
		net = r.Net.String()
	}
	if r.Acquired != nil {
		date = r.Acquired.String()
	}
	return fmt.Sprintf("%s/%s net %s %.0f m/kg lot %s %s", r.Name, r.Colour, net,
		r.Count.Count.In(measure.BaseMPerKg), r.Lot, date)
}

func TestEveryDataFileIsTested(t *testing.T) {
	files, err := filepath.Glob("../../testdata/sheets/*.csv")
	if err != nil || len(files) != 6 {
		t.Errorf("got %q, %v; want the six sheets that the tests above name", files, err)
	}
}

// Bad rows written out, mended as text and read again are good.
func TestRejectsCanBeMendedAndImported(t *testing.T) {
	in := "name;net (g);notes\ngood;5;\nbad;5 yd;\"x; y\"\nworse;5\" wide;\n"
	g, err := text(in, Options{})
	if err != nil {
		t.Fatal(err)
	}
	table, err := importers.NewTable(g, importers.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	rejects := NewRejects(&out, table)
	for _, err := range table.Records() {
		var e *importers.RowError
		if errors.As(err, &e) {
			if err := rejects.Add(e); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := rejects.Flush(); err != nil {
		t.Fatal(err)
	}
	if want := "name;net (g);notes\nbad;5 yd;\"x; y\"\nworse;5\" wide;\n"; out.String() != want {
		t.Fatalf("got %q, want %q", out.String(), want)
	}
	mended := strings.ReplaceAll(strings.ReplaceAll(out.String(), "5 yd", "6 g"), `5" wide`, "7")
	path := filepath.Join(t.TempDir(), "mended.csv")
	if err := os.WriteFile(path, []byte(mended), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, all := records(t, path); len(all) != 2 || *all[0].Net != 6*measure.Gram ||
		*all[1].Net != 7*measure.Gram {
		t.Errorf("got %+v", all)
	}
}

func TestRowsOfAnotherWidthAreRefused(t *testing.T) {
	g, err := text("name,lot,bin\na,1,b\nb,2\nc,3,x,extra\nd,4,,\n", Options{})
	if err != nil {
		t.Fatal(err)
	}
	table, err := importers.NewTable(g, importers.Options{})
	if err != nil {
		t.Fatal(err)
	}
	bad := &importers.Problems{}
	good := 0
	for _, err := range table.Records() {
		var e *importers.RowError
		if errors.As(err, &e) {
			bad.Add(e)
		} else {
			good++
		}
	}
	if good != 2 || bad.Rows != 2 || bad.List[0].Line != 3 || bad.List[1].Line != 4 ||
		!strings.Contains(bad.Error(), "the row has 2 cells, the header has 3") {
		t.Errorf("%d good; %v", good, bad)
	}
}
