package picture

import (
	"bytes"
	"fmt"
	"html"

	svg "github.com/ajstarks/svgo"
)

// Column is one step of a chart over time: a value above the line, one below,
// or with Line set a level.
type Column struct {
	// Label stands under the axis, empty for none.
	Label string
	// Up and Down are drawn from the axis, Level as a line.
	Up, Down, Level float64
}

// Chart is columns over time on one scale.
type Chart struct {
	// Title and Description are read out where the drawing is not seen.
	Title, Description string
	Columns            []Column
	// Most and Least are written at the ends of the scale.
	Most, Least string
	// Line draws levels; else the columns go up and down.
	Line bool
}

// The size of a chart, in the units of its own drawing.
const (
	chartWidth, chartHeight = 960, 300
	chartLeft, chartBottom  = 110, 44
	chartTop                = 22
)

// Inline draws the chart to stand in a page of HTML; id is unlike that of every
// other drawing in it. Nothing to draw is the empty text.
func (c Chart) Inline(id string) string {
	top, low := c.reach()
	if len(c.Columns) == 0 || top-low <= 0 {
		return ""
	}
	return inline(chartWidth, chartHeight, id, c.Title, c.Description,
		func(s *svg.SVG) { c.draw(s, top, low) })
}

func (c Chart) reach() (top, low float64) {
	for _, col := range c.Columns {
		top, low = max(top, col.Up, col.Level), min(low, -col.Down, col.Level)
	}
	return top, low
}

func (c Chart) draw(s *svg.SVG, top, low float64) {
	const height = chartHeight - chartTop - chartBottom
	y := func(v float64) int { return chartTop + int((top-v)/(top-low)*height) }
	step := float64(chartWidth-chartLeft) / float64(len(c.Columns))
	const text = `font-size="20" fill="#111"`
	s.Line(chartLeft, y(0), chartWidth, y(0), `stroke="#111" stroke-width="2"`)
	s.Text(chartLeft-8, y(top)+8, c.Most, text, `text-anchor="end"`)
	s.Text(chartLeft-8, y(low)+8, c.Least, text, `text-anchor="end"`)
	var xs, ys []int
	for i, col := range c.Columns {
		x, wide := chartLeft+int(float64(i)*step), max(1, int(step*0.8))
		if col.Label != "" {
			s.Line(x, y(0), x, y(0)+6, `stroke="#111"`)
			s.Text(x, chartHeight-12, col.Label, text)
		}
		if c.Line {
			xs, ys = append(xs, x, x+int(step)), append(ys, y(col.Level), y(col.Level))
			continue
		}
		if col.Up > 0 {
			s.Rect(x, y(col.Up), wide, max(1, y(0)-y(col.Up)), `fill="#1d5c8f"`)
		}
		if col.Down > 0 {
			s.Rect(x, y(0), wide, max(1, y(-col.Down)-y(0)), `fill="#fff" stroke="#111"`)
		}
	}
	if c.Line {
		s.Polyline(xs, ys, `fill="none" stroke="#1d5c8f" stroke-width="4"`)
	}
}

// inline makes a drawing that stands in a page of HTML, with no size but its
// proportions. Its look is in attributes: a page that lets nothing run takes no
// style attribute. The title and description are read out.
func inline(width, height int, id, title, description string, draw func(*svg.SVG)) string {
	var b bytes.Buffer
	fmt.Fprintf(&b, `<svg viewBox="0 0 %d %d" role="img" aria-labelledby="%s-t %s-d" font-family="sans-serif">`, width, height, id, id)
	fmt.Fprintf(&b, `<title id="%s-t">%s</title><desc id="%s-d">%s</desc>`, id,
		html.EscapeString(title), id, html.EscapeString(description))
	draw(svg.New(&b))
	b.WriteString("</svg>")
	return b.String()
}
