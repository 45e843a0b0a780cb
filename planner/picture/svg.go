package picture

import (
	"bytes"
	"fmt"
	"strings"

	svg "github.com/ajstarks/svgo"
	"github.com/mattn/go-runewidth"
)

// The page is A4, drawn in tenths of a millimetre, on its side where the cloth
// is long and narrow. No type is smaller than 2.5 mm.
const (
	pageShort, pageLong = 2100, 2970
	pageMargin          = 120
	// textSize is the height of the letters, lineStep from line to line.
	textSize, lineStep = 34, 50
	leastTitle         = 34
	mostTitle          = 64
	// plotShare is the part of the page that the frontier takes, in per cent.
	plotShare = 36
	// sideRoom is for the width beside the cloth, belowRoom for the length below.
	sideRoom, belowRoom = 260, 90
)

const pageText = `font-family="sans-serif" font-size="34" fill="#000"`

// page is the room that a drawing has.
type page struct{ width, height int }

// pageFor is the page on which the cloth is drawn the larger, above a plot if there
// is one.
func pageFor(c Cloth, plotted bool) page {
	upright, lying := page{pageShort, pageLong}, page{pageLong, pageShort}
	if lying.scaleOf(c, plotted) > upright.scaleOf(c, plotted) {
		return lying
	}
	return upright
}

// clothTop is where the cloth begins; clothRoom is the height that it and its legend
// have.
const clothTop = pageMargin + mostTitle + 60

func (p page) clothRoom(plotted bool) int {
	room := p.height - pageMargin - clothTop
	if plotted {
		room -= p.plot() + lineStep
	}
	return room
}

// plot is the height of the plot.
func (p page) plot() int { return p.height * plotShare / 100 }

// scaleOf is at how many tenths of a millimetre to the millimetre a cloth is drawn.
func (p page) scaleOf(c Cloth, plotted bool) float64 {
	room := p.clothRoom(plotted)
	high := room - belowRoom - (len(c.legendLines(p, room))+1)*lineStep
	return min(float64(p.inner()-sideRoom)/float64(max(1, c.whole())),
		float64(high)/float64(max(1, c.Width)))
}

// inner is the width between the margins.
func (p page) inner() int { return p.width - 2*pageMargin }

// SVG draws the cloth, and below it the frontier if there is one, as a page to
// print. It holds no scripts and refers to nothing outside; text is escaped.
func SVG(c Cloth, f Frontier) []byte {
	var buf bytes.Buffer
	_, plotted := f.box()
	p := pageFor(c, plotted)
	s := svg.New(&buf)
	s.StartviewUnit(p.width/10, p.height/10, "mm", 0, 0, p.width, p.height)
	s.Title(c.Title)
	s.Desc(c.description())
	s.Rect(0, 0, p.width, p.height, `fill="#fff"`)
	s.Text(pageMargin, pageMargin+mostTitle, c.titleText(p),
		fmt.Sprintf(`font-family="sans-serif" font-size="%d" fill="#000"`, titleSize(c.Title, p)))
	c.onPage(s, p, plotted)
	drawFrontier(s, f, pageMargin, p.height-pageMargin-p.plot(), p.inner(), p.plot())
	s.End()
	return buf.Bytes()
}

// titleText is the title as far as the page has room for it in small letters.
func (c Cloth) titleText(p page) string {
	return short(c.Title, int(float64(p.inner())/(0.65*leastTitle)))
}

// titleSize is the height of the letters at which a title fits the page, the
// mean letter taken as 0.65 as wide as high.
func titleSize(title string, p page) int {
	fits := int(float64(p.inner()) / (0.65 * float64(max(1, runewidth.StringWidth(title)))))
	return max(leastTitle, min(mostTitle, fits))
}

// onPage draws the cloth as large as the page has room for it, with its measures and
// its legend below.
func (c Cloth) onPage(s *svg.SVG, p page, plotted bool) {
	if c.Width <= 0 || c.Length <= 0 {
		return
	}
	scale := p.scaleOf(c, plotted)
	b := body{c: c, id: "fill", x: pageMargin + int(float64(c.Fringe.Length)*scale), y: clothTop,
		scale: scale}
	b.draw(s)
	b.measures(s)
	y := clothTop + b.wide() + belowRoom + lineStep
	s.Text(pageMargin, y, fmt.Sprintf("%s; drawn at 1 to %.3g", c.allSizes(), 10/scale), pageText)
	for i, l := range c.legendLines(p, p.clothRoom(plotted)) {
		l.draw(s, b, y+(i+1)*lineStep)
	}
}

// allSizes say how large it is and what its fringes are.
func (c Cloth) allSizes() string {
	text := strings.TrimSuffix(c.sizeWords()+"; "+c.unlikeFringes(), "; ")
	if c.Unlaid {
		text += "; its stripes do not come out in these ends and are not drawn"
	}
	return text
}

// measures draws the length below the cloth and the width beside it.
func (b body) measures(s *svg.SVG) {
	const line = `stroke="#000" stroke-width="3"`
	y, x := b.y+b.wide()+30, b.x+b.long()+b.drawn(b.c.Other.Length)+40
	s.Line(b.x, y, b.x+b.long(), y, line)
	s.Line(b.x, y-14, b.x, y+14, line)
	s.Line(b.x+b.long(), y-14, b.x+b.long(), y+14, line)
	s.Text(b.x+b.long()/2, y+46, b.c.Length.Cloth(b.c.Units), pageText, `text-anchor="middle"`)
	s.Line(x, b.y, x, b.y+b.wide(), line)
	s.Line(x-14, b.y, x+14, b.y, line)
	s.Line(x-14, b.y+b.wide(), x+14, b.y+b.wide(), line)
	s.Text(x+20, b.y+b.wide()/2+12, b.c.Width.Cloth(b.c.Units), pageText)
}

// The size of a drawing that stands in a page of HTML, in units of its own.
const inlineWidth, inlineHeight = 1200, 360

// Inline draws the cloth alone, to stand in a page of HTML; id is unlike that of
// every other drawing in it. A cloth without a size is the empty text.
func (c Cloth) Inline(id string) string {
	if c.Width <= 0 || c.Length <= 0 {
		return ""
	}
	scale := min((inlineWidth-8)/float64(c.whole()), inlineHeight/float64(c.Width))
	b := body{c: c, id: id, x: 4 + int(float64(c.Fringe.Length)*scale), y: 4, scale: scale}
	return inline(b.x+b.long()+b.drawn(c.Other.Length)+4, b.wide()+8, id, c.Title, c.description(),
		b.draw)
}

// description says in words what the drawing shows.
func (c Cloth) description() string {
	text := c.allSizes()
	if len(c.Stripes) == 0 && c.Unlaid {
		return text + "."
	}
	if len(c.Stripes) == 0 {
		return text + ". Warp of one colour."
	}
	return text + ". Stripes from the left selvedge, which is on top: " + c.sequence(mostSaid) + "."
}

// mostSaid is how many stripes a description names.
const mostSaid = 60

// sequence names the stripes in their order, with their ends.
func (c Cloth) sequence(most int) string {
	var b bytes.Buffer
	for i, s := range c.Stripes {
		if i == most {
			fmt.Fprintf(&b, " and %d more", len(c.Stripes)-most)
			break
		}
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%s %d", short(s.Label, labelColumns), s.Ends)
	}
	return b.String()
}
