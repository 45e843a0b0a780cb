package show

import (
	"bufio"
	"bytes"
	"io"
	"slices"
	"strings"
	"unicode"

	"github.com/mattn/go-runewidth"
	"github.com/olekukonko/tablewriter"
	"github.com/olekukonko/tablewriter/pkg/twwidth"
	"github.com/olekukonko/tablewriter/renderer"
	"github.com/olekukonko/tablewriter/tw"

	"endsmeet/stash"
)

// maxCell is the widest that a cell of running text grows before it is cut.
const maxCell = 34

// Table is a plain table: a head, rows, and which columns stand at the right.
type Table struct {
	Head  []string
	Rows  [][]string
	right map[int]bool
	// most is how wide each cell of a column is on a screen; what is longer is
	// cut. A column without a limit is not cut.
	most map[int]int
	// fair are the rows whose cells all have a fair limit.
	fair []int
	// spare are the columns that a narrow screen goes without, the first first;
	// the last of them only where nothing else helps.
	spare []int
	// whole says that the last column is never cut: what it has no room for goes
	// below its row.
	Whole bool
	below map[int]string
	// room is the least width that a last column of running text is broken to; 0
	// is a column that is not broken.
	room int
}

// NewTable is an empty table with these headings; ">" before one sets its column to the right.
func NewTable(head ...string) *Table {
	t := &Table{right: map[int]bool{}, most: map[int]int{}}
	for i, h := range head {
		if strings.HasPrefix(h, ">") {
			t.right[i], h = true, h[1:]
		}
		t.Head = append(t.Head, h)
	}
	return t
}

// Add adds a row; every cell is made harmless, and on a screen cut to a fair
// width.
func (t *Table) Add(cells ...string) {
	for i, c := range cells {
		cells[i] = stash.Clean(c)
	}
	t.fair = append(t.fair, len(t.Rows))
	t.Rows = append(t.Rows, cells)
}

// AddWrapped adds a row whose last cell is running text: on a screen it is broken
// so that the table stays within it, but not narrower than leastLast.
func (t *Table) AddWrapped(cells ...string) {
	t.room = leastLast
	t.Add(cells...)
}

// DropEmpty takes out the columns that no row fills.
func (t *Table) DropEmpty() {
	for i := len(t.Head) - 1; i >= 0; i-- {
		if slices.ContainsFunc(t.Rows, func(row []string) bool { return row[i] != "" }) {
			continue
		}
		t.drop(i)
	}
}

