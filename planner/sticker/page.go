package sticker

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"

	"endsmeet/planner/page"
)

// Job is what is printed.
type Job struct {
	Title    string
	Sheet    Sheet
	Stickers []Sticker
	// Start is the first sticker that is still on the sheet, from 1.
	Start int
	// Right and Down move all of it, in mm.
	Right, Down float64
	// DPI is how many dots the printer has to the inch.
	DPI int
	// Test prints the outlines of an empty sheet, to be held against one.
	Test bool
}

//go:embed sticker.html
var pageText string

// sheetPage is one page as it is drawn.
type sheetPage struct {
	Title  string
	Places []placed
}

// placed is a sticker, or the outline of one, at its place.
type placed struct {
	X, Y  float64
	Empty bool
	N     int
	laidOut
}

// Write writes the page, and says how many symbols had no room. The error is the
// writer's.
func Write(w io.Writer, j Job) (missing int, err error) {
	tree, err := template.New("stickers").Funcs(template.FuncMap{"apart": apart,
		"half": func(x float64) float64 { return x / 2 }}).Parse(page.Head + pageText)
	if err != nil {
		return 0, err
	}
	pages := j.pages()
	for _, p := range pages {
		for _, one := range p.Places {
			if one.Missing {
				missing++
			}
		}
	}
	style := fmt.Sprintf(styleText, j.Sheet.Width, j.Sheet.Height, j.Sheet.Width, j.Sheet.Height)
	return missing, tree.Execute(w, struct {
		Job
		Pages  []sheetPage
		Style  template.CSS
		Policy string
	}{j, pages, template.CSS(style), page.Policy(style, "")})
}

//go:embed sticker.css
var styleText string

// apart keeps a text of either direction from changing what stands beside it
// (Unicode Standard Annex 9: first strong isolate).
func apart(s string) string { return "\u2068" + s + "\u2069" }

// pages puts the stickers on their sheets, from the first that is still there.
func (j Job) pages() []sheetPage {
	var out []sheetPage
	per := j.Sheet.Count()
	dot := inch / float64(j.DPI)
	if j.Test {
		return []sheetPage{j.outlines()}
	}
	for i, s := range j.Stickers {
		n := i + max(1, j.Start) - 1
		if len(out) <= n/per {
			out = append(out, sheetPage{})
		}
		x, y := j.Sheet.place(n % per)
		x, y = x+j.Right, y+j.Down
		last := &out[len(out)-1]
		last.Places = append(last.Places,
			placed{X: x, Y: y, laidOut: layOut(s, j.Sheet, [2]float64{x, y}, dot)})
		last.Title = fmt.Sprintf("Sheet %d: %d stickers, to %s", len(out), len(last.Places),
			s.Large)
	}
	return out
}

// outlines is a sheet of nothing but the edges of its stickers and their numbers.
func (j Job) outlines() sheetPage {
	p := sheetPage{Title: "Test page of " + j.Sheet.Name}
	for n := range j.Sheet.Count() {
		x, y := j.Sheet.place(n)
		p.Places = append(p.Places, placed{X: x + j.Right, Y: y + j.Down, Empty: true, N: n + 1,
			laidOut: laidOut{W: j.Sheet.W, H: j.Sheet.H}})
	}
	return p
}
