package sticker

import (
	"fmt"
	"image/color"
	"math"
	"strings"

	"github.com/boombuler/barcode/qr"
)

// The measures of a symbol (ISO/IEC 18004; the printing figures from a scanner
// maker's guide): four modules of quiet zone, four printer dots to a module at
// least.
const (
	quietModules = 4
	leastDots    = 4
	// edge is what nothing is printed in along the edge of a sticker, in mm, since
	// sheets are never fed quite true.
	edge = 2.0
	// mostModule is the largest module: beyond it a symbol only takes room.
	mostModule = 1.0
)

// symbol is a QR code: its dark modules, and how wide one is.
type symbol struct {
	side   int
	module float64
	dark   func(x, y int) bool
}

// symbolFor makes the symbol of a text as large as the room has it, in whole dots
// of the printer; false where the text or the room has none.
func symbolFor(text string, room, height, dot float64) (symbol, bool) {
	if text == "" {
		return symbol{}, false
	}
	code, err := qr.Encode(text, qr.M, qr.Auto)
	if err != nil {
		return symbol{}, false
	}
	side := code.Bounds().Dx()
	most := min(room/float64(side), (height-2*edge)/float64(side),
		height/float64(side+2*quietModules), mostModule)
	dots := int(most/dot + 1e-9)
	if dots >= 2*leastDots && dots%2 == 1 {
		dots-- // then it is of whole dots on a printer half as fine too
	}
	dark := func(x, y int) bool {
		return color.GrayModel.Convert(code.At(x, y)).(color.Gray).Y < 128
	}
	return symbol{side: side, module: float64(dots) * dot, dark: dark}, dots >= leastDots
}

// width is how wide the symbol is without its quiet zone.
func (s symbol) width() float64 { return float64(s.side) * s.module }

// quiet is the width of the quiet zone.
func (s symbol) quiet() float64 { return quietModules * s.module }

// path draws the symbol with its corner at a place, a run of modules at a time.
func (s symbol) path(x, y float64) string {
	var b strings.Builder
	for row := range s.side {
		for col := 0; col < s.side; col++ {
			from := col
			for col < s.side && s.dark(col, row) {
				col++
			}
			if col > from {
				wide := float64(col-from) * s.module
				fmt.Fprintf(&b, "M%.4f %.4fh%.4fv%.4fh-%.4fz", x+float64(from)*s.module,
					y+float64(row)*s.module, wide, s.module, wide)
			}
		}
	}
	return b.String()
}

// onDots moves a place to the nearest dot of the printer.
func onDots(x, dot float64) float64 { return math.Round(x/dot) * dot }
