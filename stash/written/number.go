package written

import (
	"errors"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Number is a quantity as a spreadsheet's text gives it.
type Number struct {
	Decimal string // plain decimal with a point and no sign: "0.5", "1234.5"
	Unit    string // words after the number, lower case: "g", "skein"; "" if none
	Times   int    // how many alike ("2x100g"); 1 when not said
	Approx  bool   // the text says that it is not exact
	Note    string // text in brackets after it
}

// Limits of a number's text. Nothing in a stash needs more digits.
const (
	maxNumberText = 200
	maxDigits     = 15
	MaxTimes      = 10_000
)

// ParseNumber reads "12.5", "1/2", "1 1/2", "½ skein", "approx 200", "200?",
// "2x100g", "1.234,5 m (washed)". style settles what a lone comma or point
// means; StyleUnknown refuses "1,234". Dates that a spreadsheet made of
// something else, ranges, negative numbers and further digits are refused; the
// error is a *Error with the remedy.
func ParseNumber(text string, style Style) (Number, error) {
	if len(text) > maxNumberText {
		return Number{}, Fault("too long for a number", "put the words into a notes column")
	}
	if n, ok := quickNumber(text, style); ok {
		return n, nil
	}
	rest := strings.TrimSpace(strings.Map(PlainSpace, text))
	if LooksLikeDate(rest) {
		return Number{}, Fault("this is a date, and a number is wanted",
			"the spreadsheet turned what was typed (8/2, say) into a date: format the column as text and type it again")
	}
	n := Number{Times: 1}
	rest, n.Note = CutNote(rest)
	rest, n.Approx = CutApprox(rest)
	rest, n.Times = cutTimes(rest)
	if err := n.value(rest, style); err != nil {
		return Number{}, err
	}
	return n, nil
}

// quickNumber reads what most cells hold: digits with at most one point that
// needs no judgement.
func quickNumber(text string, style Style) (Number, bool) {
	if text == "" || len(text) > maxDigits {
		return Number{}, false
	}
	point := -1
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c >= '0' && c <= '9':
		case c == '.' && point < 0 && i > 0:
			point = i
		default:
			return Number{}, false
		}
	}
	if point == len(text)-1 || point > 0 && style == StyleComma {
		return Number{}, false
	}
	if point > 0 && style == StyleUnknown && Evidence(text) == StyleUnknown {
		return Number{}, false
	}
	return Number{Decimal: trimDecimal(text), Times: 1}, true
}

// Error says why a text is no number, and what to do about it.
type Error struct{ Reason, Hint string }

// Error returns the reason.
func (e *Error) Error() string { return e.Reason }

// Fault is an *Error with its remedy.
func Fault(reason, hint string) error { return &Error{Reason: reason, Hint: hint} }

// PlainSpace turns every kind of space into the plain one.
func PlainSpace(r rune) rune {
	if unicode.IsSpace(r) {
		return ' '
	}
	return r
}

// CutNote cuts a bracket at the end of text.
func CutNote(text string) (rest, note string) {
	open := strings.IndexByte(text, '(')
	if open <= 0 || !strings.HasSuffix(text, ")") {
		return text, ""
	}
	return strings.TrimSpace(text[:open]), strings.TrimSpace(text[open+1 : len(text)-1])
}

var (
	approxBefore = []string{"approximately", "approx.", "approx", "about", "around", "roughly",
		"circa", "ca.", "ca ", "c.", "est.", "est ", "maybe", "~", "≈"}
	approxAfter = []string{"approximately", "approx.", "approx", "or so", "ish", "?", "est.",
		"est"}
)

// CutApprox cuts the words that say "not exact" from either end.
func CutApprox(text string) (string, bool) {
	lower := strings.ToLower(text)
	if len(lower) != len(text) { // a letter whose lower case has another length: no word of ours
		return text, false
	}
	for _, word := range approxBefore {
		if strings.HasPrefix(lower, word) {
			return strings.TrimSpace(text[len(word):]), true
		}
	}
	for _, word := range approxAfter {
		if strings.HasSuffix(lower, word) {
			return strings.TrimSpace(text[:len(text)-len(word)]), true
		}
	}
	return text, false
}