// drop takes out a column.
func (t *Table) drop(i int) {
	t.Head = slices.Delete(t.Head, i, i+1)
	for r := range t.Rows {
		t.Rows[r] = slices.Delete(t.Rows[r], i, i+1)
	}
	t.right, t.most = shifted(t.right, i), shifted(t.most, i)
	var spare []int
	for _, s := range t.spare {
		if s != i {
			spare = append(spare, s-min(1, max(0, s-i)))
		}
	}
	t.spare = spare
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

// leastLast is the least width that a last column is given before spare columns
// go.
const leastLast = 24

// leastBelow is the least width that a last column keeps which may go below its row:
// the second of the spare columns says more than a line that is saved.
const leastBelow = 8

func (t *Table) leastLeft() int {
	if t.Whole && len(t.spare) < 3 {
		return leastBelow
	}
	return leastLast
}

// fit makes the table fit a screen of so many columns, and says whether it does:
// it cuts the columns that have a limit, does without spare ones, and breaks the
// last column or puts what it has no room for below its row. 0 is no screen, and
// nothing is cut: what a program reads on is whole.
func (t *Table) fit(columns int) bool {
	if columns == 0 {
		return true
	}
	last := len(t.Head) - 1
	for _, r := range t.fair {
		for i, cell := range t.Rows[r] {
			if i < last || t.room == 0 && !t.Whole {
				t.Rows[r][i] = Cut(cell, maxCell)
			}
		}
	}
	for i, most := range t.most {
		t.cutColumn(i, most)
	}
	for len(t.spare) > 1 && t.leftToLast(columns-1) < t.leastLeft() {
		t.drop(t.spare[0])
	}
	last = len(t.Head) - 1
	if len(t.spare) == 1 && t.leftToLast(columns-1) < Cells(t.Head[last]) {
		t.drop(t.spare[0])
		last--
	}
	if lacks := max(Cells(t.Head[last]), t.room) - t.leftToLast(columns-1); lacks > 0 {
		t.narrow(lacks)
	}
	room := t.leftToLast(columns - 1)
	switch {
	case t.room > 0 && room >= t.room:
		t.breakLast(room)
	case t.Whole:
		t.lower(room, columns)
	}
	return t.leftToLast(columns) >= t.widthOf(last)
}

// breakLast breaks the running text of the last column.
func (t *Table) breakLast(room int) {
	last := len(t.Head) - 1
	var rows [][]string
	for _, row := range t.Rows {
		lines := strings.Split(strings.TrimRight(Wrap(row[last], "", room), "\n"), "\n")
		for i, line := range lines {
			next := make([]string, len(row))
			if i == 0 {
				copy(next, row[:last])
			}
			next[last] = line
			rows = append(rows, next)
		}
	}
	t.Rows = rows
}

// leftToLast is what the other columns leave to the last one.
func (t *Table) leftToLast(width int) int {
	for i := range len(t.Head) - 1 {
		width -= t.widthOf(i) + 2
	}
	return width
}

func (t *Table) widthOf(i int) int {
	widest := Cells(t.Head[i])
	for _, row := range t.Rows {
		widest = max(widest, Cells(row[i]))
	}
	return widest
}

func cloneRows(rows [][]string) [][]string {
	out := make([][]string, len(rows))
	for i, row := range rows {
		out[i] = slices.Clone(row)
	}
	return out
}

// Print writes the table in the one style of the program: no boxes, two
// spaces between columns, a rule under the head.
func (t *Table) Print(w io.Writer) {
	if IsPlain(w) {
		t.linear(w)
		return
	}
	if columns := columnsOf(w); columns > 0 {
		whole := *t
		whole.Head, whole.Rows = slices.Clone(t.Head), cloneRows(t.Rows)
		if !t.fit(columns) {
			whole.folded(w, columns)
			return
		}
	}
	lines := tableLines{w: bufio.NewWriter(w), below: t.below, row: -1}
	defer lines.w.Flush() //nolint:errcheck // the writer below keeps the first error
	out := t.drawnOn(&lines)
	_ = out.Start()
	out.Header(t.Head)
	for _, row := range t.Rows {
		_ = out.Append(row)
	}
	_ = out.Close()
}

// tableLines takes the lines of a table, cuts the spaces at their ends, and puts
// below a row what belongs there.
type tableLines struct {
	w     *bufio.Writer
	below map[int]string
	row   int
	line  []byte // what has come of a line whose end has not
}

// Write implements io.Writer.
func (l *tableLines) Write(p []byte) (int, error) {
	for part := range bytes.Lines(p) {
		l.line = append(l.line, part...)
		if !bytes.HasSuffix(l.line, []byte("\n")) {
			break
		}
		_, _ = l.w.Write(bytes.TrimRight(l.line, " \n"))
		_ = l.w.WriteByte('\n')
		if below, ok := l.below[l.row]; ok {
			_, _ = l.w.WriteString(below + "\n")
		}
		l.row, l.line = l.row+1, l.line[:0]
	}
	return len(p), nil
}

// drawnOn is what draws the table, a row at a time: the widths of its columns are
// known.
func (t *Table) drawnOn(w io.Writer) *tablewriter.Table {
	twwidth.SetCacheCapacity(0) // few cells are drawn twice
	align := make([]tw.Align, len(t.Head))
	widths := tw.NewMapper[int, int]()
	for i := range align {
		align[i] = tw.AlignLeft
		if t.right[i] {
			align[i] = tw.AlignRight
		}
		widths.Set(i, t.drawnWidth(i)+len(columnGap))
	}
	return tablewriter.NewTable(w,
		tablewriter.WithRenderer(renderer.NewBlueprint(plainStyle)),
		tablewriter.WithStreaming(tw.StreamConfig{Enable: true}),
		tablewriter.WithColumnWidths(widths),
		tablewriter.WithHeaderAutoFormat(tw.Off), tablewriter.WithHeaderAutoWrap(tw.WrapNone),
		tablewriter.WithRowAutoWrap(tw.WrapNone),
		tablewriter.WithHeaderAlignmentConfig(tw.CellAlignment{PerColumn: align}),
		tablewriter.WithRowAlignmentConfig(tw.CellAlignment{PerColumn: align}),
		tablewriter.WithPadding(tw.Padding{Left: "", Right: columnGap, Overwrite: true}))
}

// columnGap stands between two columns.
const columnGap = "  "

// drawnWidth is the width of a column as the library that draws it counts.
func (t *Table) drawnWidth(i int) int {
	widest := twwidth.Width(t.Head[i])
	for _, row := range t.Rows {
		widest = max(widest, twwidth.Width(row[i]))
	}
	return widest
}

var plainStyle = tw.Rendition{
	Borders: tw.BorderNone,
	Symbols: tw.NewSymbols(tw.StyleNone),
	Settings: tw.Settings{
		Separators: tw.Separators{BetweenColumns: tw.Off, BetweenRows: tw.Off},
		Lines: tw.Lines{ShowHeaderLine: tw.Off, ShowTop: tw.Off, ShowBottom: tw.Off,
			ShowFooterLine: tw.Off},
	},
}

// Cells is how many columns of a screen a text takes: two for a wide character,
// none for one that joins the last.
func Cells(s string) int { return runewidth.StringWidth(s) }

// Cut shortens text to at most n columns of a screen.
func Cut(s string, n int) string { return runewidth.Truncate(s, n, "…") }

// Unbroken are the parts of a text between which a line may be broken: a number
// stays with its unit, both sides of × and ± with it, and a command and what stands in
// single quotes stay whole, so that they can be pasted.
func Unbroken(text string) []string {
	var out []string
	words := strings.FieldsFunc(Glued(text), func(r rune) bool {
		return unicode.IsSpace(r) && string(r) != NoBreak
	})
	for i := 0; i < len(words); i++ {
		end := i + 1 + wholeWords(words[i:], i == 0 || strings.ContainsAny(lastOf(words[i-1]), ".:;?,"))
		out = append(out, strings.ReplaceAll(strings.Join(words[i:end], " "), NoBreak, " "))
		i = end - 1
	}
	return out
}

func lastOf(word string) string { return word[len(word)-1:] }

// wholeWords is how many more words belong to the first: to a command up to its backquote
// or, where one may begin, up to a full stop, comma or semicolon; else to a single quote.
func wholeWords(words []string, begins bool) int {
	first := strings.TrimLeft(words[0], "(")
	ends := func(word string, quoted bool) bool { return !quoted }
	switch {
	case first == "`endsmeet":
		ends = func(word string, quoted bool) bool { return !quoted && strings.Contains(word, "`") }
		words = append([]string{"endsmeet"}, words[1:]...)
	case first == "endsmeet" && begins:
		ends = func(word string, quoted bool) bool {
			return !quoted && strings.ContainsAny(lastOf(word), ".,;)")
		}
	case !strings.HasPrefix(words[0], "'"):
		return 0
	}
	quoted := false
	for i, word := range words {
		if quoted = leavesQuoted(word, quoted); ends(word, quoted) {
			return i
		}
	}
	if first == "endsmeet" && !quoted {
		return len(words) - 1
	}
	return 0
}

// leavesQuoted says whether a single quote is open after a word, as a shell reads it.
func leavesQuoted(word string, quoted bool) bool {
	for i := 0; i < len(word); i++ {
		if word[i] == '\\' && !quoted {
			i++
		} else if word[i] == '\'' {
			quoted = !quoted
		}
	}
	return quoted
}

// Wrap breaks text into lines of at most width columns, each with the given
// indent.
func Wrap(text, indent string, width int) string {
	var out, line strings.Builder
	for _, word := range Unbroken(stash.Clean(text)) {
		if line.Len() > 0 && Cells(indent)+Cells(line.String())+1+Cells(word) > width {
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

// HangingBy breaks a line for a screen of so many columns, 0 for none: it keeps
// the spaces at its front, and what it goes on in has the given indent.
func HangingBy(line, indent string, columns int) string {
	text := strings.TrimLeft(line, " ")
	front := line[:len(line)-len(text)]
	if columns == 0 || Cells(line) < columns {
		return line + "\n"
	}
	rows := strings.SplitN(Wrap(text, front, columns-1), "\n", 2)
	if strings.TrimSpace(rows[1]) == "" {
		return rows[0] + "\n"
	}
	return rows[0] + "\n" + Wrap(rows[1], indent, columns-1)
}
