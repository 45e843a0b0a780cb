package picture

import (
	"bytes"
	"fmt"

	svg "github.com/ajstarks/svgo"
	"github.com/mattn/go-runewidth"

	"endsmeet/stash/measure"
)

// The page is A4 upright, drawn in tenths of a millimetre.
const (
	pageWidth, pageHeight = 2100, 2970
	pageMargin            = 150
	clothTop, clothRoom   = 360, 1150
	plotTop, plotHeight   = 1780, 850
)

// SVG draws the cloth, and below it the frontier if there is one, as a page to
// print. It holds no scripts and refers to nothing outside; text is escaped.
func SVG(c Cloth, f Frontier) []byte {
	var buf bytes.Buffer
	s := svg.New(&buf)
	s.StartviewUnit(210, 297, "mm", 0, 0, pageWidth, pageHeight)
	s.Title(c.Title)
	s.Rect(0, 0, pageWidth, pageHeight, "fill:white")
	definePatterns(s, len(c.labels()))
	title := short(c.Title, 80)
	s.Text(pageMargin, 240, title, fmt.Sprintf("font-family:sans-serif;font-size:%dpx;fill:black", titleSize(title)))
	drawCloth(s, c)
	drawFrontier(s, f)
	s.End()
	return buf.Bytes()
}

// titleSize is the height of the letters at which a title fits the page, the
// mean letter taken as 0.65 as wide as high.
func titleSize(title string) int {
	return min(72, int((pageWidth-2*pageMargin)/(0.65*float64(max(1, runewidth.StringWidth(title))))))
}

// definePatterns makes a fill for each colour: lines at different angles and
// distances, readable in black and white.
func definePatterns(s *svg.SVG, n int) {
	s.Def()
	for i := range max(1, n) {
		step := 24 + 10*(i/4)
		s.Pattern(fmt.Sprintf("fill%d", i), 0, 0, step, step, "user", fmt.Sprintf(`patternTransform="rotate(%d)"`, 45*(i%4)))
		s.Rect(0, 0, step, step, "fill:white")
		s.Line(0, 0, 0, step, fmt.Sprintf("stroke:black;stroke-width:%d", 4+4*(i%3)))
		s.PatternEnd()
	}
	s.DefEnd()
}

// drawCloth draws the piece lying on its side, to scale.
func drawCloth(s *svg.SVG, c Cloth) {
	if c.Width <= 0 || c.Length <= 0 {
		return
	}
	room := float64(pageWidth - 2*pageMargin)
	scale := min(room/float64(c.Length+2*c.Fringe), float64(clothRoom-250)/float64(c.Width))
	fringe, long, wide := int(float64(c.Fringe)*scale), int(float64(c.Length)*scale), int(float64(c.Width)*scale)
	x := pageMargin + fringe
	drawFringe(s, c, x, long, wide, fringe)
	drawStripes(s, c, x, long, wide)
	s.Rect(x, clothTop, long, wide, "fill:none;stroke:black;stroke-width:6")
	const text = "font-family:sans-serif;font-size:44px;fill:black"
	y := clothTop + wide + 80
	s.Text(pageMargin, y, firstLine(c.caption()), text)
	drawLegend(s, c, y+70)
}

func firstLine(text string) string {
	for i := range text {
		if text[i] == '\n' {
			return text[:i]
		}
	}
	return text
}

func drawFringe(s *svg.SVG, c Cloth, x, long, wide, fringe int) {
	if fringe == 0 {
		return
	}
	n := max(2, c.Bunches)
	for i := range n {
		y := clothTop + (2*i+1)*wide/(2*n)
		s.Line(x-fringe, y, x, y, "stroke:black;stroke-width:5")
		s.Line(x+long, y, x+long+fringe, y, "stroke:black;stroke-width:5")
	}
}

func drawStripes(s *svg.SVG, c Cloth, x, long, wide int) {
	total, sum := c.ends(), 0
	if total == 0 {
		s.Rect(x, clothTop, long, wide, "fill:url(#fill0)")
		return
	}
	labels := c.labels()
	for _, stripe := range c.Stripes {
		from := sum * wide / total
		sum += max(0, stripe.Ends)
		s.Rect(x, clothTop+from, long, sum*wide/total-from, fmt.Sprintf("fill:url(#fill%d);stroke:black;stroke-width:2", place(labels, stripe.Label)))
	}
}

