package photo

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/outside"
)

// marked is a JPEG whose camera's notes say how it is turned, where it was taken and
// by what; its upper left corner is red, the rest green.
func marked(t *testing.T) []byte {
	t.Helper()
	data, err := os.ReadFile("../../testdata/pictures/cone.jpg")
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// noise is a picture that hardly becomes smaller.
func noise(w, h int) image.Image {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	r := rand.New(rand.NewPCG(1, 2))
	for i := range m.Pix {
		m.Pix[i] = byte(r.Uint32())
	}
	return m
}

func TestWhatIsKeptIsUprightAndSmall(t *testing.T) {
	p, err := Read(marked(t))
	if err != nil {
		t.Fatal(err)
	}
	if p.Width != 300 || p.Height != 400 || p.Middle != "#6a8e22" {
		t.Errorf("%d × %d, middle %s", p.Width, p.Height, p.Middle)
	}
	img, err := jpeg.Decode(bytes.NewReader(p.Full))
	if err != nil {
		t.Fatal(err)
	}
	if r, g, _, _ := img.At(280, 20).RGBA(); r < g { // turned by a quarter to the right
		t.Error("the corner is not where it was seen")
	}
	var b bytes.Buffer
	if err := png.Encode(&b, noise(2400, 1800)); err != nil {
		t.Fatal(err)
	}
	large, err := Read(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	if large.Width != fullSide || len(large.Full) > fullBytes || len(large.Small) > smallBytes {
		t.Errorf("%d pixels wide, %d and %d bytes", large.Width, len(large.Full), len(large.Small))
	}
}

// Nothing of place, camera or owner is in what is kept (exiftool 12.57 of Debian).
func TestNothingOfPlaceOrCameraIsKept(t *testing.T) {
	tool := outside.Program(t, "exiftool")
	dir := t.TempDir()
	tags := func(name string, data []byte) string {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, data, 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(tool, "-a", "-G", "-u", "-ee", file).CombinedOutput()
		if err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		return string(out)
	}
	if before := tags("before.jpg", marked(t)); !strings.Contains(before, "GPS") ||
		!strings.Contains(before, "Invented") {
		t.Fatalf("the file tells nothing to begin with:\n%s", before)
	}
	p, err := Read(marked(t))
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"full.jpg": p.Full, "small.jpg": p.Small} {
		seen := 0
		for line := range strings.Lines(tags(name, data)) {
			seen++
			group, _, _ := strings.Cut(strings.TrimPrefix(line, "["), "]")
			if group != "ExifTool" && group != "File" && group != "Composite" {
				t.Errorf("%s: %s", name, line)
			}
		}
		if seen < 5 {
			t.Errorf("%s: nothing was looked at", name)
		}
	}
}

// turned lists where the corner of a picture of 2 by 3 goes by each orientation
// (Exif 2.3, table of the tag Orientation: which side of what is seen the row and
// the column 0 of the file are).
var turned = map[int][2]int{1: {0, 0}, 2: {1, 0}, 3: {1, 2}, 4: {0, 2}, 5: {0, 0}, 6: {2, 0},
	7: {2, 1}, 8: {0, 1}}

func TestEveryOrientationIsTurnedUpright(t *testing.T) {
	for turn, corner := range turned {
		img := image.NewRGBA(image.Rect(0, 0, 2, 3))
		img.SetRGBA(0, 0, color.RGBA{255, 0, 0, 255})
		out := upright(img, turn)
		if got := out.RGBAAt(corner[0], corner[1]); got.R != 255 {
			t.Errorf("%d: the corner is not at %v of %v", turn, corner, out.Bounds())
		}
		if sideways := out.Bounds().Dx() == 3; sideways != (turn >= 5) {
			t.Errorf("%d: %v", turn, out.Bounds())
		}
	}
	if len(turned) != 8 {
		t.Error("not all of them")
	}
}

// claims is a PNG of nothing that says it has so many pixels.
func claims(w, h uint32) []byte {
	head := make([]byte, 13)
	binary.BigEndian.PutUint32(head, w)
	binary.BigEndian.PutUint32(head[4:], h)
	head[8], head[9] = 8, 2
	chunk := append([]byte("IHDR"), head...)
	out := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\x0d"), chunk...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(chunk))
}

func TestWhatIsNoPictureIsRefused(t *testing.T) {
	var moving, cut bytes.Buffer
	frame := image.NewPaletted(image.Rect(0, 0, 4, 4), color.Palette{color.Black, color.White})
	if err := gif.EncodeAll(&moving, &gif.GIF{Image: []*image.Paletted{frame, frame},
		Delay: []int{1, 1}}); err != nil {
		t.Fatal(err)
	}
	if err := jpeg.Encode(&cut, noise(200, 200), nil); err != nil {
		t.Fatal(err)
	}
	for name, row := range map[string]struct {
		data []byte
		says string
	}{
		"nothing":            {nil, "no picture"},
		"a text called .jpg": {[]byte("this is a text, whatever its name says\n"), "no picture"},
		"a moving GIF":       {moving.Bytes(), "no picture in JPEG, PNG or WebP"},
		"a picture cut off":  {cut.Bytes()[:cut.Len()/2], "damaged"},
		"200 megapixels": {claims(20_000, 10_000),
			"200 megapixels, more than 64 (save it smaller)"},
		"more than there is": {claims(1<<31-1, 1<<31-1), "no picture"},
		"no width":           {claims(0, 10), "no picture"},
		"too large a file":   {make([]byte, MostBytes+1), "more than 64 MB"},
	} {
		t.Run(name, func(t *testing.T) {
			if _, err := Read(row.data); err == nil || !strings.Contains(err.Error(), row.says) {
				t.Error(err)
			}
		})
	}
}

// Whatever the bytes are, they are refused or make a picture within bounds.
func TestNoFileBreaksIt(t *testing.T) {
	whole := marked(t)
	rapid.Check(t, func(t *rapid.T) {
		data := bytes.Clone(whole)
		for range rapid.IntRange(1, 6).Draw(t, "flips") {
			data[rapid.IntRange(0, len(data)-1).Draw(t, "at")] = rapid.Byte().Draw(t, "byte")
		}
		data = data[:rapid.IntRange(0, len(data)).Draw(t, "length")]
		p, err := Read(data)
		if err == nil && (p.Width > fullSide || p.Height > fullSide || len(p.Full) > fullBytes ||
			p.Width < 1) {
			t.Fatalf("%d × %d, %d bytes", p.Width, p.Height, len(p.Full))
		}
	})
}
