package label

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Piece is a part of the line and the column, in characters from 1, at which
// it begins.
type Piece struct {
	Text   string `json:"text"`
	Column int    `json:"column"`
}

// split cuts the line at commas, semicolons and line breaks outside brackets
// and quotation marks. A comma between two digits separates nothing, unless the
// part so far is a text that a keyword begins ("lot 12,75% wool"), or the first
// digits end a word ("F08,75% wool").
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
		case depth == 0 && separates(runes, start, i):
			add(i)
			start = i + 1
		}
	}
	add(len(runes))
	return pieces
}

// separates reports whether the rune at i ends the part that began at start.
func separates(runes []rune, start, i int) bool {
	switch runes[i] {
	case ';', '\n', '\r':
		return true
	case ',':
		return i == start || i == len(runes)-1 || !isDigit(runes[i-1]) || !isDigit(runes[i+1]) || endsWord(runes[start:i])
	}
	return false
}

// endsWord reports whether the digits at the end of a part belong to a word.
func endsWord(part []rune) bool {
	text := strings.TrimSpace(string(part))
	if _, rest, ok := cutKeyword(text); ok && rest != "" {
		return true
	}
	before := strings.TrimRight(text, "0123456789.")
	r, _ := utf8.DecodeLastRuneInString(before)
	return unicode.IsLetter(r) && r != 'x' && r != 'X' || r == '-'
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

func isSpace(r rune) bool { return r == ' ' || r == '\t' || r == '\u00a0' }

// apart takes parts to pieces that have nothing but a space between put-up,
// fibres and a keyword: "100g 400m merino lot 12".
func apart(parts []Piece) []Piece {
	var out []Piece
	for _, piece := range parts {
		if _, rest, ok := cutKeyword(piece.Text); ok && rest != "" {
			out = append(out, piece)
			continue
		}
		front, lot := cutAt(piece, func(_, back string) bool {
			kind, rest, ok := cutKeyword(back)
			return ok && rest != "" && kind != "name"
		}, false)
		a, b := cutAt(front, func(front, back string) bool {
			return isPutUp(front) && isFibres(back) || isFibres(front) && isPutUp(back)
		}, true)
		for _, p := range []Piece{a, b, lot} {
			if p.Text != "" {
				out = append(out, p)
			}
		}
	}
	return out
}

func isPutUp(text string) bool {
	_, ok := quantities(times().ReplaceAllString(text, "$2"))
	return ok
}

func isFibres(text string) bool { return strings.Contains(text, "%") || beginsWithFibre(text) }

// cutAt cuts a part at the first space, or the last, at which its two halves are
// as wanted. The second is empty where there is none.
func cutAt(p Piece, wanted func(front, back string) bool, last bool) (front, back Piece) {
	front = p
	for i, r := range p.Text {
		if r != ' ' || i == 0 {
			continue
		}
		rest := strings.TrimLeft(p.Text[i:], " ")
		if first := p.Text[:i]; wanted(first, rest) {
			front = Piece{first, p.Column}
			back = Piece{rest, p.Column + utf8.RuneCountInString(p.Text[:len(p.Text)-len(rest)])}
			if !last {
				break
			}
		}
	}
	return front, back
}
