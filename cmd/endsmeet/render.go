package main

import (
	"io"
	"slices"
	"strings"

	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"

	"endsmeet/stash"
)

// maxCell is the widest that a cell of running text grows before it is cut.
const maxCell = 34

// table is a plain table: a head, rows, and which columns stand at the right.
type table struct {
	head  []string
	rows  [][]string
	right map[int]bool
	// most is how wide each cell of a column is on a screen; what is longer is
	// cut. A column without a limit is not cut.
	most map[int]int
	// fair are the rows whose cells all have a fair limit.
	fair []int
	// fitted says that the table is made to fit the screen.
	fitted bool
}

func newTable(head ...string) *table {
	t := &table{right: map[int]bool{}, most: map[int]int{}}
	for i, h := range head {
		if strings.HasPrefix(h, ">") {
			t.right[i], h = true, h[1:]
		}
		t.head = append(t.head, h)
	}
	return t
}

// add adds a row; every cell is made harmless, and on a screen cut to a fair
// width.
func (t *table) add(cells ...string) {
	for i, c := range cells {
		cells[i] = stash.Clean(c)
	}
	t.fair = append(t.fair, len(t.rows))
	t.rows = append(t.rows, cells)
}

// addWrapped adds a row whose last cell is running text: it is broken so that
// the table stays within 80 columns.
func (t *table) addWrapped(room int, cells ...string) {
	last := len(cells) - 1
	lines := strings.Split(strings.TrimRight(wrap(cells[last], "", room), "\n"), "\n")
	for i, line := range lines {
		row := make([]string, len(cells))
		if i == 0 {
			copy(row, cells[:last])
		}
		row[last] = line
		t.rows = append(t.rows, row)
	}
}

// dropEmpty takes out the columns that no row fills.
func (t *table) dropEmpty() {
	for i := len(t.head) - 1; i >= 0; i-- {
		if slices.ContainsFunc(t.rows, func(row []string) bool { return row[i] != "" }) {
			continue
		}
		t.head = slices.Delete(t.head, i, i+1)
		for r := range t.rows {
			t.rows[r] = slices.Delete(t.rows[r], i, i+1)
		}
		t.right, t.most = shifted(t.right, i), shifted(t.most, i)
	}
}

// shifted is what is said of the columns when column i is taken out.
func shifted[T any](of map[int]T, i int) map[int]T {
	out := map[int]T{}
	for column, is := range of {
		if column < i {
			out[column] = is
		} else if column > i {
			out[column-1] = is
		}
	}
	return out
}

// leastLast is the least width that a fitted table leaves to its last column.
const leastLast = 10

// fit makes the table fit a screen of so many columns: it cuts the columns that
// have a limit, then the last one as far as is needed, and where that would leave
// it less than ten, the widest with a limit gives way. 0 is no screen, and nothing
// is cut: what a program reads on is whole.
func (t *table) fit(columns int) {
	if columns == 0 {
		return
	}
	for _, r := range t.fair {
		for i, cell := range t.rows[r] {
			t.rows[r][i] = cut(cell, maxCell)
		}
	}
	widest := -1
	for i, most := range t.most {
		t.cutColumn(i, most)
		if widest < 0 || most > t.most[widest] {
			widest = i
		}
	}
	if !t.fitted {
		return
	}
	left := t.leftToLast(columns - 1)
	if left < leastLast && widest >= 0 {
		t.cutColumn(widest, t.most[widest]-(leastLast-left))
		left = t.leftToLast(columns - 1)
	}
	t.cutColumn(len(t.head)-1, max(leastLast, left))
}

func (t *table) cutColumn(i, most int) {
	for _, row := range t.rows {
		row[i] = cut(row[i], max(1, most))
	}
}

// leftToLast is what the other columns leave to the last one.
func (t *table) leftToLast(width int) int {
	for i := range len(t.head) - 1 {
		widest := len([]rune(t.head[i]))
		for _, row := range t.rows {
			widest = max(widest, len([]rune(row[i])))
		}
		width -= widest + 2
	}
	return width
}

// print writes the table in the one style of the program: no boxes, two
// spaces between columns, a rule under the head.
func (t *table) print(w io.Writer) {
	t.fit(columnsOf(w))
	var buf strings.Builder
	align := make([]tw.Align, len(t.head))
	for i := range align {
		align[i] = tw.AlignLeft
		if t.right[i] {
			align[i] = tw.AlignRight
		}
	}
	out := tablewriter.NewTable(&buf,
		tablewriter.WithRenderer(renderer.NewBlueprint(plainStyle)),
		tablewriter.WithHeaderAutoFormat(tw.Off), tablewriter.WithHeaderAutoWrap(tw.WrapNone), tablewriter.WithRowAutoWrap(tw.WrapNone),
		tablewriter.WithHeaderAlignmentConfig(tw.CellAlignment{PerColumn: align}),
		tablewriter.WithRowAlignmentConfig(tw.CellAlignment{PerColumn: align}),
		tablewriter.WithPadding(tw.Padding{Left: "", Right: "  ", Overwrite: true}))
	out.Header(t.head)
	_ = out.Bulk(t.rows)
	_ = out.Render()
	for line := range strings.SplitSeq(strings.TrimRight(buf.String(), "\n"), "\n") {
		_, _ = io.WriteString(w, strings.TrimRight(line, " ")+"\n")
	}
}

var plainStyle = tw.Rendition{
	Borders: tw.BorderNone,
	Symbols: tw.NewSymbols(tw.StyleNone),
	Settings: tw.Settings{
		Separators: tw.Separators{BetweenColumns: tw.Off, BetweenRows: tw.Off},
		Lines:      tw.Lines{ShowHeaderLine: tw.Off, ShowTop: tw.Off, ShowBottom: tw.Off, ShowFooterLine: tw.Off},
	},
}

// cut shortens text to at most n characters.
func cut(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n-1]) + "…"
}

// wrap breaks text into lines of at most width characters, each with the
// given indent.
func wrap(text, indent string, width int) string {
	var out, line strings.Builder
	for word := range strings.FieldsSeq(stash.Clean(text)) {
		if line.Len() > 0 && len([]rune(indent))+len([]rune(line.String()))+1+len([]rune(word)) > width {
			out.WriteString(indent + line.String() + "\n")
			line.Reset()
		}
		if line.Len() > 0 {
			line.WriteString(" ")
		}
		line.WriteString(word)
	}
	if line.Len() > 0 {
		out.WriteString(indent + line.String() + "\n")
	}
	return out.String()
}

// hangingBy breaks a line for a screen of so many columns, 0 for none: it keeps
// the spaces at its front, and what it goes on in has the given indent.
func hangingBy(line, indent string, columns int) string {
	text := strings.TrimLeft(line, " ")
	front := line[:len(line)-len(text)]
	if columns == 0 || len([]rune(line)) < columns {
		return line + "\n"
	}
	rows := strings.SplitN(wrap(text, front, columns-1), "\n", 2)
	if strings.TrimSpace(rows[1]) == "" {
		return rows[0] + "\n"
	}
	return rows[0] + "\n" + wrap(rows[1], indent, columns-1)
}

// inOneOrTwo puts two parts on a line of so many columns, 0 for any, or on two.
func inOneOrTwo(first, second string, columns int) string {
	if columns > 0 && len([]rune(first))+1+len([]rune(second)) > columns {
		return first + "\n" + hangingBy("  "+second, "    ", columns)
	}
	return first + " " + second + "\n"
}
