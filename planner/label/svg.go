package label

import (
	"fmt"
	"io"
	"strings"

	svg "github.com/ajstarks/svgo"
)

// Type sizes are tried downwards in tenths of a millimetre to the smallest that is
// read without a glass: 7 points, which is 2.5 mm (common practice, no source).
const smallestType = 25

// columnsPerType is how many columns fit the width, by the average width of a
// sans-serif letter: 0.55 of the type size, from memory, and a little air.
func columnsPerType(width, size int) int { return width * 100 / (size * 58) }

// row is one printed line.
type row struct {
	text string
	bold bool
}

// SVG writes the card as a drawing in the size of the paper. The error says
// that there is too much text for it, or is the writer's.
func (c Card) SVG(w io.Writer, size Size) error {
	p := papers[size]
	for tall := p.Type; tall >= smallestType; tall-- {
		rows := c.rows(size, columnsPerType((p.Width-2*p.Margin)*10, tall))
		if len(rows)*leading(tall) <= (p.Height-2*p.Margin)*10 {
			out := &keeper{w: w}
			draw(out, p, tall, c.title(), rows)
			return out.err
		}
	}
	return fmt.Errorf("too much text for a label of %d x %d mm (print it on the larger size, or shorten the cautions)", p.Width, p.Height)
}

// leading is the distance between lines.
func leading(tall int) int { return tall * 5 / 4 }

func (c Card) rows(size Size, most int) []row {
	var rows []row
	for _, line := range wrap(c.title(), most*9/10) {
		rows = append(rows, row{line, true})
	}
	for _, l := range c.Lines(size) {
		for _, line := range wrap(l.Name+": "+l.Text, most) {
			rows = append(rows, row{line, false})
		}
	}
	return rows
}

// draw writes the drawing. The library escapes the texts.
func draw(w io.Writer, p paper, tall int, title string, rows []row) {
	canvas := svg.New(w)
	canvas.StartviewUnit(p.Width, p.Height, "mm", 0, 0, p.Width*10, p.Height*10)
	canvas.Title(title)
	canvas.Desc(description(rows))
	canvas.Rect(0, 0, p.Width*10, p.Height*10, "fill:#fff")
	canvas.Gstyle(fmt.Sprintf("font-family:sans-serif;font-size:%dpx;fill:#000", tall))
	y := p.Margin*10 + tall
	for _, r := range rows {
		style := "font-weight:normal"
		if r.bold {
			style = "font-weight:bold"
		}
		canvas.Text(p.Margin*10, y, r.text, style)
		y += leading(tall)
	}
	canvas.Gend()
	canvas.End()
}

// description is what the card says, to be read out.
func description(rows []row) string {
	var out []string
	for _, r := range rows {
		out = append(out, r.text)
	}
	return strings.Join(out, " ")
}

// keeper keeps the first error of a writer, which the library drops.
type keeper struct {
	w   io.Writer
	err error
}

// Write writes on until the first error.
func (c *keeper) Write(b []byte) (int, error) {
	if c.err != nil {
		return 0, c.err
	}
	n, err := c.w.Write(b)
	c.err = err
	return n, err
}
