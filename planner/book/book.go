// Package book writes a stash as one page to look at, to search and to print:
// HTML that is whole in itself. It is pure: it gets words, numbers and drawings
// and writes them. Every word may come from anywhere; html/template escapes it.
package book

import (
	_ "embed"
	"html/template"
	"io"
	"iter"

	"endsmeet/planner/page"
)

// Book is all that the page shows, in the words in which it shows it. Items and yarns are
// asked for when the page comes to them, so that a large stash is not held in words.
type Book struct {
	Title, Made string
	// Summary are the first lines: how much there is.
	Summary []string
	Bins    []Bin
	Fibres  []Fibre
	Pieces  []Piece
	Plots   []Plot
	People  []Person
}

// Bin is a place on the shelf with what lies in it.
type Bin struct {
	Name  string
	Items iter.Seq[Item]
}

// Item is a ball or cone.
type Item struct {
	Tag, Yarn, Colour string
	// Anchor leads to its yarn.
	Anchor string
	Swatch Swatch
	Left   string
	Bar    Bar
	// Notes are its state and flags, in words.
	Notes []string
	// Mass and Moved are what it is sorted by: milligrams, and a day.
	Mass  int64
	Moved string
}

// Swatch is how a colour looks; no Hex is a colour that is not known.
type Swatch struct{ Hex string }

// Bar is what is left of what was received, in percent; Known is false where
// nobody weighed it.
type Bar struct {
	Percent int
	Known   bool
}

// Fibre is a kind of fibre with its yarns.
type Fibre struct {
	Name  string
	Yarns iter.Seq[Yarn]
}

// Yarn is a yarn with its facts, its balls and cones and what became of it.
type Yarn struct {
	Name, Anchor string
	Photo        *Photo
	Facts        []Fact
	Items        iter.Seq[Item]
	Life         []Happening
}

// Photo is a picture in the page.
type Photo struct {
	// Data is the file as a data address that this program made.
	Data template.URL
	Alt  string
}

// Fact is a word and what it is.
type Fact struct{ Name, Text string }

// Happening is what happened on a day.
type Happening struct{ Day, Text string }

// Piece is a piece, planned, on the loom, finished or abandoned.
type Piece struct {
	Name, State, Anchor string
	// Drawing is an SVG drawing that this program made.
	Drawing template.HTML
	Photo   *Photo
	// Facts are those of its card, or of its plan.
	Facts    []Fact
	Compared []Comparison
	Yarns    []Fact
}

// Comparison is what was planned and what came out.
type Comparison struct{ Name, Planned, Measured, Why string }

// Plot is a chart with its figures; Drawing is an SVG drawing that this program
// made, empty where Rows have bars.
type Plot struct {
	Title, Words string
	Drawing      template.HTML
	Head         []string
	Rows         []Row
}

// Row is a row of figures; Bar is shown where HasBar.
type Row struct {
	Cells  []string
	Bar    Bar
	HasBar bool
}

// Person is somebody with the rules of what is woven for them.
type Person struct {
	Name  string
	Rules []string
	For   []string
}

//go:embed book.css
var style string

//go:embed book.js
var script string

//go:embed book.html
var text string

// Write writes the page. The error is the writer's.
func Write(w io.Writer, b Book) error {
	tree, err := template.New("book").Parse(page.Head + text)
	if err != nil {
		return err
	}
	return tree.Execute(w, struct {
		Book
		Style  template.CSS
		Script template.JS
		Policy string
	}{b, template.CSS(style), template.JS(script), page.Policy(style, script)})
}
