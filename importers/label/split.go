package label

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"endsmeet/stash/written"
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
		return i == start || i == len(runes)-1 || !isDigit(runes[i-1]) || !isDigit(runes[i+1]) ||
			endsWord(runes[start:i])
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

// apart takes parts to pieces that have nothing but a space between packages,
// put-up, fibres and a keyword: "3 skeins 100g 400m merino lot 12".
func apart(parts []Piece) []Piece {
	var out []Piece
	for _, p := range parts {
		for _, cut := range cuts {
			front, back := cutAt(p, cut.where, cut.last)
			if back.Text == "" {
				continue
			}
			out, p = append(out, apart([]Piece{front})...), back
		}
		out = append(out, p)
	}
	return out
}

// cuts are the places at which a part is cut, in this order: the first of them
// or the last.
var cuts = []struct {
	where func(front, back string) bool
	last  bool
}{
	{beforeKeyword, false},
	{func(front, back string) bool {
		return isPackages(front) && (isDigit(rune(back[0])) || isFibres(back))
	}, true},
	{func(front, back string) bool { return isPutUp(front) && isFibres(back) }, true},
	{func(front, back string) bool { return isFibres(front) && isPutUp(back) }, false},
}

// beforeKeyword reports whether a keyword with its text follows, and no keyword
// without one, nor a name or a washing, which may hold any word, is before it.
func beforeKeyword(front, back string) bool {
	kind, rest, ok := cutKeyword(back)
	before, text, any := cutKeyword(front)
	if _, whole, one := cutKeyword(front + " " + back); one && whole == rest {
		return false // "dye lot" is one keyword
	}
	return ok && rest != "" && kind != "name" &&
		(!any || text != "" && (before == "lot" || before == "colour"))
}

func isPackages(text string) bool {
	words := strings.Fields(text)
	if len(words) < 2 || !isDigit(rune(words[0][0])) {
		return false
	}
	_, ok := written.PackageOf(words[len(words)-1])
	return ok
}

// isPutUp reports whether a text is a put-up, in whichever way its numbers are read.
func isPutUp(text string) bool {
	_, ok := quantities(times().ReplaceAllString(text, "$2"),
		func() written.Style { return written.StylePoint })
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
		rest := strings.TrimLeft(p.Text[i:], " -–=")
		if first := p.Text[:i]; rest != "" && wanted(first, rest) {
			front = Piece{first, p.Column}
			back = Piece{rest, p.Column + utf8.RuneCountInString(p.Text[:len(p.Text)-len(rest)])}
			if !last {
				break
			}
		}
	}
	return front, back
}
