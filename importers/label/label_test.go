package label

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"endsmeet/importers"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

func parse(t testing.TB, line string) Label {
	t.Helper()
	l, err := Parse(line, unsaid)
	if err != nil {
		t.Fatalf("%q: %v", line, err)
	}
	return l
}

func TestTheWholeLine(t *testing.T) {
	l := parse(t, "3 x 50 g / 125 m, 75% wool 25% nylon, superwash, lot F08")
	r := l.Record
	if r.Packages.Number != 3 || *r.LabelMass != 50*measure.Gram ||
		*r.LabelLength != 125*measure.Metre || *r.Net != 150*measure.Gram ||
		len(r.Packages.Masses) != 3 {
		t.Errorf("put-up: %+v", r)
	}
	if r.Fibre != "75% wool 25% nylon" || len(r.Content) != 2 || r.Construction != "superwash" ||
		r.Lot != "F08" || len(l.Unknown) != 0 {
		t.Errorf("got %+v, unknown %v", r, l.Unknown)
	}
	if got := r.Count.Count.In(measure.BaseMPerKg); got != 2500 || r.Count.Source != measure.Label {
		t.Errorf("count %v m/kg from %v", got, r.Count.Source)
	}
}

// Lines as bands carry them, in their languages; common practice, no source.
func TestBallBandsInOtherLanguages(t *testing.T) {
	for line, want := range map[string]string{
		"100g 400m merino":                                                "0 100 g 400 m fibre merino",
		"merino 100g 400m":                                                "0 100 g 400 m fibre merino",
		"100 g 400 m 75% Schurwolle, 25% Polyamid":                        "0 100 g 400 m fibre 75% Schurwolle, 25% Polyamid",
		"75% Schurwolle, 25% Polyamid":                                    "0 - - fibre 75% Schurwolle, 25% Polyamid",
		"50 g, LL ca. 125 m, 100% Schurwolle, Partie 4711, Farbe 12":      "0 50 g 125 m lot 4711 colour 12 fibre 100% Schurwolle",
		"50 gr / 125 mt, 55% lana 45% seta, lotto 8, colore 3":            "0 50 g 125 m lot 8 colour 3 fibre 55% lana 45% seta",
		"50 g = 125 mètres; 100 % laine vierge; bain n° 7; coloris 21":    "0 50 g 125 m lot 7 colour 21 fibre 100 % laine vierge",
		"100 g / 300 metros, 100% algodón, lote 5, lavar a mano":          "0 100 g 300 m lot 5 care lavar a mano fibre 100% algodón",
		"50 g 175 m, 75% villaa 25% polyamidia, väri 102, erä 9":          "0 50 g 175 m lot 9 colour 102 fibre 75% villaa 25% polyamidia",
		"50 g / 125 m, 80% ull 20% polyamid, färg 5, parti 33, handtvätt": "0 50 g 125 m lot 33 colour 5 care handtvätt fibre 80% ull 20% polyamid",
		"100g/400m, 60% bawełna 40% akryl, kolor 7, partia 15":            "0 100 g 400 m lot 15 colour 7 fibre 60% bawełna 40% akryl",
		"100 g 400 m wool 75, nylon 25 lot F08":                           "0 100 g 400 m lot F08 fibre wool 75, nylon 25",
		"3 x 50 g 125 m 100% Baumwolle":                                   "3 50 g 125 m fibre 100% Baumwolle",
		"Schurwolle 75 % Polyamid 25 % 420m = 100g":                       "0 100 g 420 m fibre Schurwolle 75 % Polyamid 25 %",
		"100 g = ca. 210 m - 80% Baumwolle, 20% Leinen":                   "0 100 g 210 m fibre 80% Baumwolle, 20% Leinen",
		"3 skeins 100g merino":                                            "skein 3 100 g - fibre merino",
		"col 5 lot 88":                                                    "0 - - lot 88 colour 5",
		"50g/125m 100% Wolle (Merino) filzfrei":                           "0 50 g 125 m fibre 100% Wolle (Merino) filzfrei",
		"50 g, silver":                                                    "0 50 g - unknown silver@7",
		"2 m wide":                                                        "0 - - unknown 2 m wide@1",
	} {
		t.Run(line, func(t *testing.T) {
			if got := project(parse(t, line)); got != want {
				t.Errorf("got %q, want %q", got, want)
			}
		})
	}
}

