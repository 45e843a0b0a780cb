package picture

import (
	"fmt"

	svg "github.com/ajstarks/svgo"
	"github.com/lucasb-eyer/go-colorful"

	"endsmeet/stash/measure"
)

// body is a cloth at a place and a scale, lying on its side: the warp runs
// across, the left selvedge is on top.
type body struct {
	c Cloth
	// id begins the names of its fills.
	id    string
	x, y  int
	scale float64
}

func (b body) long() int { return b.drawn(b.c.Length) }
func (b body) wide() int { return max(1, int(float64(b.c.Width)*b.scale)) }

// drawn is a length as it is drawn.
func (b body) drawn(l measure.Length) int { return int(float64(l) * b.scale) }

func (b body) draw(s *svg.SVG) {
	labels := b.c.labels()
	s.Def()
	for i, l := range labels {
		b.fill(s, i, b.c.Hexes[l])
	}
	s.DefEnd()
	b.drawFringe(s, b.c.Fringe, b.x, -b.drawn(b.c.Fringe.Length))
	b.drawFringe(s, b.c.Other, b.x+b.long(), b.drawn(b.c.Other.Length))
	b.drawStripes(s, labels)
	s.Rect(b.x, b.y, b.long(), b.wide(), `fill="none" stroke="#000" stroke-width="5"`)
}

// fill defines how a colour is filled: as it looks where that is known, under
// lines that run along the warp or aslant, never along the weft, so that it can be
// told without colour. After the first three the lines stand wider apart, and
// letters tell the stripes that nothing else could.
func (b body) fill(s *svg.SVG, i int, hex string) {
	step := 18 + 9*(i/3%5)
	ground, line := "#fff", "#000"
	if c, err := colorful.Hex(hex); err == nil {
		ground = c.Hex()
		if light, _, _ := c.Lab(); light < 0.5 {
			line = "#fff"
		}
	}
	s.Pattern(b.fillID(i), 0, 0, step, step, "user", fmt.Sprintf(`patternTransform="rotate(%d)"`,
		[]int{0, 45, 135}[i%3]))
	s.Rect(0, 0, step, step, fmt.Sprintf(`fill="%s"`, ground))
	s.Line(0, step/2, step, step/2, fmt.Sprintf(`stroke="%s" stroke-width="%d"`, line,
		2+2*(i/15%3)))
	s.PatternEnd()
}

func (b body) fillID(i int) string { return fmt.Sprintf("%s%d", b.id, i) }

// keyOf is the letter of a colour: A to Z, then AA and on.
func keyOf(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return keyOf(i/26-1) + string(rune('A'+i%26))
}

// keyRoom is how high a stripe is that has room for its letter.
const keyRoom = 36

func (b body) drawStripes(s *svg.SVG, labels []string) {
	total, sum := b.c.ends(), 0
	if total == 0 {
		s.Rect(b.x, b.y, b.long(), b.wide(), `fill="#fff"`)
		return
	}
	for _, stripe := range b.c.Stripes {
		i, from := indexOf(labels, stripe.Label), sum*b.wide()/total
		sum += max(0, stripe.Ends)
		high := sum*b.wide()/total - from
		s.Rect(b.x, b.y+from, b.long(), high,
			fmt.Sprintf(`fill="url(#%s)" stroke="#000" stroke-width="2"`, b.fillID(i)))
		if high >= keyRoom {
			s.Text(b.x+20, b.y+from+high/2+12, keyOf(i), pageText,
				`font-weight="bold" stroke="#fff" stroke-width="10" paint-order="stroke"`)
		}
	}
}

func indexOf(labels []string, label string) int {
	for i, l := range labels {
		if l == label {
			return i
		}
	}
	return 0
}

// looseStep is how far apart the ends of a loose fringe are drawn, which are too
// many to draw each.
const looseStep = 14

// drawFringe draws each bunch of a fringe that begins at x: the ends drawn
// together, the bunch, its knot. A loose fringe is drawn as ends side by side.
func (b body) drawFringe(s *svg.SVG, f Fringe, x, reach int) {
	if reach == 0 {
		return
	}
	const line = `fill="none" stroke="#000" stroke-width="3"`
	for y := b.y + 2; f.Bunches == 0 && y <= b.y+b.wide(); y += looseStep {
		s.Line(x, y, x+reach, y, line)
	}
	for i := range f.Bunches {
		b.bunch(s, x, reach, b.y+i*b.wide()/f.Bunches, b.y+(i+1)*b.wide()/f.Bunches, line)
	}
}

func (b body) bunch(s *svg.SVG, x, reach, top, low int, line string) {
	middle, drawn := (top+low)/2, x+reach/5
	s.Polyline([]int{x, drawn, x}, []int{top, middle, low}, line)
	s.Line(drawn, middle, x+reach, middle, line)
	s.Circle(x+reach*9/10, middle, max(2, min(8, (low-top)/4)), `fill="#000"`)
}

// legendLine is a line of the legend: a colour with its fill, or words.
type legendLine struct {
	fill int // -1 for words
	text string
	page page
	// second is what stands in the second column.
	second *legendLine
}

// legendLetters is where a name is cut beside the other column.
const legendLetters = 34

// legendLines are the colours in two columns, as many as a third of the room
// holds, and the order of the stripes.
func (c Cloth) legendLines(p page, room int) []legendLine {
	labels := c.labels()
	if len(labels) < 2 {
		return nil
	}
	ends := map[string]int{}
	for _, s := range c.Stripes {
		ends[s.Label] += s.Ends
	}
	most := max(2, room/3/lineStep)
	var cells []legendLine
	for i, l := range labels {
		if i == 2*most-1 && len(labels) > 2*most {
			cells = append(cells,
				legendLine{fill: -1, text: fmt.Sprintf("and %d more colours", len(labels)-i),
					page: p})
			break
		}
		cells = append(cells, legendLine{fill: i, text: fmt.Sprintf("%s  %s, %d ends", keyOf(i),
			short(l, legendLetters), ends[l]), page: p})
	}
	half := (len(cells) + 1) / 2
	lines := cells[:half:half]
	for i := half; i < len(cells); i++ {
		lines[i-half].second = &cells[i]
	}
	return append(lines, c.orderLine(labels, p))
}

// orderLine tells the stripes in their order by their letters, as far as a line
// has room.
func (c Cloth) orderLine(labels []string, p page) legendLine {
	text := "From the left selvedge:"
	for i, s := range c.Stripes {
		word := fmt.Sprintf(" %s %d", keyOf(indexOf(labels, s.Label)), s.Ends)
		if float64(len(text)+len(word)+12)*0.6*textSize > float64(p.inner()) {
			text += fmt.Sprintf(" and %d more", len(c.Stripes)-i)
			break
		}
		text += word
	}
	return legendLine{fill: -1, text: text, page: p}
}

func (l legendLine) draw(s *svg.SVG, b body, y int) {
	l.at(s, b, pageMargin, y)
	if l.second != nil {
		l.second.at(s, b, pageMargin+l.page.inner()/2, y)
	}
}

func (l legendLine) at(s *svg.SVG, b body, x, y int) {
	if l.fill < 0 {
		s.Text(x, y, l.text, pageText)
		return
	}
	s.Rect(x, y-32, 90, 40, fmt.Sprintf(`fill="url(#%s)" stroke="#000" stroke-width="3"`,
		b.fillID(l.fill)))
	s.Text(x+110, y, l.text, pageText)
}
