package sticker

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/mattn/go-runewidth"
	"pgregory.net/rapid"
)

func TestSheetsLieOnTheirPage(t *testing.T) {
	names := map[string]bool{}
	for _, s := range Sheets {
		if names[s.Name] {
			t.Errorf("%s is there twice", s.Name)
		}
		names[s.Name] = true
		if s.PitchX < s.W-0.01 || s.PitchY < s.H-0.01 {
			t.Errorf("%s: stickers lie on each other", s.Name)
		}
		x, y := s.place(s.Count() - 1)
		if right, low := s.Width-x-s.W, s.Height-y-s.H; right < -0.01 || low < -0.01 {
			t.Errorf("%s: the last sticker is off the page by %.2f, %.2f mm", s.Name, -right, -low)
		}
		if found, ok := Named(strings.ToUpper(s.Name)); !ok || found.Name != s.Name {
			t.Errorf("%s is not found", s.Name)
		}
	}
	if len(Sheets) != 20 {
		t.Errorf("%d sheets", len(Sheets))
	}
}

// The counts of the names are those of the sheets.
func TestASheetIsCalledByItsRows(t *testing.T) {
	for _, s := range Sheets {
		if want := strings.ReplaceAll(strings.ToLower(s.Page), " ", ""); !strings.HasPrefix(s.Name,
			want+"-") {
			t.Errorf("%s on %s", s.Name, s.Page)
		}
	}
}

var words = []string{"", "Y01", "wool", strings.Repeat("endless", 1500), "שלום עולם", "\u202eabc",
	"紡毛糸 紡毛糸 紡毛糸 紡毛糸", "a b c d e f g h i j k l m n o p", "<script>alert(1)</script>"}

func anySticker(t *rapid.T) Sticker {
	text := rapid.SampledFrom(words)
	s := Sticker{Code: text.Draw(t, "code"), Large: text.Draw(t, "large"),
		Warning: text.Draw(t, "warning"), Swatch: rapid.Bool().Draw(t, "swatch")}
	for range rapid.IntRange(0, 7).Draw(t, "lines") {
		s.Lines = append(s.Lines, text.Draw(t, "line"))
	}
	return s
}

// Whatever is on it: type stays inside, off the symbol and its quiet zone; the
// symbol has whole dots, four to a module, and keeps off the edge; a warning is
// whole or a sign stands for it.
func TestAStickerHoldsWhatIsOnIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sheet := rapid.SampledFrom(Sheets).Draw(t, "sheet")
		dot := inch / float64(rapid.SampledFrom([]int{203, 300, 600, 1200}).Draw(t, "dpi"))
		s := anySticker(t)
		x, y := sheet.place(rapid.IntRange(0, sheet.Count()-1).Draw(t, "place"))
		out := layOut(s, sheet, [2]float64{x, y}, dot)
		left, top, right, bottom := insideOf(sheet)
		if code, ok := symbolFor(s.Code, (right-left)/2, bottom-top+2*edge, dot); ok {
			dots := code.module / dot
			if dots < leastDots-1e-6 || math.Abs(dots-math.Round(dots)) > 1e-6 {
				t.Fatalf("a module is %g dots", dots)
			}
			if h := code.width() + 2*code.quiet(); h > sheet.H+0.01 ||
				code.width() > bottom-top+dot {
				t.Fatalf("symbol of %g on %g", h, sheet.H)
			}
			right -= code.width() + code.quiet() - dot
		} else if out.Path != "" || out.Missing != (s.Code != "") {
			t.Fatal("a symbol that has no room is drawn, or its lack not told")
		}
		var said []string
		for i, l := range out.Texts {
			if l.Size < 2.5 {
				t.Fatalf("type of %g mm", l.Size)
			}
			if i > 0 && l.Y > bottom+0.6 {
				t.Fatalf("%q at %g of %g", l.Text, l.Y, bottom)
			}
			if end := l.X + float64(runewidth.StringWidth(l.Text))*l.Size*perCell; end > right+0.01 && runewidth.StringWidth(l.Text) > 2 {
				t.Fatalf("%q ends at %g of %g", l.Text, end, right)
			}
			said = append(said, l.Text)
		}
		if all := strings.Join(said, " "); s.Warning != "" && len(out.Texts) > 1 &&
			!strings.HasPrefix(out.Texts[1].Text, "! ") &&
			!strings.Contains(all, strings.Join(strings.Fields(s.Warning), " ")) &&
			runewidth.StringWidth(s.Warning) < 40 {
			t.Fatalf("the warning %q is cut: %q", s.Warning, said)
		}
	})
}

func TestThePageIsWellFormedAndNothingInItRuns(t *testing.T) {
	var all []Sticker
	for _, w := range words {
		all = append(all, Sticker{Code: w, Large: w, Warning: w, Lines: []string{w, w},
			Swatch: true, Hex: "#123456\"/><script>"})
	}
	for _, j := range []Job{{Sheet: Sheets[0], Stickers: all, Start: 65, DPI: 600, Title: words[8]},
		{Sheet: Sheets[19], Test: true, DPI: 600}} {
		var b bytes.Buffer
		missing, err := Write(&b, j)
		if err != nil || missing > len(all) {
			t.Fatal(err)
		}
		page := b.String()
		if strings.Contains(page, "<script") || strings.Contains(page, "ZgotmplZ") {
			t.Error("a text became an element")
		}
		svg := page[strings.Index(page, "<svg") : strings.LastIndex(page, "</svg>")+6]
		d := xml.NewDecoder(strings.NewReader("<all>" + svg + "</all>"))
		pages := 0
		for {
			token, err := d.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			if e, ok := token.(xml.StartElement); ok && e.Name.Local == "svg" && len(e.Attr) > 0 &&
				e.Attr[0].Value == "page" {
				pages++
			}
		}
		if want := map[bool]int{true: 1, false: 2}[j.Test]; pages != want {
			t.Errorf("%d pages, want %d", pages, want)
		}
	}
}

func TestARollHasOneToAPage(t *testing.T) {
	s, ok := Roll(62, 29)
	if !ok || s.Count() != 1 || s.W != 62 || s.Height != 29 {
		t.Errorf("%+v", s)
	}
	if _, ok := Roll(3, 29); ok {
		t.Error("a sticker of 3 mm")
	}
	if _, ok := Roll(math.NaN(), 29); ok {
		t.Error("a sticker of no size")
	}
}
