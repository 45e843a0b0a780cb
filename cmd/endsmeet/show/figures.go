package show

import (
	"fmt"
	"io"
	"math"
	"strings"

	"endsmeet/stash/measure"
)

// ClothSize is a width and a length of cloth, such as "28.7 × 165 cm".
func ClothSize(width, length measure.Length, units measure.System) string {
	w, unit := clothNumber(width, units)
	l, _ := clothNumber(length, units)
	return w + " × " + l + " " + unit
}

// ClothText is a length as one measures cloth: to a millimetre below a metre and
// to a centimetre above, or to an eighth of an inch.
func ClothText(l measure.Length, units measure.System) string {
	number, unit := clothNumber(l, units)
	return number + " " + unit
}

func clothNumber(l measure.Length, units measure.System) (number, unit string) {
	if units == measure.Imperial {
		return inches(float64(l) / 25.4), "in"
	}
	cm := float64(l) / 10
	if math.Abs(cm) >= 100 {
		return fmt.Sprintf("%.0f", cm), "cm"
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", cm), ".0"), "cm"
}

// inches are whole from a hundred on, and whole with eighths below.
func inches(in float64) string {
	if in >= 100 {
		return fmt.Sprintf("%.0f", in)
	}
	eighths := int(math.Round(in * 8))
	whole, part := eighths/8, eighths%8
	of := 8
	for part%2 == 0 && part > 0 {
		part, of = part/2, of/2
	}
	switch {
	case part == 0:
		return fmt.Sprint(whole)
	case whole == 0:
		return fmt.Sprintf("%d/%d", part, of)
	}
	return fmt.Sprintf("%d %d/%d", whole, part, of)
}

// yarnText is a length of yarn in whole metres or yards.
func yarnText(l measure.Length, units measure.System) string {
	if units == measure.Imperial {
		return fmt.Sprintf("%.0f yd", float64(l)/914.4)
	}
	return fmt.Sprintf("%.0f m", float64(l)/float64(measure.Metre))
}

// factColumn is where the facts of an answer begin, behind their word.
const factColumn = 8

// RoomOf is how wide running text on w may be.
func RoomOf(w io.Writer) int {
	if columns := min(columnsOf(w), PageWidth); columns > 0 {
		return columns
	}
	return math.MaxInt
}

// Fact prints a line of an answer: a word, and what it says, on a screen broken
// under itself.
func Fact(w io.Writer, word, text string) {
	if IsPlain(w) && word != "" {
		fmt.Fprintf(w, "%s: %s\n", word, text)
		return
	}
	columns := RoomOf(w)
	indent := strings.Repeat(" ", factColumn)
	fmt.Fprintf(w, "%-*s%s", factColumn, word, strings.TrimPrefix(Wrap(text, indent, columns),
		indent))
}

// Titled prints a title with its size at the right edge of a page where there
// is room for both.
func Titled(w io.Writer, title, size string) {
	width := columnsOf(w)
	if width == 0 || width > PageWidth {
		width = PageWidth
	}
	if gap := width - Cells(title) - Cells(size); gap >= 3 {
		fmt.Fprintln(w, title+strings.Repeat(" ", gap)+size)
		return
	}
	fmt.Fprintf(w, "%s\n%s\n", title, size)
}
