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
