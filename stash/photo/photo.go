// Package photo makes a picture fit to be kept: read within bounds, turned
// upright, made smaller and written anew, so that nothing of the place, the camera
// or the person that the file told of is kept. It is pure: bytes in, bytes out.
package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	_ "image/png" // a form that is read

	"github.com/lucasb-eyer/go-colorful"
	"golang.org/x/image/draw"
	_ "golang.org/x/image/webp" // a form that is read
)

// The bounds of what is read: files and pictures beyond them are refused before
// anything is decoded.
const (
	MostBytes  = 64 << 20
	mostPixels = 64_000_000
)

// The sizes of what is kept: the longer side in pixels, and the most bytes.
const (
	fullSide, fullBytes   = 1600, 500_000
	smallSide, smallBytes = 320, 30_000
	// MostKept is more than any picture has that is kept, at the worst quality.
	MostKept = 2_000_000
)

// Photo is a picture fit to be kept, as JPEG.
type Photo struct {
	// Full and Small are the same picture in two sizes.
	Full, Small   []byte
	Width, Height int
	// Middle is the mean colour of its middle, such as #7a6b4f.
	Middle string
}

// Read makes a photo of a file. The error says what is wrong with it and what to do.
func Read(data []byte) (Photo, error) {
	if len(data) > MostBytes {
		return Photo{}, fmt.Errorf("the file is of %d MB, more than %d MB (save it smaller, as JPEG)", len(data)>>20, MostBytes>>20)
	}
	config, form, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil || form != "jpeg" && form != "png" && form != "webp" {
		return Photo{}, errors.New("this is no picture in JPEG, PNG or WebP, or it is damaged (save it as JPEG)")
	}
	if pixels := int64(config.Width) * int64(config.Height); pixels > mostPixels || pixels == 0 {
		return Photo{}, fmt.Errorf("the picture is of %d megapixels, more than %d (save it smaller)", pixels/1_000_000, mostPixels/1_000_000)
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return Photo{}, fmt.Errorf("the picture is damaged or moves: %v (save it again, as a still JPEG)", err)
	}
	turn := 1
	if form == "jpeg" {
		turn = orientation(data)
	}
	return keep(img, turn)
}

// keep makes both sizes of a picture.
func keep(img image.Image, turn int) (Photo, error) {
	large := upright(shrunk(img, fullSide), turn)
	p := Photo{Width: large.Bounds().Dx(), Height: large.Bounds().Dy(), Middle: middle(large)}
	var err error
	if p.Full, err = encoded(large, fullBytes); err != nil {
		return p, err
	}
	p.Small, err = encoded(shrunk(large, smallSide), smallBytes)
	return p, err
}

// shrunk is a picture whose longer side is no more than a number of pixels, on
// white where it lets light through.
func shrunk(img image.Image, most int) *image.RGBA {
	b := img.Bounds()
	w, h := b.Dx(), b.Dy()
	if long := max(w, h); long > most {
		w, h = max(1, w*most/long), max(1, h*most/long)
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(out, out.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.CatmullRom.Scale(out, out.Bounds(), img, b, draw.Over, nil)
	return out
}

// encoded writes a picture as JPEG in no more than so many bytes, as good as that
// allows. Only what is seen is written: image/jpeg writes no other segments.
func encoded(img image.Image, most int) ([]byte, error) {
	var b bytes.Buffer
	for quality := 88; ; quality -= 8 {
		b.Reset()
		if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
			return nil, err
		}
		if b.Len() <= most || quality <= 16 {
			return b.Bytes(), nil
		}
	}
}

// middle is the mean colour of the middle third of a picture, in a space where
// means look right.
func middle(img *image.RGBA) string {
	b := img.Bounds()
	var l, a, bb, n float64
	third := image.Rect(b.Dx()/3, b.Dy()/3, b.Dx()-b.Dx()/3, b.Dy()-b.Dy()/3)
	step := max(1, third.Dx()/64)
	for y := third.Min.Y; y < third.Max.Y; y += step {
		for x := third.Min.X; x < third.Max.X; x += step {
			if c, ok := colorful.MakeColor(img.At(x, y)); ok {
				cl, ca, cb := c.Lab()
				l, a, bb, n = l+cl, a+ca, bb+cb, n+1
			}
		}
	}
	if n == 0 {
		return ""
	}
	return colorful.Lab(l/n, a/n, bb/n).Clamped().Hex()
}
