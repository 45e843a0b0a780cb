package measure

import (
	"math/big"
	"strings"
	"unicode"
	"unicode/utf8"

	"endsmeet/stash/written"
)

// maxDigits bounds a written number: more digits than any quantity here can
// use, and few enough that exact arithmetic stays quick.
const maxDigits = 18

// scanner reads numbers and unit words from a line, knowing where it is.
type scanner struct {
	in  string
	pos int
	// amount says that a mass or a length is read, where three digits behind a
	// point may be thousands, as behind a comma.
	amount bool
}

// fail gives an *Error at a byte offset.
func (s *scanner) fail(pos int, problem, hint string) *Error {
	return &Error{Input: s.in, Pos: pos, Problem: problem, Hint: hint}
}

// peek gives the next rune, and utf8.RuneError with width 0 at the end.
func (s *scanner) peek() (rune, int) { return utf8.DecodeRuneInString(s.in[s.pos:]) }

func (s *scanner) done() bool { return s.pos >= len(s.in) }

func (s *scanner) space() {
	for !s.done() {
		r, w := s.peek()
		if !unicode.IsSpace(r) {
			return
		}
		s.pos += w
	}
}

// skipWord steps over the first of the words that stands here.
func (s *scanner) skipWord(words ...string) bool {
	for _, w := range words {
		if strings.HasPrefix(s.in[s.pos:], w) {
			s.pos += len(w)
			return true
		}
	}
	return false
}

// digits reads a run of ASCII digits.
func (s *scanner) digits() string {
	start := s.pos
	for !s.done() && isDigit(s.in[s.pos]) {
		s.pos++
	}
	return s.in[start:s.pos]
}

func isDigit(b byte) bool { return b >= '0' && b <= '9' }

// digitAt says whether a digit stands at an offset.
func (s *scanner) digitAt(pos int) bool { return pos < len(s.in) && isDigit(s.in[pos]) }

// number reads a whole number, a decimal with point or comma, a vulgar
// fraction or a mixed number, never negative.
func (s *scanner) number() (*big.Rat, error) {
	start := s.pos
	if s.skipWord("-", "−", "–") {
		return nil, s.fail(start, "is negative", "write an amount of zero or more")
	}
	s.skipWord("+")
	if glyph, ok := s.glyph(); ok {
		return glyph, nil
	}
	whole, err := s.grouped()
	if err != nil {
		return nil, err
	}
	if value, ok, err := s.decimalTail(start, whole); ok || err != nil {
		return value, err
	}
	if whole == "" {
		return nil, s.fail(start, "has no number where one belongs", "write the number, then its unit")
	}
	return s.fractionTail(start, whole)
}

// grouped reads digits, where thousands may stand apart: 2 621.
func (s *scanner) grouped() (string, error) {
	start := s.pos
	digits := s.digits()
	for 0 < len(digits) && s.groupFollows(start) {
		s.space()
		digits += s.digits()
	}
	if len(digits) > maxDigits {
		return "", s.fail(start, "has too many digits", "check the number")
	}
	return digits, nil
}

// groupFollows says whether one space and exactly three digits come next,
// after a first group of one to three digits that is not zero. A mixed number
// such as 1 200/300 is not a group.
func (s *scanner) groupFollows(start int) bool {
	r, w := s.peek()
	if s.done() || !unicode.IsSpace(r) || s.in[start] == '0' {
		return false
	}
	if head := strings.IndexFunc(s.in[start:s.pos], unicode.IsSpace); head > 3 || head < 0 &&
		s.pos-start > 3 {
		return false
	}
	at := s.pos + w
	for i := range 3 {
		if !s.digitAt(at + i) {
			return false
		}
	}
	next := at + 3
	return !s.digitAt(next) && !strings.HasPrefix(s.in[min(next, len(s.in)):], "/")
}

