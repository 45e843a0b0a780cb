package picture

import (
	"bytes"
	"encoding/xml"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func scarf() Cloth {
	return Cloth{
		Title: "moss scarf", Width: 280, Length: 1650, Fringe: 120, Bunches: 28,
		Stripes: []Stripe{{"moss", 40}, {"sky", 16}, {"moss", 112}, {"sky", 16}, {"moss", 40}},
	}
}

func sizes() Frontier {
	f := Frontier{Title: "what another could measure", Wanted: Point{Width: 280, Length: 1650}, Proposed: Point{Width: 262, Length: 1540}}
	for w := measure.Length(140); w <= 560; w += 20 {
		l := 400_000 / w
		f.Points = append(f.Points, Point{Width: w, Length: l, Length95: l * 9 / 10})
	}
	return f
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
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
			Width: measure.Length(rapid.IntRange(1, 4000).Draw(t, "width")), Length: measure.Length(rapid.IntRange(1, 9000).Draw(t, "length")),
			Fringe: measure.Length(rapid.IntRange(0, 500).Draw(t, "fringe")),
		}
		for range rapid.IntRange(0, 12).Draw(t, "stripes") {
			c.Stripes = append(c.Stripes, Stripe{rapid.SampledFrom([]string{"a", "b", "c"}).Draw(t, "label"), rapid.IntRange(1, 300).Draw(t, "ends")})
		}
		for line := range strings.Lines(c.Text()) {
			if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > 80 {
				t.Fatalf("a line of %d characters: %s", n, line)
			}
		}
		if rows := strings.Count(c.Text(), "\n"); rows > 40 {
			t.Fatalf("%d rows", rows)
		}
	})
}