func TestParts(t *testing.T) {
	for line, want := range map[string]string{
		"50 g / 125 m":                           "0 50 g 125 m",
		"125m/50g":                               "0 50 g 125 m",
		"50 g = 125 m each":                      "0 50 g 125 m",
		"1.75 oz / 137 yd 100% acrylic":          "0 49.612 g 125.273 m fibre 100% acrylic",
		"50 g 100% wool":                         "0 50 g - fibre 100% wool",
		"2×100 g":                                "2 100 g -",
		"50g/125m/137yds":                        "0 50 g 125 m",
		"1.75 oz / 50 g, 137 yd / 125 m":         "0 50 g 125 m",
		"4 oz = 200 yd":                          "0 113.398 g 182.88 m",
		"50 g (125 m)":                           "0 50 g 125 m",
		"50 g approx 125 m":                      "0 50 g 125 m",
		"approx. 50 g = ca. 125 m":               "0 50 g 125 m",
		"50 g, 125 m, 137 yd":                    "0 50 g 125 m",
		"50 g / 0 m":                             "0 - - unknown 50 g / 0 m@1",
		"0 x 50 g":                               "0 - - unknown 0 x 50 g@1",
		"50 g / 125 m / 137 yd / 1.75 oz / 1 kg": "0 - - unknown 50 g / 125 m / 137 yd / 1.75 oz / 1 kg@1",
		"30° wash":                               "0 - - care 30 C wash",
		"30°":                                    "0 - - care 30 C",
		"40 machine wash":                        "0 - - care 40 C machine wash",
		"40 °C gentle wash":                      "0 - - care 40 °C gentle wash",
		"12":                                     "0 - - unknown 12@1",
		// units: 4 oz = 113.39809 g, 200 yd = 182.88 m
		"4 oz; 200 yd":            "0 113.398 g 182.88 m",
		"1,5 oz":                  "0 42.524 g -",
		"2 skeins, 420 m / 100 g": "skein 2 100 g 420 m",
		"part cone":               "cone 1 part - -",
		// ASTM D2260: Ne 1 = 590.541 tex, two fold
		"8/2 Ne, 1 cone":                         "cone 1 - - count 147.635 tex",
		"LOT no. 12":                             "0 - - lot 12",
		"dye lot: A-7":                           "0 - - lot A-7",
		"col. 12 moss":                           "0 - - colour 12 moss",
		"shade #4":                               "0 - - colour 4",
		`"Two, three", lot 1`:                    "0 - - lot 1 name Two, three",
		"hand wash":                              "0 - - care hand wash",
		"30 °C":                                  "0 - - care 30 °C",
		"wool (merino, 18.5 um) 100":             "0 - - fibre wool (merino, 18.5 um) 100",
		"cotton 60, linen 40":                    "0 - - fibre cotton 60, linen 40",
		"75% wool, 4-ply, 25% nylon, mercerised": "0 - - fibre 75% wool, 25% nylon made 4-ply, mercerised",
		"blurb, 50 g, made far away":             "0 50 g - unknown blurb@1 made far away@14",
		"  ¿qué?,lot 1":                          "0 - - lot 1 unknown ¿qué?@3",
		"3 x 50 lots":                            "0 - - unknown 3 x 50 lots@1",
		"50 g / 125 q":                           "0 - - unknown 50 g / 125 q@1",
		"lot":                                    "0 - - unknown lot@1",
		"columbine blue, lotus":                  "0 - - unknown columbine blue@1 lotus@17",
	} {
		t.Run(line, func(t *testing.T) {
			if got := project(parse(t, line)); got != want {
				t.Errorf("got %q, want %q", got, want)
			}
		})
	}
}

// What was said beside the two quantities that are kept is not dropped.
func TestThePutUpsOwnWordsAreNoted(t *testing.T) {
	for line, noted := range map[string]bool{"50g/125m/137yds": true, "50 g approx 125 m": true,
		"50 g (125 m)": true, "50 g / 125 m": false, "3 x 50 g = 125 m each": false} {
		var got []importers.Note
		for _, n := range parse(t, line).Record.Notes {
			if n.Heading == "put-up" {
				got = append(got, n)
			}
		}
		if noted != (len(got) == 1) || noted && got[0].Text != line {
			t.Errorf("%q: notes %v", line, got)
		}
	}
}

func project(l Label) string {
	r, parts := l.Record, []string{}
	add := func(name, text string) {
		if text != "" {
			parts = append(parts, strings.TrimSpace(name+" "+text))
		}
	}
	add("", r.Packages.Form)
	add("", fmt.Sprint(r.Packages.Number))
	add("", map[bool]string{true: "part"}[r.Packages.Part])
	mass, length := "-", "-"
	if r.LabelMass != nil {
		mass = r.LabelMass.String()
	}
	if r.LabelLength != nil {
		length = r.LabelLength.String()
	}
	parts = append(parts, mass, length)
	if r.LabelLength == nil && r.Count.Count != 0 {
		add("count", r.Count.Count.String())
	}
	add("lot", r.Lot)
	add("colour", r.Colour)
	add("name", r.Name)
	add("care", r.Care)
	add("fibre", r.Fibre)
	add("made", r.Construction)
	for i, u := range l.Unknown {
		add(map[bool]string{true: "unknown"}[i == 0], fmt.Sprintf("%s@%d", u.Text, u.Column))
	}
	return strings.Join(parts, " ")
}

