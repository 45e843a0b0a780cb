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
	return figureSize(width.Planned(units), length.Planned(units))
}

// figureSize is a width and a length with their unit once.
func figureSize(width, length string) string {
	number, _ := unitApart(width)
	return number + " × " + length
}

// unitApart gives the number of a measure and its unit.
func unitApart(text string) (number, unit string) {
	at := strings.LastIndex(text, " ")
	return text[:at], text[at+1:]
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
