package label

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"endsmeet/stash/measure"
)

const wicked = `<script>document.title="owned"</script>"><img src=x onerror=alert(1)>&amp;'`

// sample is a card with something in every field; name goes into each text.
func sample(t *testing.T, name string) Card {
	t.Helper()
	c, err := Compose([]Use{
		{Yarn: name, Content: content(t, "wool 75, nylon 25"), Mass: 60_000, Measured: true},
		{Yarn: "flax", Content: content(t, "linen"), Mass: 40_000, Measured: true},
	})
	if err != nil {
		t.Fatal(err)
	}
	return Card{
		Piece: "Scarf " + name, Maker: name, Date: "2025-03-17", Width: 246, Length: 1600,
		Fringe:      120,
		Composition: c, Washing: "Wash by hand, lukewarm (30 C at most). Dry flat.",
		Lots: []Lot{{name, "P31"}, {"flax", ""}}, Cost: &Cost{Milli: 12_345, Currency: "EUR",
			Unpriced: 1},
		Cautions:  []string{"Look for loose ends at every wash. " + name},
		Overrides: []string{"she tried a sample " + name},
	}
}

func TestText(t *testing.T) {
	t.Run("reads well", func(t *testing.T) {
		want := `Scarf sky
Fibre       wool 45%, linen 40%, nylon 15%
Basis       by weight in the finished piece, weighed
Washing     Wash by hand, lukewarm (30 C at most). Dry flat.
Size        24.6 × 160 cm, and a fringe of 12 cm
Dye lots    sky: P31; flax: not recorded
Made by     sky
Date        2025-03-17
Yarn cost   at least 12.35 EUR, all the yarn used; 1 without a price
Overridden  she tried a sample sky
Caution     Look for loose ends at every wash. sky
Law         Labelling law differs by country; nothing here is certified.
`
		if got := sample(t, "sky").Text(A6, 80); got != want {
			t.Errorf("%s", got)
		}
	})
	t.Run("never wider than 80 columns", func(t *testing.T) {
		for _, name := range []string{strings.Repeat("long ", 60), strings.Repeat("x", 300),
			strings.Repeat("綿", 100)} {
			for _, line := range strings.Split(sample(t, name).Text(A6, 80), "\n") {
				if w := widths.StringWidth(line); w > 80 {
					t.Errorf("%d columns: %s", w, line)
				}
			}
		}
	})
	t.Run("no control character gets through", func(t *testing.T) {
		got := sample(t, "a\x1b[2J\x07\u202eb\u0085").Text(A6, 80)
		if strings.ContainsAny(got, "\x1b\x07\u202e\u0085") {
			t.Errorf("%q", got)
		}
	})
	t.Run("imperial", func(t *testing.T) {
		c := sample(t, "sky")
		c.System = measure.Imperial
		if !strings.Contains(c.Text(A6, 80), "9 5/8 × 63 in") {
			t.Error(c.Text(A6, 80))
		}
	})
	t.Run("what is not recorded has no line, the law always has", func(t *testing.T) {
		got := Card{Composition: sample(t, "sky").Composition}.Text(A6, 80)
		for _, no := range []string{"Made by", "Yarn cost", "Size", "Washing", "Dye lots"} {
			if strings.Contains(got, no) {
				t.Errorf("%s in %s", no, got)
			}
		}
		if !strings.Contains(got, Law) || !strings.Contains(got, "without a name") {
			t.Error(got)
		}
	})
	t.Run("a cost of which nothing is known is no zero", func(t *testing.T) {
		if got := (Card{Cost: &Cost{Unpriced: 2}}).cost(); got != "not known: 2 without a price" {
			t.Error(got)
		}
	})
	t.Run("several pieces of a size", func(t *testing.T) {
		if got := (Card{Width: 300, Length: 400,
			Pieces: 6}).size(); got != "6 pieces, each 30 × 40 cm" {
			t.Error(got)
		}
	})
	t.Run("an exact cost", func(t *testing.T) {
		if got := (Card{Cost: &Cost{Milli: 9_005}}).cost(); got != "9.01, all the yarn used" {
			t.Error(got)
		}
	})
}

func TestHTML(t *testing.T) {
	for size, paper := range map[Size]string{A6: "size: 105mm 148mm", Small: "size: 70mm 50mm"} {
		var b bytes.Buffer
		if err := sample(t, wicked).HTML(&b, size); err != nil {
			t.Fatal(err)
		}
		got := b.String()
		t.Run(paper, func(t *testing.T) {
			for _, no := range []string{"<script", "<img", "http:", "https:", "url(", "ZgotmplZ",
				`"owned"`} {
				if strings.Contains(got, no) {
					t.Errorf("%s in %s", no, got)
				}
			}
			for _, yes := range []string{paper, "&lt;script&gt;",
				"wool 45%, linen 40%, nylon 15%", Law} {
				if !strings.Contains(got, yes) {
					t.Errorf("no %s in %s", yes, got)
				}
			}
			if private := strings.Contains(got, "tried a sample") ||
				strings.Contains(got, "Yarn cost"); private == (size == Small) {
				t.Errorf("cost and override reasons: %v", private)
			}
		})
	}
}

func TestSVG(t *testing.T) {
	for name, size := range map[string]Size{"A6": A6, "label": Small} {
		t.Run(name, func(t *testing.T) {
			card := sample(t, "<b>&\"'</b>")
			var b bytes.Buffer
			if err := card.SVG(&b, size); err != nil {
				t.Fatal(err)
			}
			texts, elements := readXML(t, b.Bytes())
			for element := range elements {
				if element != "svg" && element != "title" && element != "desc" &&
					element != "rect" && element != "g" && element != "text" {
					t.Errorf("element %s", element)
				}
			}
			if !strings.Contains(texts, "wool 45%") ||
				!strings.Contains(texts, `Scarf <b>&"'</b>`) ||
				!strings.Contains(texts, "certified") {
				t.Error(texts)
			}
		})
	}
	t.Run("too much text is refused", func(t *testing.T) {
		card := sample(t, "sky")
		card.Cautions = []string{strings.Repeat("much too long a caution ", 200)}
		if err := card.SVG(io.Discard, Small); err == nil ||
			!strings.Contains(err.Error(), "larger size") {
			t.Error(err)
		}
	})
	t.Run("the writer's error comes back", func(t *testing.T) {
		if err := sample(t, "sky").SVG(full{}, A6); !errors.Is(err, errFull) {
			t.Error(err)
		}
		if err := sample(t, "sky").HTML(full{}, A6); !errors.Is(err, errFull) {
			t.Error(err)
		}
	})
}

var errFull = errors.New("full")

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

// readXML reads a drawing as XML: all its text, and its elements.
func readXML(t *testing.T, raw []byte) (string, map[string]bool) {
	t.Helper()
	var texts strings.Builder
	elements := map[string]bool{}
	d := xml.NewDecoder(bytes.NewReader(raw))
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("%v in %s", err, raw)
		}
		switch token := token.(type) {
		case xml.StartElement:
			elements[token.Name.Local] = true
		case xml.CharData:
			texts.Write(token)
		}
	}
	if len(elements) == 0 {
		t.Fatal("no elements")
	}
	return texts.String(), elements
}
