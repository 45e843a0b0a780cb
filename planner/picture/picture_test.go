package picture

import (
	"bytes"
	"encoding/xml"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func scarf() Cloth {
	return Cloth{
		Title: "moss scarf", Width: 280, Length: 1650, Fringe: Fringe{120, 28},
		Other:   Fringe{120, 28},
		Stripes: []Stripe{{"moss", 40}, {"sky", 16}, {"moss", 112}, {"sky", 16}, {"moss", 40}},
	}
}

func sizes() Frontier {
	f := Frontier{Title: "what another could measure", Wanted: Point{Width: 280, Length: 1650},
		Proposed: Point{Width: 262, Length: 1540}}
	for w := measure.Length(140); w <= 560; w += 20 {
		l := 400_000 / w
		f.Points = append(f.Points, Point{Width: w, Length: l, Length95: l * 9 / 10})
	}
	return f
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("../../testdata/pictures", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not as it was; -update rewrites it:\n%s", name, got)
	}
}

func TestGolden(t *testing.T) {
	golden(t, "scarf.txt", []byte(scarf().Text()))
	golden(t, "sizes.txt", []byte(sizes().Text()))
	golden(t, "scarf.svg", SVG(scarf(), sizes()))
}

func TestEveryStripeIsSeen(t *testing.T) {
	c := scarf()
	c.Stripes[1].Ends, c.Stripes[3].Ends = 1, 1
	if rows := strings.Count(c.Text(), "|:"); rows != 2 {
		t.Errorf("the two narrow stripes fill %d rows:\n%s", rows, c.Text())
	}
}

func TestEveryColourHasItsOwnFill(t *testing.T) {
	c := Cloth{Width: 300, Length: 900}
	for i := range 30 {
		c.Stripes = append(c.Stripes, Stripe{fmt.Sprint("colour ", i), 4})
	}
	seen := map[byte]bool{}
	for _, l := range c.labels() {
		seen[fillOf(c.labels(), l)] = true
	}
	if len(seen) != 30 {
		t.Errorf("30 colours have %d fills", len(seen))
	}
	labels := strings.Split(fills+more+fills, "")
	if got := fillOf(append(labels[:len(fills+more)], "last"), "last"); got != beyond {
		t.Errorf("a colour beyond all fills is drawn as %q", got)
	}
}

// A hundred stripes are more than a screen has rows: the drawing keeps their
// proportions and says that it leaves some out.
func TestManyStripesKeepTheirProportions(t *testing.T) {
	c := Cloth{Width: 300, Length: 900}
	for range 50 {
		c.Stripes = append(c.Stripes, Stripe{"oat", 3}, Stripe{"sky", 1})
	}
	text := c.Text()
	oat, sky := strings.Count(text, "|."), strings.Count(text, "|:")
	if oat+sky != tallest || sky < tallest/6 || sky > tallest/3 ||
		!strings.Contains(text, "left out of the drawing") {
		t.Errorf("%d rows of oat and %d of sky:\n%s", oat, sky, text)
	}
}

func TestTheProposedSizeIsMarkedWithItsSureLength(t *testing.T) {
	f := sizes()
	if text := f.Text(); strings.Contains(text, "#") {
		t.Errorf("a length that was not computed is drawn:\n%s", text)
	}
	f.Proposed.Length95 = 700
	if text := f.Text(); strings.Count(text, "#") != 2 || !strings.Contains(text, "# with 95%") {
		t.Errorf("not marked and explained once:\n%s", text)
	}
	plain := scarf()
	plain.Fringe.Bunches, plain.Other.Bunches = 0, 0
	if page := SVG(plain, f); bytes.Count(page, []byte("<circle")) != 2 ||
		!bytes.Contains(page, []byte("ring with 95%")) {
		t.Error("the page lacks the ring")
	}
}

func TestAPageKeepsLongLegendsAndTitlesOnPaper(t *testing.T) {
	c := scarf()
	c.Title, c.Stripes = strings.Repeat("W", 200), nil
	for i := range 20 {
		c.Stripes = append(c.Stripes,
			Stripe{fmt.Sprint("colour ", i, strings.Repeat(" and more", 9)), 4})
	}
	drawn := string(SVG(c, sizes()))
	if !strings.Contains(drawn, "more colours") || strings.Contains(drawn, ">T  colour 19") {
		t.Error("the legend runs on")
	}
	p := pageFor(c, true)
	if n := titleSize(strings.Repeat("W", 80), p); n < leastTitle || n > 60 ||
		titleSize("scarf", p) != mostTitle {
		t.Errorf("a title of 80 letters is %d high", n)
	}
}

// smallestType is 2.5 mm in tenths of a millimetre: the least that is read at
// arm's length (common practice, no source).
const smallestType = 25

var fontSize = regexp.MustCompile(`font-size="(\d+)"`)

func TestNoTypeOfAPageIsTooSmallToRead(t *testing.T) {
	wide := scarf()
	wide.Width, wide.Title = 1400, strings.Repeat("W", 300)
	for _, page := range [][]byte{SVG(scarf(), sizes()), SVG(wide, sizes()),
		SVG(wide, Frontier{})} {
		found := fontSize.FindAllSubmatch(page, -1)
		if len(found) < 5 {
			t.Fatalf("only %d sizes of type", len(found))
		}
		for _, m := range found {
			if n, _ := strconv.Atoi(string(m[1])); n < smallestType {
				t.Errorf("type of %d tenths of a millimetre", n)
			}
		}
		if !bytes.Contains(page, []byte("<title>")) || !bytes.Contains(page, []byte("<desc>")) {
			t.Error("no title or description")
		}
	}
}

// The cloth and its legend fill the room that they have, in one direction at least.
func TestAClothFillsItsPage(t *testing.T) {
	for _, size := range [][2]measure.Length{{280, 1650}, {500, 700}, {1400, 2000}, {300, 300},
		{2000, 1000}} {
		for _, plotted := range []bool{false, true} {
			c := scarf()
			c.Width, c.Length = size[0], size[1]
			p := pageFor(c, plotted)
			scale := p.scaleOf(c, plotted)
			across := float64(c.whole()) * scale / float64(p.inner()-sideRoom)
			down := (float64(c.Width)*scale + belowRoom +
				float64(len(c.legendLines(p,
					p.clothRoom(plotted)))+1)*lineStep) / float64(p.clothRoom(plotted))
			if across > 1.001 || down > 1.001 || max(across, down) < 0.99 {
				t.Errorf("%v: fills %.2f of the width and %.2f of the height", size, across, down)
			}
			other := page{p.height, p.width}
			if other.scaleOf(c, plotted) > scale {
				t.Errorf("%v: larger on the page turned", size)
			}
		}
	}
}

func TestAPlainClothHasNoLinesOnIt(t *testing.T) {
	c := scarf()
	c.Stripes, c.Fringe, c.Other = nil, Fringe{}, Fringe{}
	drawing := c.Inline("a")
	if strings.Contains(drawing, "<line") || strings.Contains(drawing, "pattern") ||
		strings.Count(drawing, "<rect") != 2 {
		t.Error(drawing)
	}
}

// A line along the weft would look like a stripe that is not woven.
func TestNoFillHasLinesAlongTheWeft(t *testing.T) {
	c := Cloth{Width: 300, Length: 900}
	for i := range 40 {
		c.Stripes = append(c.Stripes, Stripe{fmt.Sprint("colour ", i), 4})
	}
	drawing := c.Inline("a")
	fills := regexp.MustCompile(`rotate\((\d+)\)`).FindAllStringSubmatch(drawing, -1)
	if len(fills) != 40 {
		t.Fatalf("%d fills", len(fills))
	}
	for _, f := range fills {
		if f[1] == "90" {
			t.Error("a fill is of lines along the weft")
		}
	}
	if regexp.MustCompile(`<line x1="(\d+)" y1="\d+" x2="\d+" y2="\d+"`).FindStringSubmatch(drawing) == nil {
		t.Error("no lines are drawn")
	}
	keys := map[string]bool{}
	for i := range 2000 {
		keys[keyOf(i)] = true
	}
	if len(keys) != 2000 {
		t.Errorf("%d letters for 2000 colours", len(keys))
	}
}

func TestAFringeHasAsManyBunchesAsItSays(t *testing.T) {
	for _, n := range []int{1, 27, 28, 200} {
		c := scarf()
		c.Stripes, c.Fringe.Bunches, c.Other.Bunches = nil, n, n
		if got := strings.Count(c.Inline("a"), "<circle"); got != 2*n {
			t.Errorf("%d knots for %d bunches at each end", got, n)
		}
	}
	c := scarf()
	c.Stripes, c.Other = nil, Fringe{}
	if got := strings.Count(c.Inline("a"), "<circle"); got != 28 {
		t.Errorf("%d knots where one end has 28 bunches and the other no fringe", got)
	}
	if text := c.Text(); !strings.Contains(text,
		"fringe: 12 cm, 28 bunches where begun; none where ended") ||
		strings.Contains(text, "|-") {
		t.Error(text)
	}
}

func TestAColourIsNothingButAColour(t *testing.T) {
	c := scarf()
	for _, wicked := range []string{`#556b2f"/><script>`, "url(#x)", "red;", "#12"} {
		c.Hexes = map[string]string{"moss": "#556b2f", "sky": wicked}
		drawing := c.Inline("a")
		if strings.Contains(drawing, "script") || strings.Contains(drawing, wicked) ||
			!strings.Contains(drawing, `fill="#556b2f"`) {
			t.Error(drawing)
		}
	}
}

func TestNothingToDrawIsNothing(t *testing.T) {
	if text := (Cloth{}).Text(); text != "" {
		t.Errorf("a cloth without a size gives %q", text)
	}
	if text := (Frontier{Points: []Point{{Width: 100, Length: 100}}}).Text(); text != "" {
		t.Errorf("one size gives a plot %q", text)
	}
}

func TestSVGIsWellFormedWhateverTheNamesHold(t *testing.T) {
	c := scarf()
	c.Title, c.Stripes[0].Label = `<script>alert("x")</script> & 'y'`, `"><rect/>`
	raw := SVG(c, sizes())
	dec := xml.NewDecoder(bytes.NewReader(raw))
	elements := 0
	for {
		tok, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		if e, ok := tok.(xml.StartElement); ok {
			elements++
			if e.Name.Local == "script" {
				t.Error("a name became an element")
			}
		}
	}
	if elements < 20 {
		t.Errorf("only %d elements were drawn", elements)
	}
}

func TestDrawingsStayWithinTheScreen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Cloth{
			Width:  measure.Length(rapid.IntRange(1, 4000).Draw(t, "width")),
			Length: measure.Length(rapid.IntRange(1, 9000).Draw(t, "length")),
			Fringe: Fringe{Length: measure.Length(rapid.IntRange(0, 500).Draw(t, "fringe"))},
			Other:  Fringe{Length: measure.Length(rapid.IntRange(0, 500).Draw(t, "other"))},
		}
		for range rapid.IntRange(0, 80).Draw(t, "stripes") {
			label := rapid.SampledFrom([]string{"a", "b", strings.Repeat("long ", 16),
				strings.Repeat("紡", 60)}).Draw(t, "label")
			c.Stripes = append(c.Stripes, Stripe{label, rapid.IntRange(0, 300).Draw(t, "ends")})
		}
		for line := range strings.Lines(c.Text()) {
			if n := runewidth.StringWidth(strings.TrimRight(line, "\n")); n > 78 {
				t.Fatalf("a line of %d columns: %s", n, line)
			}
		}
		if rows := strings.Count(c.Text(), "\n"); rows > 50 {
			t.Fatalf("%d rows", rows)
		}
	})
}
