package sticker

import (
	"fmt"
	"strings"
)

// Sheet is the geometry of a sheet of stickers, or of a roll that has one to a
// page.
type Sheet struct {
	Name string
	// Page is what it is printed on.
	Page          string
	Width, Height float64
	// Across and Down are how many there are.
	Across, Down int
	// W and H are one sticker; X and Y the left and top margin of the first; PitchX
	// and PitchY go from one to the next.
	W, H, X, Y, PitchX, PitchY float64
	Round                      bool
}

const (
	inch                      = 25.4
	a4Width, a4Height         = 210, 297
	letterWidth, letterHeight = 8.5 * inch, 11 * inch
)

// Sheets are the geometries as public template files of a label printing program
// have them, points turned to millimetres; sources differ by 0.3 to 0.5 mm, which an
// offset takes up. That of 3 by 8 on A4 is from memory.
var Sheets = []Sheet{
	a4("a4-5x13", 5, 13, 38.1, 21.2, 4.7, 10.9, 40.6, 21.2),
	a4("a4-5x13-close", 5, 13, 38.1, 21.2, 9.5, 10.5, 38.1, 21.2),
	a4("a4-5x16", 5, 16, 35.6, 16.9, 11, 13, 38.1, 16.9),
	a4("a4-7x27", 7, 27, 25.4, 10, 5, 13, 28.5, 10.14),
	a4("a4-4x10", 4, 10, 45.7, 25.4, 10, 22, 48.5, 25.4),
	a4("a4-3x11", 3, 11, 64, 24.3, 6, 14, 66.5, 24.3),
	a4("a4-3x8", 3, 8, 70, 37, 0, 0.5, 70, 37),
	a4("a4-3x7", 3, 7, 63.5, 38.1, 7.2, 15.15, 66, 38.1),
	a4("a4-3x6", 3, 6, 63.5, 46.6, 7.4, 8.1, 65.9, 46.7),
	a4("a4-2x8", 2, 8, 99.1, 33.9, 4, 13, 102.5, 33.9),
	a4("a4-2x7", 2, 7, 99.1, 38.1, 3.4, 15.2, 103, 38.1),
	a4("a4-3x4", 3, 4, 63.5, 72, 7.35, 3.5, 66, 72),
	a4("a4-2x4", 2, 4, 99.1, 67.7, 4.7, 13, 101.6, 67.7),
	letter("letter-3x10", 3, 10, 2.625, 1, 0.1875, 0.5, 2.75, 1),
	letter("letter-4x20", 4, 20, 1.75, 0.5, 0.281, 0.5, 2.0625, 0.5),
	letter("letter-2x10", 2, 10, 4, 1, 0.156, 0.5, 4.1875, 1),
	letter("letter-2x7", 2, 7, 4, 1.0+1.0/3, 0.156, 0.833, 4.1875, 1.333),
	letter("letter-2x5", 2, 5, 4, 2, 0.1625, 0.5, 4.1875, 2),
	letter("letter-2x3", 2, 3, 4, 3.0+1.0/3, 0.156, 0.5, 4.1875, 3.333),
	round(letter("letter-4x6-round", 4, 6, 1.625, 1.625, 0.416, 0.549, 2.0145, 1.655)),
}

func a4(name string, across, down int, w, h, x, y, px, py float64) Sheet {
	return Sheet{Name: name, Page: "A4", Width: a4Width, Height: a4Height, Across: across,
		Down: down, W: w, H: h, X: x, Y: y, PitchX: px, PitchY: py}
}

// letter takes inches.
func letter(name string, across, down int, w, h, x, y, px, py float64) Sheet {
	return Sheet{Name: name, Page: "Letter", Width: letterWidth, Height: letterHeight,
		Across: across, Down: down,
		W: w * inch, H: h * inch, X: x * inch, Y: y * inch, PitchX: px * inch, PitchY: py * inch}
}

func round(s Sheet) Sheet {
	s.Round = true
	return s
}

// The least and greatest sides of a sticker of a roll.
const leastSide, mostSide = 8, 300

// Roll is a roll printer's page of one sticker; false where no sticker is so small
// or large.
func Roll(width, height float64) (Sheet, bool) {
	ok := width >= leastSide && height >= leastSide && width <= mostSide && height <= mostSide
	name := fmt.Sprintf("roll %.4g × %.4g mm", width, height)
	return Sheet{Name: name, Page: name, Width: width, Height: height, Across: 1, Down: 1, W: width,
		H: height, PitchX: width, PitchY: height}, ok
}

// Named finds a sheet; false where there is none.
func Named(name string) (Sheet, bool) {
	for _, s := range Sheets {
		if strings.EqualFold(s.Name, strings.TrimSpace(name)) {
			return s, true
		}
	}
	return Sheet{}, false
}

// Count is how many stickers a page has.
func (s Sheet) Count() int { return s.Across * s.Down }

// place is the corner of the n-th sticker of a page, from 0 along the rows.
func (s Sheet) place(n int) (x, y float64) {
	return s.X + float64(n%s.Across)*s.PitchX, s.Y + float64(n/s.Across)*s.PitchY
}

// Words say what the sheet is.
func (s Sheet) Words() string {
	shape := fmt.Sprintf("%.4g × %.4g mm", s.W, s.H)
	if s.Round {
		shape = fmt.Sprintf("round, %.4g mm", s.W)
	}
	return fmt.Sprintf("%s, %d across and %d down, %s", s.Page, s.Across, s.Down, shape)
}
