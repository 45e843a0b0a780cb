package picture

import (
	svg "github.com/ajstarks/svgo"

	"endsmeet/stash/measure"
)

// drawFrontier plots length against width in a box of the page, if there is
// anything to plot.
func drawFrontier(s *svg.SVG, f Frontier, x, y, width, height int) {
	b, ok := f.box()
	if !ok {
		return
	}
	left, right, top, low := x+220, x+width, y+lineStep, y+height-2*lineStep-10
	at := func(w, l measure.Length) (int, int) {
		return left + int(float64(w-b.left)/float64(b.right-b.left)*float64(right-left)),
			low - int(float64(l)/float64(b.top)*float64(low-top))
	}
	s.Text(x, y, f.Title, pageText)
	s.Line(left, top, left, low, `stroke="#000" stroke-width="4"`)
	s.Line(left, low, right, low, `stroke="#000" stroke-width="4"`)
	s.Text(x, top+20, b.top.Cloth(f.Units), pageText)
	s.Text(left, low+lineStep, b.left.Cloth(f.Units), pageText)
	s.Text(right, low+lineStep, b.right.Cloth(f.Units), pageText, `text-anchor="end"`)
	drawLine(s, f.Points, func(p Point) measure.Length { return p.Length }, at,
		`stroke="#000" stroke-width="6" fill="none"`)
	drawLine(s, f.Points, func(p Point) measure.Length { return p.Length95 }, at,
		`stroke="#000" stroke-width="4" stroke-dasharray="16 12" fill="none"`)
	f.marks(s, at)
	s.Text(x, y+height, f.marksLegend(), pageText)
}

// marks draws the size wanted and the one proposed.
func (f Frontier) marks(s *svg.SVG, at func(w, l measure.Length) (int, int)) {
	if f.Wanted.Length > 0 {
		x, y := at(f.Wanted.Width, f.Wanted.Length)
		s.Rect(x-14, y-14, 28, 28, `fill="#fff" stroke="#000" stroke-width="6"`)
	}
	if f.Proposed.Length95 > 0 {
		x, y := at(f.Proposed.Width, f.Proposed.Length95)
		s.Circle(x, y, 18, `fill="#fff" stroke="#000" stroke-width="6"`)
	}
	if f.Proposed.Length > 0 {
		x, y := at(f.Proposed.Width, f.Proposed.Length)
		s.Circle(x, y, 18, `fill="#000"`)
	}
}

func (f Frontier) marksLegend() string {
	text := "length against width: line greatest, dashes with 95%, square wanted, dot proposed"
	if f.Proposed.Length95 > 0 {
		text += ", ring with 95%"
	}
	return text
}

func drawLine(s *svg.SVG, points []Point, length func(Point) measure.Length,
	at func(w, l measure.Length) (int, int), style string) {
	var xs, ys []int
	for _, p := range points {
		if length(p) > 0 {
			x, y := at(p.Width, length(p))
			xs, ys = append(xs, x), append(ys, y)
		}
	}
	if len(xs) > 1 {
		s.Polyline(xs, ys, style)
	}
}
