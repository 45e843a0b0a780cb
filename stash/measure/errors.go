package measure

import (
	"strconv"
	"strings"
	"unicode"
)

// Error says what is wrong with a written quantity, where, and what to write
// instead.
type Error struct {
	Input   string // what was written
	Pos     int    // byte offset in Input at which it went wrong
	Problem string // what is wrong, without a full stop
	Hint    string // what to do; may be empty
}

// maxQuoted is how many runes of the input a message repeats.
const maxQuoted = 60

// Error gives one line: the input quoted, the problem, and the hint in
// brackets. Control characters never come out as they are, and a long input
// is cut short.
func (e *Error) Error() string {
	line := Said(quoteWord(e.Input), e.Problem)
	if e.Hint != "" {
		line += " (" + e.Hint + ")"
	}
	return printable(line)
}

// Said joins what is wrong to what it is said of: "is empty" goes on its sentence, and
// all else begins one of its own.
func Said(of, problem string) string {
	if rest, not := strings.CutPrefix(problem, "not "); not {
		problem = "is not " + rest
	}
	switch verb, _, _ := strings.Cut(problem, " "); verb {
	case "is", "has", "holds", "says", "names", "does":
		return of + " " + problem
	}
	return of + ": " + problem
}

// printable turns whatever a terminal would not print as it stands into
// spaces: a hint may repeat a part of the input.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return ' '
		}
		return r
	}, s)
}

func shorten(s string) string {
	runes := []rune(s)
	if len(runes) <= maxQuoted {
		return s
	}
	return string(runes[:maxQuoted]) + "…"
}

func quoteWord(word string) string { return strconv.Quote(shorten(word)) }

func quoteRune(r rune) string { return strconv.Quote(string(r)) }
