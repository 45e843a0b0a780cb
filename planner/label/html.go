package label

import (
	"html/template"
	"io"
)

// Size is the paper that a card is printed on.
type Size int

// The sizes: A6 is 105 mm by 148 mm (ISO 216), Small a sewn or tied label of
// 70 mm by 50 mm.
const (
	A6 Size = iota
	Small
)

// paper is a size in millimetres, with its margin and its largest type in
// tenths of a millimetre.
type paper struct {
	Width, Height, Margin int
	Type                  int
}

var papers = map[Size]paper{A6: {105, 148, 7, 34}, Small: {70, 50, 3, 22}}

// page is self-contained: its own style, no script, nothing from elsewhere.
// html/template escapes every text.
var page = template.Must(template.New("card").Parse(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>{{.Title}}</title>
<style>
@page { size: {{.Width}}mm {{.Height}}mm; margin: {{.Margin}}mm; }
* { box-sizing: border-box; }
body { margin: 0; font-family: sans-serif; font-size: {{.Points}}pt; line-height: 1.25; color: #000; background: #fff; overflow-wrap: anywhere; }
h1 { font-size: 1.3em; margin: 0 0 0.4em; }
dl { margin: 0; display: grid; grid-template-columns: max-content 1fr; gap: 0.15em 0.7em; }
dt { font-weight: bold; }
dd { margin: 0; }
@media screen { body { width: {{.Width}}mm; padding: {{.Margin}}mm; } }
</style>
</head>
<body>
<h1>{{.Title}}</h1>
<dl>
{{range .Lines}}<dt>{{.Name}}</dt><dd>{{.Text}}</dd>
{{end}}</dl>
</body>
</html>
`))

// HTML writes the card as one page for printing. The error is the writer's.
func (c Card) HTML(w io.Writer, size Size) error {
	p := papers[size]
	return page.Execute(w, struct {
		paper
		Points int
		Title  string
		Lines  []Line
	}{p, points(size), c.title(), c.Lines(size)})
}

// points is the size of the type of a page, in points.
func points(size Size) int {
	if size == Small {
		return 6
	}
	return 9
}
