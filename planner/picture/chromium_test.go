package picture

import (
	"context"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"endsmeet/stash/outside"
)

// TestChromiumDrawsThePage has headless Chromium render the page and looks for
// ink where the cloth and the plot should be.
func TestChromiumDrawsThePage(t *testing.T) {
	browser := outside.Program(t, "chromium")
	dir := t.TempDir()
	page, shot := filepath.Join(dir, "page.svg"), filepath.Join(dir, "page.png")
	if err := os.WriteFile(page, SVG(scarf(), sizes()), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 2*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, browser, "--headless", "--no-sandbox", "--disable-gpu",
		"--disable-quic", "--no-first-run",
		"--disable-background-networking", "--disable-component-update", "--disable-sync",
		"--user-data-dir="+filepath.Join(dir, "profile"),
		"--window-size=840,1188", "--screenshot="+shot, "file://"+page)
	cmd.WaitDelay = 5 * time.Second
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	f, err := os.Open(shot)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	b := img.Bounds()
	ink := func(top, bottom float64) int {
		n := 0
		for y := int(top * float64(b.Dy())); y < int(bottom*float64(b.Dy())); y++ {
			for x := b.Min.X; x < b.Max.X; x++ {
				if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
					n++
				}
			}
		}
		return n
	}
	if cloth, plot := ink(0.1, 0.25), ink(0.55, 0.9); cloth < 1000 || plot < 500 {
		t.Errorf("ink: %d pixels where the cloth is, %d where the plot is", cloth, plot)
	}
}
