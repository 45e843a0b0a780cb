package main

import (
	"encoding/json"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/sticker"
	"endsmeet/stash/outside"
)

// printed prints a page as the browser does and gives its sheets at 300 dots to the
// inch (pdftoppm of Poppler).
func printed(t *testing.T, page string) []image.Image {
	t.Helper()
	dir := t.TempDir()
	pdf := filepath.Join(dir, "page.pdf")
	chromium(t, page, "--no-pdf-header-footer", "--print-to-pdf="+pdf)
	output(t, "", outside.Program(t, "pdftoppm"), "-r", "300", "-gray", "-png", pdf,
		filepath.Join(dir, "sheet"))
	files, err := filepath.Glob(filepath.Join(dir, "sheet*.png"))
	if err != nil || len(files) == 0 {
		t.Fatal("no sheet was printed", err)
	}
	var out []image.Image
	for _, name := range files {
		f, err := os.Open(name)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, img)
	}
	return out
}

// scanned reads the code of each sticker by itself, as one holds a scanner to it
// (zbarimg of ZBar 0.23): empty where none is read.
func scanned(t *testing.T, sheets []image.Image, s sticker.Sheet, from, n int) []string {
	t.Helper()
	zbar := outside.Program(t, "zbarimg")
	dir := t.TempDir()
	args := []string{"--nodbus", "--xml", "-q"}
	for i := range n {
		at := i + from - 1
		dots := func(mm float64) int { return int(mm*300/25.4 + 0.5) }
		x := s.X + float64(at%s.Count()%s.Across)*s.PitchX
		y := s.Y + float64(at%s.Count()/s.Across)*s.PitchY
		cut := sheets[at/s.Count()].(interface {
			SubImage(image.Rectangle) image.Image
		}).SubImage(image.Rect(dots(x), dots(y), dots(x+s.W), dots(y+s.H)))
		name := filepath.Join(dir, fmt.Sprintf("%04d.png", i))
		f, err := os.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := png.Encode(f, cut); err != nil {
			t.Fatal(err)
		}
		f.Close()
		args = append(args, name)
	}
	out := make([]string, n)
	for _, part := range strings.Split(output(t, "", zbar, args...), "<source ")[1:] {
		var i int
		if _, err := fmt.Sscanf(filepath.Base(between(part, "href='", "'")), "%04d.png",
			&i); err == nil {
			out[i] = between(part, "<![CDATA[", "]]>")
		}
	}
	return out
}

func between(text, from, to string) string {
	_, after, _ := strings.Cut(text, from)
	inside, _, _ := strings.Cut(after, to)
	return inside
}

// Every code, printed as the browser prints it, says its tag to a reader that is
// not ours, on the sheets with the smallest stickers, of A4 and Letter.
func TestAReaderReadsEverySticker(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("import", fortyYarns)
	d.run("receive", "Long word", "--net", "10g", "--tag", "lodz-7/ab", "--colour",
		strings.Repeat("long ", 2000), "--hazards", "dust, oil, lanolin", "--bin", "שלום")
	var items []struct{ Tag string }
	if err := json.Unmarshal([]byte(d.run("--json", "list")), &items); err != nil ||
		len(items) < 48 {
		t.Fatal(err, len(items))
	}
	for name, start := range map[string]int{"a4-7x27": 160, "letter-4x20": 80} {
		t.Run(name, func(t *testing.T) {
			page := d.path(name + ".html")
			var made show.StickersMade
			if err := json.Unmarshal([]byte(d.run("--json", "stickers", page, "--sheet", name,
				"--start", fmt.Sprint(start))), &made); err != nil {
				t.Fatal(err)
			}
			sheet, _ := sticker.Named(name)
			sheets := printed(t, page)
			if len(sheets) != made.Sheets {
				t.Fatalf("%d sheets came out of the printer, want %d", len(sheets), made.Sheets)
			}
			if size := sheets[0].Bounds(); abs(size.Dx()-int(sheet.Width*300/25.4)) > 3 ||
				abs(size.Dy()-int(sheet.Height*300/25.4)) > 3 {
				t.Errorf("the paper is of %d × %d dots", size.Dx(), size.Dy())
			}
			for i, got := range scanned(t, sheets, sheet, start, len(items)) {
				if got != items[i].Tag {
					t.Errorf("sticker %d reads %q, want %q", i+1, got, items[i].Tag)
				}
			}
		})
	}
}

func abs(n int) int { return max(n, -n) }

func TestStickersAreAccessible(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("import", fortyYarns)
	d.run("stickers", d.path("stickers.html"))
	accessible(t, d.path("stickers.html"))
}