func place(labels []string, label string) int {
	for i, l := range labels {
		if l == label {
			return i
		}
	}
	return 0
}

// legendRows is how many colours the legend shows in one column, legendRoom
// how many there is room for above the plot, in two columns.
const (
	legendRows = 6
	legendRoom = 2 * legendRows
	// legendLetters is where a name is cut beside the other column.
	legendLetters = 22
)

func drawLegend(s *svg.SVG, c Cloth, y int) {
	labels := c.labels()
	if len(labels) < 2 {
		return
	}
	ends := map[string]int{}
	for _, stripe := range c.Stripes {
		ends[stripe.Label] += stripe.Ends
	}
	for i, l := range labels {
		if i == legendRoom-1 && len(labels) > legendRoom {
			s.Text(pageMargin+900, y+(legendRows-1)*60, fmt.Sprintf("and %d more colours", len(labels)-i), "font-family:sans-serif;font-size:40px;fill:black")
			return
		}
		x, row := pageMargin+(i/legendRows)*900, y+(i%legendRows)*60
		s.Rect(x, row-36, 90, 44, fmt.Sprintf("fill:url(#fill%d);stroke:black;stroke-width:3", i))
		s.Text(x+110, row, fmt.Sprintf("%s, %d ends", short(l, legendLetters), ends[l]), "font-family:sans-serif;font-size:40px;fill:black")
	}
}

// drawFrontier plots length against width.
func drawFrontier(s *svg.SVG, f Frontier) {
	b, ok := f.box()
	if !ok {
		return
	}
	const text = "font-family:sans-serif;font-size:40px;fill:black"
	const left, width = pageMargin + 200, pageWidth - 2*pageMargin - 200
	at := func(w, l measure.Length) (int, int) {
		return left + int(float64(w-b.left)/float64(b.right-b.left)*width), plotTop + plotHeight - int(float64(l)/float64(b.top)*plotHeight)
	}
	s.Text(pageMargin, plotTop-60, f.Title, text)
	s.Line(left, plotTop, left, plotTop+plotHeight, "stroke:black;stroke-width:4")
	s.Line(left, plotTop+plotHeight, left+width, plotTop+plotHeight, "stroke:black;stroke-width:4")
	s.Text(pageMargin, plotTop+20, b.top.Cloth(f.Units), text)
	s.Text(left, plotTop+plotHeight+60, b.left.Cloth(f.Units), text)
	s.Text(left+width, plotTop+plotHeight+60, b.right.Cloth(f.Units), text+";text-anchor:end")
	drawLine(s, f.Points, func(p Point) measure.Length { return p.Length }, at, "stroke:black;stroke-width:6;fill:none")
	drawLine(s, f.Points, func(p Point) measure.Length { return p.Length95 }, at, "stroke:black;stroke-width:4;stroke-dasharray:16 12;fill:none")
	if f.Wanted.Length > 0 {
		x, y := at(f.Wanted.Width, f.Wanted.Length)
		s.Rect(x-14, y-14, 28, 28, "fill:white;stroke:black;stroke-width:6")
	}
	if f.Proposed.Length95 > 0 {
		x, y := at(f.Proposed.Width, f.Proposed.Length95)
		s.Circle(x, y, 18, "fill:white;stroke:black;stroke-width:6")
	}
	if f.Proposed.Length > 0 {
		x, y := at(f.Proposed.Width, f.Proposed.Length)
		s.Circle(x, y, 18, "fill:black")
	}
	legend := "length against width: line greatest, dashes with 95 %, square wanted, dot proposed"
	if f.Proposed.Length95 > 0 {
		legend += ", ring with 95 %"
	}
	s.Text(pageMargin, plotTop+plotHeight+130, legend, text)
}

func drawLine(s *svg.SVG, points []Point, length func(Point) measure.Length, at func(w, l measure.Length) (int, int), style string) {
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
