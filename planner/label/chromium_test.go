package label

import (
	"bytes"
	"context"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"endsmeet/stash/outside"
)

// browser finds headless Chromium, a reference for what a page looks like.
func browser(t *testing.T) string {
	t.Helper()
	return outside.Program(t, "chromium", "chromium-browser")
}

// look runs Chromium on a file with its own profile and gives its output.
func look(t *testing.T, file string, flags ...string) []byte {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	profile, err := os.MkdirTemp(t.TempDir(), "profile")
	if err != nil {
		t.Fatal(err)
	}
	flags = append([]string{"--headless", "--no-sandbox", "--disable-gpu", "--no-first-run",
		"--user-data-dir=" + profile}, flags...)
	cmd := exec.CommandContext(ctx, browser(t), append(flags, "file://"+file)...)
	cmd.WaitDelay = 5 * time.Second
	var errs bytes.Buffer
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, errs.String())
	}
	return out
}

// written renders a card into a file.
func written(t *testing.T, name string, render func(*bytes.Buffer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := render(&b); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestChromium(t *testing.T) {
	browser(t)
	t.Run("names with markup are text, and no script runs", func(t *testing.T) {
		t.Parallel()
		file := written(t, "card.html",
			func(b *bytes.Buffer) error { return sample(t, wicked).HTML(b, A6) })
		dom := string(look(t, file, "--dump-dom"))
		if strings.Contains(dom, "<script") || strings.Contains(dom, "<img") ||
			strings.Contains(dom, "<title>owned") {
			t.Error(dom)
		}
		if !strings.Contains(dom, "<dd>wool 45%, linen 40%, nylon 15%</dd>") ||
			!strings.Contains(dom, "Scarf &lt;script&gt;") {
			t.Error(dom)
		}
	})
	for name, row := range map[string]struct {
		size          Size
		width, height float64
	}{"A6": {A6, 105, 148}, "label": {Small, 70, 50}} {
		t.Run("prints on one page of the paper: "+name, func(t *testing.T) {
			t.Parallel()
			file := written(t, "card.html",
				func(b *bytes.Buffer) error { return sample(t, "sky").HTML(b, row.size) })
			pdf := filepath.Join(t.TempDir(), "card.pdf")
			look(t, file, "--no-pdf-header-footer", "--print-to-pdf="+pdf)
			checkPDF(t, pdf, row.width, row.height)
		})
	}
	t.Run("the drawing shows its text", func(t *testing.T) {
		t.Parallel()
		file := written(t, "card.svg",
			func(b *bytes.Buffer) error { return sample(t, "sky").SVG(b, A6) })
		shot := filepath.Join(t.TempDir(), "card.png")
		look(t, file, "--window-size=400,600", "--screenshot="+shot)
		checkInk(t, shot)
	})
}

var mediaBox = regexp.MustCompile(`/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]`)

// checkPDF checks that there is one page, of so many millimetres.
func checkPDF(t *testing.T, file string, width, height float64) {
	t.Helper()
	raw, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	boxes := mediaBox.FindAllSubmatch(raw, -1)
	if len(boxes) != 1 {
		t.Fatalf("%d pages", len(boxes))
	}
	for i, want := range []float64{width, height} {
		points, err := strconv.ParseFloat(string(boxes[0][i+1]), 64)
		if err != nil || math.Abs(points*25.4/72-want) > 0.5 {
			t.Errorf("%s points, want %.0f mm", boxes[0][i+1], want)
		}
	}
}

// checkInk checks that a picture has dark text on a light ground, and that the
// text stays clear of the right edge of the paper.
func checkInk(t *testing.T, file string) {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	dark, rightmost := 0, 0
	b := img.Bounds()
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			if r, g, bl, _ := img.At(x, y).RGBA(); r+g+bl < 3*0x6000 {
				dark++
				rightmost = max(rightmost, x)
			}
		}
	}
	const edge = 396 // the width of A6 in CSS pixels: 105 mm at 96 for each inch
	if dark < 1000 || rightmost > edge-10 {
		t.Errorf("%d dark pixels, the last at %d of %d", dark, rightmost, edge)
	}
}