// cutTimes cuts "2 x" from the front of "2 x 100 g", or "x 2" from the end of
// "100 g x 2".
func cutTimes(text string) (string, int) {
	if rest, n := timesBehind(text); n > 0 {
		return rest, n
	}
	i := strings.IndexFunc(text, func(r rune) bool { return r < '0' || r > '9' })
	if i <= 0 {
		return text, 1
	}
	after := strings.TrimLeft(text[i:], " ")
	sign, size := utf8.DecodeRuneInString(after)
	if !strings.ContainsRune("xX×*", sign) {
		return text, 1
	}
	rest := strings.TrimSpace(after[size:])
	n, err := strconv.Atoi(text[:i])
	if err != nil || n < 1 || n > MaxTimes || rest == "" || !StartsNumber(rest) {
		return text, 1
	}
	return rest, n
}

// timesBehind cuts "x 2" from the end of "100 g x 2"; n is 0 where it does not
// stand there. A letter x has a space before it, so that no unit loses its own.
func timesBehind(text string) (rest string, n int) {
	front := strings.TrimRight(text, "0123456789")
	before := strings.TrimRight(front, " ")
	sign, size := utf8.DecodeLastRuneInString(before)
	rest = strings.TrimSpace(before[:len(before)-size])
	spaced := strings.HasSuffix(before[:len(before)-size], " ")
	if front == text || rest == "" || !StartsNumber(text) || !strings.ContainsRune("×*", sign) &&
		!(spaced && strings.ContainsRune("xX", sign)) {
		return text, 0
	}
	if r, _ := utf8.DecodeLastRuneInString(rest); !unicode.IsLetter(r) {
		return text, 0 // "2 x 3" does not say of what
	}
	if n, err := strconv.Atoi(text[len(front):]); err == nil && n >= 1 && n <= MaxTimes {
		return rest, n
	}
	return text, 0
}

// StartsNumber reports whether text begins as a number does.
func StartsNumber(text string) bool {
	r, _ := utf8.DecodeRuneInString(text)
	_, fraction := vulgar[r]
	return r >= '0' && r <= '9' || fraction || r == '.'
}

// value reads the number proper and the unit behind it.
func (n *Number) value(text string, style Style) error {
	if strings.HasPrefix(text, "=") {
		return Fault("a formula where a number is wanted",
			"save the table with the results of its formulas, and import that")
	}
	if startsAny(text, "-", "−", "–") {
		return Fault("is negative", "write an amount of zero or more")
	}
	text = strings.TrimPrefix(text, "+")
	if text == "" || !StartsNumber(text) && text[0] != ',' {
		return Fault("has no number where one belongs",
			"write the number, with its unit in the cell or in the header")
	}
	decimal, rest, err := readDecimal(text, style)
	if err != nil {
		return err
	}
	n.Decimal, n.Unit = decimal, strings.ToLower(strings.TrimSpace(rest))
	return checkUnit(n.Unit)
}

// checkUnit refuses what is left behind a number when it is no word.
func checkUnit(unit string) error {
	trimmed := strings.TrimSpace(strings.TrimLeft(unit, "-–"))
	switch {
	case trimmed != unit && startsDigit(trimmed):
		return Fault("a range of numbers", "write one number; put the range into a notes column")
	case len(unit) > 1 && unit[0] == 'e' && (startsDigit(unit[1:]) || unit[1] == '+' ||
		unit[1] == '-'):
		return Fault("a number shortened by the spreadsheet",
			"widen the column or format it as a plain number, and save again")
	case strings.ContainsFunc(unit, func(r rune) bool { return unicode.IsDigit(r) }) &&
		!unitWithDigits(unit):
		return Fault("more than one number", "write one number in the cell")
	}
	return nil
}

// startsAny says whether a text begins with one of the signs.
func startsAny(text string, signs ...string) bool {
	return slices.ContainsFunc(signs, func(sign string) bool { return strings.HasPrefix(text, sign) })
}

// startsDigit says whether a text begins with a digit of ASCII.
func startsDigit(text string) bool { return text != "" && text[0] >= '0' && text[0] <= '9' }

// unitWithDigits knows the units that hold a number: "m/100g", "m per 50 g".
func unitWithDigits(unit string) bool {
	return strings.Contains(unit, "/") || strings.Contains(unit, " per ")
}

// In gives the number with a unit so that it reads in one way only: a nought
// behind three digits says that they are no thousands.
func (n Number) In(unit string) string {
	if Evidence(n.Decimal) == StyleUnknown && strings.Contains(n.Decimal, ".") {
		return n.Decimal + "0 " + unit
	}
	return n.Decimal + " " + unit
}

// AsError returns the Error in err, or one that carries its text.
func AsError(err error) *Error {
	var e *Error
	if errors.As(err, &e) {
		return e
	}
	return &Error{Reason: err.Error()}
}
