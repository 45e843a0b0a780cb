package written

import "strings"

// Style says how a file writes numbers.
type Style uint8

// Number styles. StyleUnknown accepts what can be read in one way only.
const (
	StyleUnknown Style = iota
	StylePoint         // 1,234.5
	StyleComma         // 1.234,5
)

// String returns "point", "comma" or "unknown".
func (s Style) String() string {
	return [...]string{"unknown", "point", "comma"}[s]
}

// ParseStyle reads "point" or "comma"; anything else is StyleUnknown.
func ParseStyle(text string) Style {
	switch strings.ToLower(strings.TrimSpace(text)) {
	case "point", "dot", ".":
		return StylePoint
	case "comma", ",":
		return StyleComma
	}
	return StyleUnknown
}

// Evidence says which style a single number proves, StyleUnknown if it could be
// both ("1,234") or has no separator. The digits of text may be followed by
// other words, which are not looked at.
func Evidence(text string) Style {
	digits := Numeral(strings.TrimSpace(text))
	point, comma := strings.LastIndexByte(digits, '.'), strings.LastIndexByte(digits, ',')
	switch {
	case point < 0 && comma < 0:
		return StyleUnknown
	case comma < 0:
		return oneSeparator(digits, ".", StylePoint, StyleComma)
	case point < 0:
		return oneSeparator(digits, ",", StyleComma, StylePoint)
	case point > comma:
		return StylePoint
	}
	return StyleComma
}

// oneSeparator judges digits that hold only the separator sep: repeated, it
// groups thousands; once, it is decimal unless exactly three digits follow one
// to three others that do not begin with nought.
func oneSeparator(digits, sep string, decimal, grouping Style) Style {
	if strings.Count(digits, sep) > 1 {
		return grouping
	}
	before, after, _ := strings.Cut(digits, sep)
	if len(after) == 3 && len(before) >= 1 && len(before) <= 3 && before[0] != '0' {
		return StyleUnknown
	}
	return decimal
}

// InHabit reads a text by parse. What cannot be read as it stands, and has a number that
// can be read in two ways, is read as habit says that its writer means it: habit is asked
// only then, and gives StyleUnknown where they have not said.
func InHabit[T any](text string, habit func() Style, parse func(string) (T, error)) (T, error) {
	v, err := parse(text)
	if err == nil || !twoWays(text) {
		return v, err
	}
	if style := habit(); style != StyleUnknown {
		return parse(style.settled(text))
	}
	return v, err
}

// settled writes each number of a text that can be read in two ways so that it is read as
// the style has it: thousands without a sign, decimals with a point and four of them.
func (s Style) settled(text string) string {
	sign := map[Style]string{StylePoint: ".", StyleComma: ","}[s]
	return eachNumeral(text, func(digits string) string {
		whole, part, decimal := strings.Cut(digits, sign)
		switch {
		case !inTwoWays(digits):
			return digits
		case decimal:
			return whole + "." + part + "0"
		}
		return strings.NewReplacer(".", "", ",", "").Replace(digits)
	})
}

// eachNumeral puts what is made of each number of a text into its place.
func eachNumeral(text string, made func(digits string) string) string {
	var out strings.Builder
	for text != "" {
		i := strings.IndexAny(text, "0123456789")
		if i < 0 {
			break
		}
		digits := Numeral(text[i:])
		out.WriteString(text[:i] + made(digits))
		text = text[i+len(digits):]
	}
	return out.String() + text
}

// intwoWays says whether a number can be read in two ways.
func inTwoWays(digits string) bool {
	return strings.ContainsAny(digits, ".,") && Evidence(digits) == StyleUnknown
}

// twoWays says whether a number in a text can be read in two ways.
func twoWays(text string) (is bool) {
	eachNumeral(text, func(digits string) string {
		is = is || inTwoWays(digits)
		return digits
	})
	return is
}

// Numeral returns the leading digits, points and commas of text, without a
// separator at the end ("3 balls," has none).
func Numeral(text string) string {
	n := 0
	for n < len(text) && (text[n] >= '0' && text[n] <= '9' || text[n] == '.' || text[n] == ',') {
		n++
	}
	return strings.TrimRight(text[:n], ".,")
}

// Styles gathers the evidence of many numbers.
type Styles struct{ point, comma int }

// Add takes the evidence of one cell. Cells that a spreadsheet itself knows as
// numbers prove nothing about how people typed the others.
func (s *Styles) Add(text string) {
	if len(text) > 40 {
		return
	}
	switch Evidence(text) {
	case StylePoint:
		s.point++
	case StyleComma:
		s.comma++
	}
}

// Style returns the style that the evidence agrees on, else StyleUnknown.
func (s *Styles) Style() Style {
	switch {
	case s.point > 0 && s.comma == 0:
		return StylePoint
	case s.comma > 0 && s.point == 0:
		return StyleComma
	}
	return StyleUnknown
}