// decimalTail reads a point or comma and the digits behind it, more of them where
// some mark thousands: 1.234,5.
func (s *scanner) decimalTail(start int, whole string) (*big.Rat, bool, error) {
	if s.done() || !strings.ContainsRune(".,", rune(s.in[s.pos])) || !s.digitAt(s.pos+1) {
		return nil, false, nil
	}
	second := s.pos
	sign := s.in[s.pos : s.pos+1]
	s.pos++
	tail := s.digits()
	switch {
	case len(whole)+len(tail) > maxDigits:
		return nil, false, s.fail(start, "has too many digits", "check the number")
	case !s.done() && strings.ContainsRune(".,", rune(s.in[s.pos])) && s.digitAt(s.pos+1):
		return s.separated(start, second)
	case written.Evidence(whole+sign+tail) != written.StyleUnknown || sign == "." && !s.amount:
	default:
		return nil, false, s.fail(start,
			"the "+map[string]string{",": "comma",
				".": "point"}[sign]+" may mark thousands or decimals",
			"write "+whole+tail+", or "+whole+"."+tail+"0; `endsmeet config decimal=point`, or comma, says so once for all")
	}
	value, ok := new(big.Rat).SetString("0" + whole + "." + tail)
	return value, ok, nil
}

// separated reads a number with several points and commas, from its start.
func (s *scanner) separated(start, first int) (*big.Rat, bool, error) {
	digits := written.Numeral(s.in[start:])
	plain, err := written.Plain(digits)
	if err != nil || len(digits) > maxDigits {
		return nil, false, s.fail(first, "has a second decimal point",
			"write the number without thousands separators")
	}
	s.pos = start + len(digits)
	value, ok := new(big.Rat).SetString(plain)
	return value, ok, nil
}

// fractionTail reads what may follow a whole number: /4 makes it a fraction,
// " 3/4", "-3/4" or "¾" a mixed number.
func (s *scanner) fractionTail(start int, whole string) (*big.Rat, error) {
	value, _ := new(big.Rat).SetString(whole)
	if over := s.pos; s.skipWord("/", "⁄") {
		if s.digitAt(s.pos) {
			return s.over(start, value)
		}
		s.pos = over
		return value, nil
	}
	back := s.pos
	s.space()
	if back == s.pos {
		s.skipWord("-")
	}
	if part, ok := s.glyph(); ok {
		return value.Add(value, part), nil
	}
	if top := s.digits(); top != "" && len(top) <= maxDigits && s.skipWord("/", "⁄") &&
		s.digitAt(s.pos) {
		part, _ := new(big.Rat).SetString(top)
		part, err := s.over(start, part)
		if err != nil {
			return nil, err
		}
		return value.Add(value, part), nil
	}
	s.pos = back
	return value, nil
}

// over divides by the digits that stand here.
func (s *scanner) over(start int, top *big.Rat) (*big.Rat, error) {
	digits := s.digits()
	if len(digits) > maxDigits {
		return nil, s.fail(start, "has too many digits", "check the number")
	}
	bottom, _ := new(big.Rat).SetString(digits)
	if bottom.Sign() == 0 {
		return nil, s.fail(start, "divides by zero", "")
	}
	return top.Quo(top, bottom), nil
}

// glyphs are the one-character fractions.
var glyphs = map[rune][2]int64{
	'½': {1, 2}, '¼': {1, 4}, '¾': {3, 4}, '⅓': {1, 3}, '⅔': {2, 3}, '⅕': {1, 5}, '⅖': {2, 5},
	'⅗': {3, 5},
	'⅘': {4, 5}, '⅙': {1, 6}, '⅚': {5, 6}, '⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8}, '⅞': {7, 8},
	'⅒': {1, 10},
}

// glyph reads a one-character fraction.
func (s *scanner) glyph() (*big.Rat, bool) {
	r, w := s.peek()
	f, ok := glyphs[r]
	if !ok {
		return nil, false
	}
	s.pos += w
	return big.NewRat(f[0], f[1]), true
}

// word reads a unit: letters, or one of the marks ' " %.
func (s *scanner) word() string {
	start := s.pos
	if s.skipWord("''", "'", `"`, "′", "″", "’", "”", "%") {
		return s.in[start:s.pos]
	}
	for !s.done() {
		r, w := s.peek()
		if !unicode.IsLetter(r) {
			break
		}
		s.pos += w
	}
	return s.in[start:s.pos]
}
