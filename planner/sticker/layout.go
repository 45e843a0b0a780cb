package sticker

import (
	"slices"
	"strings"

	"github.com/mattn/go-runewidth"
)

// Sticker is what is on one: its texts may come from anywhere.
type Sticker struct {
	// Code is what its symbol says, Large what is read from afar.
	Code, Large string
	// Warning is what must be read; where it has no room a sign stands for it.
	Warning string
	// Lines go from what matters most to what matters least.
	Lines []string
	// Hex is how the colour looks, empty where that is not known; Swatch says
	// whether there is a colour to show.
	Hex    string
	Swatch bool
}

// The type of a sticker, in mm: 7 points is 2.47 mm, the least that is read without
// a glass (common practice, no source).
const (
	typeSize, typeLead   = 2.6, 3.1
	largeLeast, largeTop = 3.2, 9.0
	// perCell is how wide a letter is to its height, with some air: sans-serif is
	// 0.5 to 0.55 (from memory).
	perCell = 0.6
	gap     = 1.2
	swatch  = 3.6
	// besideSwatch is how many cells a swatch takes of its line.
	besideSwatch = 4
)

// tooMuch stands for a warning that has no room.
const tooMuch = "! hazards: see the list"

// text is a line of type at a place.
type text struct {
	X, Y, Size float64
	Bold       bool
	Text       string
}

// laidOut is a sticker as it is drawn, with its corner at 0, 0.
type laidOut struct {
	W, H   float64
	Texts  []text
	Path   string
	Swatch bool
	// SwatchX and SwatchY are its corner.
	SwatchX, SwatchY float64
	Hex              string
	// Missing says that the symbol has no room.
	Missing bool
}

// layOut puts a sticker into its room: the symbol at the right, as large as height
// and half the width have it, then the tag, what must be read, and as many lines as
// there is room for.
func layOut(s Sticker, sheet Sheet, corner [2]float64, dot float64) laidOut {
	out := laidOut{W: sheet.W, H: sheet.H, Hex: s.Hex}
	left, top, right, bottom := insideOf(sheet)
	code, ok := symbolFor(s.Code, (right-left)/2, bottom-top+2*edge, dot)
	if ok {
		x := onDots(corner[0]+right-code.width(), dot) - corner[0]
		y := onDots(corner[1]+(top+bottom-code.width())/2, dot) - corner[1]
		out.Path = code.path(x, y)
		right = x - code.quiet()
	}
	out.Missing = !ok && s.Code != ""
	out.write(s, left, top, right, bottom)
	return out
}

// insideOf is the part of a sticker that may be printed; of a round one the square
// in it.
func insideOf(sheet Sheet) (left, top, right, bottom float64) {
	if sheet.Round {
		cut := sheet.W * (1 - 0.70710678) / 2
		return cut, cut, sheet.W - cut, sheet.H - cut
	}
	return edge, edge, sheet.W - edge, sheet.H - edge
}

// write sets the type.
func (out *laidOut) write(s Sticker, left, top, right, bottom float64) {
	size := largeSize(s.Large, right-left, bottom-top)
	out.Texts = append(out.Texts, text{X: left, Y: top + size*0.85, Size: size, Bold: true,
		Text: cutTo(s.Large, right-left, size)})
	y := top + size + gap
	room := int((bottom - y + typeLead - typeSize) / typeLead)
	cells := int((right - left) / (typeSize * perCell))
	for _, l := range chosen(s, cells, max(0, room)) {
		x := left
		if l.swatch {
			out.Swatch, out.SwatchX, out.SwatchY = true, left, y
			x += swatch + gap
		}
		out.Texts = append(out.Texts, text{X: x, Y: y + typeSize*0.85, Size: typeSize, Bold: l.bold,
			Text: l.text})
		y += typeLead
	}
}

// largeSize is the height at which the tag fits its line and leaves most of the
// sticker to the lines.
func largeSize(word string, width, height float64) float64 {
	fits := width / (perCell * float64(max(1, runewidth.StringWidth(word))))
	return max(largeLeast, min(fits, height/3, largeTop))
}

type line struct {
	text         string
	bold, swatch bool
}

// chosen are the lines that there is room for: the warning whole or a sign for it,
// then the first lines, in two rows where there is room to spare. The first stands
// beside the swatch.
func chosen(s Sticker, cells, room int) []line {
	var out []line
	warning := wrapped(s.Warning, cells)
	long := slices.ContainsFunc(strings.Fields(s.Warning),
		func(w string) bool { return runewidth.StringWidth(w) > cells })
	if len(warning) > room || long {
		warning = []string{cutCells(tooMuch, cells)}
	}
	if room == 0 {
		return nil
	}
	for _, w := range warning {
		out = append(out, line{text: w, bold: true})
	}
	left := slices.DeleteFunc(slices.Clone(s.Lines), func(l string) bool { return l == "" })
	for i, l := range left {
		spare := room - len(out) - (len(left) - i)
		if len(out) >= room {
			break
		}
		most, beside := cells, s.Swatch && i == 0
		if beside {
			most -= besideSwatch
		}
		if rows := wrapped(l, most); len(rows) > 1 && spare > 0 {
			out = append(out, line{text: rows[0], swatch: beside})
			l, beside, most = strings.Join(rows[1:], " "), false, cells
		}
		out = append(out, line{text: cutCells(l, most), swatch: beside})
	}
	return out
}

// wrapped breaks a text into lines of so many cells; a word too long is cut.
func wrapped(text string, cells int) []string {
	var out []string
	for _, word := range strings.Fields(text) {
		word = cutCells(word, cells)
		last := len(out) - 1
		if last >= 0 && runewidth.StringWidth(out[last])+1+runewidth.StringWidth(word) <= cells {
			out[last] += " " + word
			continue
		}
		out = append(out, word)
	}
	return out
}

func cutCells(text string, cells int) string { return runewidth.Truncate(text, max(1, cells), "…") }

func cutTo(text string, width, size float64) string {
	return cutCells(text, int(width/(size*perCell)))
}
