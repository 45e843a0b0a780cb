package fibre

import (
	"fmt"
	"strconv"
	"strings"
	"testing"
)

// TestEveryCellOfTheTableIsRead writes each fibre as the table does: a word that is not
// understood would come out otherwise.
func TestEveryCellOfTheTableIsRead(t *testing.T) {
	n := 0
	for line := range strings.Lines(fibresTable) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		if got := rowOf(table()[n]) + "\n"; got != line {
			t.Errorf("written:\n%sread:\n%s", line, got)
		}
		n++
	}
	if n < 70 || n != len(table()) {
		t.Fatalf("%d lines, %d fibres", n, len(table()))
	}
}

func rowOf(f Fibre) string {
	var allowances, bases, does []string
	for _, a := range f.Allowances {
		allowances = append(allowances, strings.TrimSpace(percentText(int64(a.Ratio))+" "+a.Form))
	}
	for _, b := range f.CountBases {
		bases = append(bases, b.String())
	}
	for i, word := range hazardWords {
		if f.Hazards.Has(1 << i) {
			does = append(does, word)
		}
	}
	if f.Felts {
		does = append(does, "felts")
	}
	if f.Melts {
		does = append(does, "melts")
	}
	number := ""
	if f.EU > 0 {
		number = fmt.Sprint(f.EU)
	}
	return strings.Join([]string{string(f.ID), number, f.EUName, strings.Join(f.Synonyms, "; "),
		f.Class.String(), strings.Join(allowances, "; "), figureText(f.Commercial),
		figureText(f.Measured), figureText(f.Humidity), strings.Join(bases, "; "),
		strings.Join(does, "; "), f.Care.String(), f.Note}, "\t")
}

func figureText(f Figure) string {
	if f.Grade == NoFigure {
		return ""
	}
	text := percentText(int64(f.Low))
	if f.High != f.Low {
		text += " to " + percentText(int64(f.High))
	}
	return text + " " + gradeWords[f.Grade]
}

func percentText(ppm int64) string { return strconv.FormatFloat(float64(ppm)/1e4, 'f', -1, 64) }

// Bands say one content in several languages: each word is read, no share is added twice, and
// what is of one language alone stays a part of the yarn.
func TestABandInSeveralLanguagesIsReadOnce(t *testing.T) {
	for text, want := range map[string]string{
		"80 % Wolle / laine 20 % polyamide":                      "wool 80, nylon 20",
		"80% Wolle/laine/wool, 20% Polyamid/polyamide":           "wool 80, nylon 20",
		"80 % Baumwolle / coton / cotton 20 % polyamide":         "cotton 80, nylon 20",
		"80 % wol - laine 20 % polyamide – Polyamid":             "wool 80, nylon 20",
		"100% Baumwolle/Cotton/Coton/Cotone/Algodón":             "cotton 100",
		"Wolle/laine 80 %, Polyamid/polyamide 20 %":              "wool 80, nylon 20",
		"80 % wool 80 % laine 20 % polyamide 20 % Polyamid":      "wool 80, nylon 20",
		"coton 95 % élasthanne 5 % / cotton 95 % elastane 5 %":   "cotton 95, elastane 5",
		"Baumwolle 100 % / cotton 100 %":                         "cotton 100",
		"Wolle / laine":                                          "wool 100",
		"95% Baumwolle/coton 5% EL":                              "cotton 95, unknown elastic 5",
		"60% CO / cotton 40% HA":                                 "cotton 60, unknown (ha) 40",
		"95% cotton / elastane 5%":                               "cotton 95, elastane 5",
		"55 % lin/linen/lino 40 % coton/cotton 5 % gomma/rubber": "linen 55, cotton 40, rubber 5",
	} {
		got, err := ParseContent(text)
		if err != nil || got.String() != want {
			t.Errorf("%q is %q, %v; want %q", text, got, err, want)
		}
	}
	for _, text := range []string{"80% wol / laine / brumbel 20% polyamide", "wool 50, wool 50",
		"laine / Baumwolle 100", "wool 60 / laine 40", "80 % Wolle / mohair 20 % polyamide",
		"wool 80 / laine 70 / nylon 20"} {
		if got, err := ParseContent(text); err == nil {
			t.Errorf("%q is read as %s", text, got)
		}
	}
}
