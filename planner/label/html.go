package label

import (
	"encoding/base64"
	"fmt"
	"html/template"
	"io"

	"endsmeet/planner/page"
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

var papers = map[Size]paper{A6: {105, 148, 7, 34}, Small: {70, 50, 3, 25}}

// styleText is the style of a card of a size.
const styleText = `
@page { size: %[1]dmm %[2]dmm; margin: %[3]dmm; }
* { box-sizing: border-box; }
body { margin: 0; font-family: sans-serif; font-size: %[4]dpt; line-height: 1.25; color: #000; background: #fff; overflow-wrap: anywhere; }
h1 { font-size: 1.3em; margin: 0 0 0.4em; }
dl { margin: 0; display: grid; grid-template-columns: max-content 1fr; gap: 0.15em 0.7em; }
img { max-width: 100%%; max-height: 45mm; display: block; margin: 0 0 0.5em; }
dt { font-weight: bold; }
dd { margin: 0; }
@media screen { body { max-width: %[1]dmm; padding: %[3]dmm; } }
`

// tree is self-contained: its own style, no script, nothing from elsewhere.
// html/template escapes every text.
var tree = template.Must(template.New("card").Parse(page.Head + `</head>
<body>
<main>
<h1>{{.Title}}</h1>
{{if .Photo}}<img src="{{.Photo}}" alt="Photo of {{.Title}}">
{{end}}<dl>
{{range .Lines}}<dt>{{.Name}}</dt><dd>{{.Text}}</dd>
{{end}}</dl>
</main>
</body>
</html>
`))

// HTML writes the card as one page for printing. The error is the writer's.
func (c Card) HTML(w io.Writer, size Size) error {
	p := papers[size]
	style := fmt.Sprintf(styleText, p.Width, p.Height, p.Margin, points(size))
	var photo template.URL
	if c.Photo != nil && size != Small {
		photo = template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(c.Photo))
	}
	return tree.Execute(w, struct {
		Style  template.CSS
		Policy string
		Title  string
		Photo  template.URL
		Lines  []Line
	}{template.CSS(style), page.Policy(style, ""), c.title(), photo, c.Lines(size)})
}

// points is the size of the type of a page, in points.
func points(size Size) int {
	if size == Small {
		return 7
	}
	return 9
}
