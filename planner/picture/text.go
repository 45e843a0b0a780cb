package picture

import (
	"fmt"
	"strings"

	"github.com/mattn/go-runewidth"
)

const (
	// columns is the width of a drawing in characters.
	columns = 72
	// aspect is how much higher than wide a character is.
	aspect = 2
	// mostRows keeps a square cloth from filling the screen.
	mostRows = 18
)

// fills are what stripes are filled with, the first for a plain cloth. What
// has more colours goes on with letters, and ends with the mark of those that
// cannot be told apart.
const (
	fills  = ".:=#o+x%/~"
	more   = "abcdefghijklmnpqrstuvwyzABCDEFGHIJKLMNPQRSTUVWYZ"
	beyond = '?'
)

// tallest is the most rows that stripes may fill: with more stripes than
// that the narrow ones are left out, and the caption says so.
const tallest = 36

// labelColumns is where a name is cut in a legend.
const labelColumns = 48

// Text draws the cloth lying on its side: the length runs across, so that the
// warp's stripes run across too, and the left selvedge is on top. Widths are
// to scale to each other; a narrow cloth is drawn higher than it is, so that its
// narrowest stripe has a row.
func (c Cloth) Text() string {
	if c.Width <= 0 || c.Length <= 0 {
		return ""
	}
	across, first, other, rows := c.scale()
	fill := c.rowFills(rows)
	var b strings.Builder
	if c.Title != "" {
		b.WriteString(short(c.Title, columns) + "\n")
	}
	edge := strings.Repeat(" ", first) + "+" + strings.Repeat("-", across) + "+\n"
	b.WriteString(edge)
	for i, f := range fill {
		tassel := " -"[(i+1)%2 : (i+1)%2+1]
		line := strings.Repeat(tassel, first) + "|" + strings.Repeat(string(f), across) + "|" +
			strings.Repeat(tassel, other)
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	b.WriteString(edge)
	b.WriteString(c.caption())
	return b.String()
}

// scale gives the columns of the cloth and of its fringes, and the rows.
func (c Cloth) scale() (across, first, other, rows int) {
	room := columns - 2
	whole := float64(c.whole())
	perColumn := whole / float64(room)
	// A wide cloth is limited by its height.
	perColumn = max(perColumn, float64(c.Width)/(aspect*mostRows))
	across = max(4, int(float64(c.Length)/perColumn))
	tassels := func(f Fringe) int {
		if f.Length <= 0 {
			return 0
		}
		return max(1, int(float64(f.Length)/perColumn))
	}
	rows = max(2, int(float64(c.Width)/(aspect*perColumn)+0.5))
	return across, tassels(c.Fringe), tassels(c.Other), c.rowsFor(rows)
}

// rowsFor makes a drawing of stripes high enough that the narrowest has a row,
// as far as the screen goes, and a row for each stripe up to the tallest.
func (c Cloth) rowsFor(rows int) int {
	least := 0
	for _, s := range c.Stripes {
		if s.Ends > 0 && (least == 0 || s.Ends < least) {
			least = s.Ends
		}
	}
	if least > 0 {
		rows = max(rows, min(mostRows, (c.ends()+least-1)/least))
	}
	return max(rows, min(tallest, len(c.Stripes)))
}

// rowFills says what each row is filled with; every stripe has a row at least,
// while there are enough.
func (c Cloth) rowFills(rows int) []byte {
	out := make([]byte, rows)
	total := c.ends()
	if total == 0 {
		for i := range out {
			out[i] = fills[0]
		}
		return out
	}
	labels := c.labels()
	if len(c.Stripes) > rows {
		return c.sampled(out, labels)
	}
	row, sum := 0, 0
	for i, s := range c.Stripes {
		sum += max(0, s.Ends)
		last := max(row+1, (sum*rows+total/2)/total)
		last = min(last, rows-(len(c.Stripes)-1-i))
		for ; row < last; row++ {
			out[row] = fillOf(labels, s.Label)
		}
	}
	return out
}

// sampled fills each row with the stripe at its middle.
func (c Cloth) sampled(out []byte, labels []string) []byte {
	stripe, sum := 0, max(0, c.Stripes[0].Ends)
	for row := range out {
		for 2*sum*len(out) < (2*row+1)*c.ends() && stripe < len(c.Stripes)-1 {
			stripe++
			sum += max(0, c.Stripes[stripe].Ends)
		}
		out[row] = fillOf(labels, c.Stripes[stripe].Label)
	}
	return out
}

func fillOf(labels []string, label string) byte {
	i := indexOf(labels, label)
	if all := fills + more; i < len(all) {
		return all[i]
	}
	return beyond
}

// short cuts a name that is too long for its place.
func short(name string, columns int) string { return runewidth.Truncate(name, columns, "…") }

// sizeWords say how large it is, with its fringes where they are alike.
func (c Cloth) sizeWords() string {
	text := fmt.Sprintf("%s wide, %s long", c.Width.Cloth(c.Units), c.Length.Cloth(c.Units))
	if c.Fringe != c.Other || c.Fringe.Length == 0 {
		return text
	}
	text += fmt.Sprintf(", fringe of %s at each end", c.Fringe.Length.Cloth(c.Units))
	if c.Fringe.Bunches > 0 {
		text += fmt.Sprintf(" in %d bunches", c.Fringe.Bunches)
	}
	return text
}

// unlikeFringes say what fringes there are where they differ; empty where not.
func (c Cloth) unlikeFringes() string {
	if c.Fringe == c.Other {
		return ""
	}
	words := func(f Fringe) string {
		switch {
		case f.Length == 0:
			return "none"
		case f.Bunches == 0:
			return f.Length.Cloth(c.Units)
		}
		return fmt.Sprintf("%s, %d bunches", f.Length.Cloth(c.Units), f.Bunches)
	}
	return "fringe: " + words(c.Fringe) + " where begun; " + words(c.Other) + " where ended"
}

// caption gives the dimensions and the legend.
func (c Cloth) caption() string {
	text := c.sizeWords() + "\n"
	if unlike := c.unlikeFringes(); unlike != "" {
		text += unlike + "\n"
	}
	if len(c.Stripes) > tallest {
		text += "narrow stripes are left out of the drawing\n"
	}
	labels := c.labels()
	if len(labels) < 2 {
		return text
	}
	ends := map[string]int{}
	for _, s := range c.Stripes {
		ends[s.Label] += s.Ends
	}
	for _, l := range labels {
		text += fmt.Sprintf("  %s %s, %d ends\n", strings.Repeat(string(fillOf(labels, l)), 4),
			short(l, labelColumns), ends[l])
	}
	return text
}
