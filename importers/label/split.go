package label

import "strings"

// Piece is a part of the line and the column, in characters from 1, at which
// it begins.
type Piece struct {
	Text   string `json:"text"`
	Column int    `json:"column"`
}

// split cuts the line at commas, semicolons and line breaks outside brackets
// and quotation marks. A comma between two digits separates nothing.
func split(line string) (pieces []Piece) {
	runes := []rune(line)
	depth, quoted, start := 0, false, 0
	add := func(end int) {
		for start < end && isSpace(runes[start]) {
			start++
		}
		if text := strings.TrimSpace(string(runes[start:end])); text != "" {
			pieces = append(pieces, Piece{Text: text, Column: start + 1})
		}
	}
	for i, r := range runes {
		switch {
		case r == '"':
			quoted = !quoted
		case quoted:
		case r == '(':
			depth++
		case r == ')':
			depth = max(depth-1, 0)
		case depth == 0 && separates(runes, i):
			add(i)
			start = i + 1
		}
	}
	add(len(runes))
	return pieces
}

// separates reports whether the rune at i ends a part.
func separates(runes []rune, i int) bool {
	switch runes[i] {
	case ';', '\n', '\r':
		return true
	case ',':
		return i == 0 || i == len(runes)-1 || !isDigit(runes[i-1]) || !isDigit(runes[i+1])
	}
	return false
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

func isSpace(r rune) bool { return r == ' ' || r == '\t' || r == '\u00a0' }