func TestRefusedWithTheColumn(t *testing.T) {
	for _, c := range []struct {
		line, why string
		column    int
	}{
		{"", "empty", 1},
		{"  ", "empty", 1},
		{"lot 1, lot 2", "lot is given twice", 8},
		{"50 g, 100 g", "weight is given twice", 7},
		{"lot 1, 75% wool", "add up to 75", 8},
		{"wool 50, unobtanium 50%", "", 1},
		{"2 skeins, 3 x 50 g", "says twice how many", 11},
		// units: 2 oz = 56.699 g
		{"lot 1, 50 g / 2 oz / 125 m", "weight is given twice, and was 50 g", 8},
		// units: 150 yd = 137.16 m
		{"125 m, 150 yd", "length is given twice, and was 125 m", 8},
		{"3 x 50 g, 2 skeins", "also says 3", 11},
		{"lot\x001", "control character", 4},
		{"\xff", "UTF-8", 1},
		{strings.Repeat("x", maxLine+1), "longer than", maxLine},
	} {
		t.Run(c.line[:min(len(c.line), 30)], func(t *testing.T) {
			l, err := Parse(c.line, unsaid)
			var p *importers.Problem
			if !errors.As(err, &p) || !strings.Contains(p.Reason, c.why) || p.Column != c.column ||
				p.Hint == "" {
				t.Errorf("got %+v, %v; want %q at %d", l, err, c.why, c.column)
			}
		})
	}
}

func TestEveryFinishIsUnderstood(t *testing.T) {
	words := finishes
	if len(words) < 20 {
		t.Fatalf("only %d finishes", len(words))
	}
	for _, word := range words {
		if l := parse(t, word); l.Record.Construction != word || len(l.Unknown) > 0 {
			t.Errorf("%q: got %+v", word, l)
		}
	}
}

func TestEveryFibreIsUnderstood(t *testing.T) {
	all := fibre.All()
	if len(all) == 0 {
		t.Fatal("no fibres")
	}
	for _, f := range all {
		line := "100% " + string(f.ID)
		if l := parse(t, line); l.Record.Fibre != line || len(l.Record.Content) != 1 {
			t.Errorf("%q: got %+v", line, l)
		}
	}
}

// The parts may come in any order, and length times mass gives the count.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, g, m := rapid.IntRange(1, 99).Draw(t, "n"), rapid.IntRange(1, 999).Draw(t, "g"),
			rapid.IntRange(1, 9999).Draw(t, "m")
		parts := []string{fmt.Sprintf("%d x %d g / %d m", n, g, m), "75% wool 25% nylon",
			"superwash", "lot F08", "colour moss", `"Sky"`}
		line := strings.Join(rapid.Permutation(parts).Draw(t, "order"),
			rapid.SampledFrom([]string{", ", ",", "; ", "\n"}).Draw(t, "separator"))
		l, err := Parse(line, unsaid)
		if err != nil || len(l.Unknown) > 0 {
			t.Fatalf("%q: %v, %v", line, l.Unknown, err)
		}
		r := l.Record
		if *r.LabelMass != measure.Mass(g)*measure.Gram ||
			*r.LabelLength != measure.Length(m)*measure.Metre || r.Packages.Number != n ||
			r.Lot != "F08" || r.Name != "Sky" || r.Colour != "moss" {
			t.Fatalf("%q: got %+v", line, r)
		}
		if want := float64(g) / float64(m) * 1e6; want >= 100 && want <= 1e8 &&
			math.Abs(float64(r.Count.Count)-want) > 1 {
			t.Fatalf("%q: count %v, want %v mtex", line, int64(r.Count.Count), want)
		}
	})
}

func FuzzParse(f *testing.F) {
	seeds := []string{"50 g (125 m / 137 yd)", "approx. 50 g ~ 125 m each", "30° wash; 2 x (50 g",
		"3 x 50 g / 125 m, 75% wool 25% nylon, superwash, lot F08",
		"8/2 Ne, cotton, 1 cone, col. 12", `"a, b", (c, d), 1,5 oz`, "100g 400m merino lot 12",
		"LL ca. 125 m", "50 gr 125 mt", "2 skeins; 420 m / 100 g each\nhand wash",
		"9999 x 999 kg, 3.5 balls", "%,%", "İ", "100%"}
	if len(seeds) == 0 {
		f.Fatal("no seeds")
	}
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		l, err := Parse(line, unsaid)
		if err != nil {
			var p *importers.Problem
			if !errors.As(err, &p) || p.Hint == "" || p.Column < 1 {
				t.Fatalf("%q: %v", line, err)
			}
			return
		}
		runes := []rune(line)
		for _, u := range l.Unknown {
			at := runes[u.Column-1:]
			if got := string(at[:utf8.RuneCountInString(u.Text)]); got != u.Text {
				t.Fatalf("%q: %q is not at column %d", line, u.Text, u.Column)
			}
		}
		if columns := slices.IsSortedFunc(l.Unknown,
			func(a, b Piece) int { return a.Column - b.Column }); !columns {
			t.Fatalf("%q: %v", line, l.Unknown)
		}
	})
}

// unsaid is the habit of a person who has not said how they write decimals.
func unsaid() written.Style { return written.StyleUnknown }
