package importers

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"endsmeet/stash/measure"
)

// Problem is one fault with its place and its remedy. It prints in the layout
// that the package comment documents. Line and Column are 0 where not known.
type Problem struct {
	File   string `json:"file"`
	Sheet  string `json:"sheet,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	Header string `json:"header,omitempty"`
	Value  string `json:"value,omitempty"`
	Reason string `json:"reason"`
	Hint   string `json:"hint,omitempty"`

	// Fatal says that nothing behind the fault can be read.
	Fatal bool `json:"fatal,omitempty"`
	// Raw is the record as it stands in a text file, where its cells can't be
	// told apart.
	Raw string `json:"-"`
}

// Error returns the problem in the documented layout. Text from the file is
// quoted, so that it can do nothing to a terminal.
func (p *Problem) Error() string { return p.also(nil) }

// also is Error with the lines that have the same fault.
func (p *Problem) also(lines []int) string {
	var b strings.Builder
	b.WriteString(p.place())
	for _, text := range []string{p.Header, p.Value} {
		if text != "" {
			fmt.Fprintf(&b, ": %s", quote(text))
		}
	}
	b.WriteString(": " + p.Reason)
	if len(lines) > 0 {
		b.WriteString("\n    the same in " + measure.LineWords(lines))
	}
	if p.Hint != "" {
		b.WriteString("\n    " + p.Hint)
	}
	return b.String()
}

// anywhere is the problem without its line.
func (p *Problem) anywhere() Problem {
	same := *p
	same.Line, same.Raw = 0, ""
	return same
}

// place returns FILE[!SHEET][:LINE[:COLUMN]].
func (p *Problem) place() string {
	place := plain(p.File)
	if p.Sheet != "" {
		place += "!" + plain(p.Sheet)
	}
	if p.Line > 0 {
		place += ":" + strconv.Itoa(p.Line)
		if p.Column > 0 {
			place += ":" + strconv.Itoa(p.Column)
		}
	}
	return place
}

// quoteLimit is how many characters of a value an error shows.
const quoteLimit = 60

// quote returns text between quotation marks, control characters escaped, cut
// after quoteLimit characters.
func quote(text string) string { return strconv.Quote(shortened(text)) }

// shortened is text cut after quoteLimit characters; what is cut off is let go.
func shortened(text string) string {
	if len(text) <= quoteLimit || utf8.RuneCountInString(text) <= quoteLimit {
		return text
	}
	return string([]rune(text[:min(len(text), 4*quoteLimit)])[:quoteLimit]) + "…"
}

// plain returns text without quotation marks, control characters escaped.
func plain(text string) string {
	quoted := strconv.Quote(text)
	return strings.ReplaceAll(quoted[1:len(quoted)-1], `\"`, `"`)
}

// RowError carries everything that is wrong with one row, and the row as it
// stood, so that it can be written to a file, mended and imported again: its
// cells or, where they can't be told apart, the raw text.
type RowError struct {
	Line     int
	Cells    []string
	Raw      string
	Problems []*Problem
}

// Size is how many bytes of text the row has.
func (e *RowError) Size() int {
	size := len(e.Raw)
	for _, text := range e.Cells {
		size += len(text)
	}
	return size
}

// Error lists the row's problems, one below the other.
func (e *RowError) Error() string { return join(e.Problems, 0) }

// keepProblems is how many problems a Problems value keeps; the rest it counts.
const keepProblems = 10_000

// Problems carries all faults of an import. It is an error once it holds any.
type Problems struct {
	List []*Problem
	Rows int // bad rows seen
	More int // problems beyond keepProblems, counted only
}

// Add keeps the problems of one row.
func (p *Problems) Add(e *RowError) {
	p.Rows++
	for _, problem := range e.Problems {
		if len(p.List) >= keepProblems {
			p.More++
			continue
		}
		problem.Value = strings.Clone(shortened(problem.Value))
		p.List = append(p.List, problem)
	}
}

// Err returns p as an error, or nil when it holds no problem.
func (p *Problems) Err() error {
	if len(p.List) == 0 {
		return nil
	}
	return p
}

// Error lists all problems, one below the other, those that differ in nothing but their line
// as one.
func (p *Problems) Error() string { return join(p.List, p.More) }

func join(list []*Problem, more int) string {
	lines := make([]string, 0, len(list)+1)
	also, firsts := map[Problem][]int{}, []*Problem(nil)
	for _, problem := range list {
		key := problem.anywhere()
		if _, seen := also[key]; !seen {
			firsts, also[key] = append(firsts, problem), nil
		} else if problem.Line > 0 {
			also[key] = append(also[key], problem.Line)
		}
	}
	for _, problem := range firsts {
		lines = append(lines, problem.also(also[problem.anywhere()]))
	}
	if more > 0 {
		lines = append(lines, fmt.Sprintf("and %d more problems of the same file", more))
	}
	return strings.Join(lines, "\n")
}
