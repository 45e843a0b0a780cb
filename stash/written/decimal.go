package written

import (
	"math/big"
	"strings"
	"unicode/utf8"
)

// vulgar maps the fraction characters of Unicode to numerator and denominator.
var vulgar = map[rune][2]int64{
	'½': {1, 2}, '⅓': {1, 3}, '⅔': {2, 3}, '¼': {1, 4}, '¾': {3, 4}, '⅕': {1, 5}, '⅖': {2, 5},
	'⅗': {3, 5},
	'⅘': {4, 5}, '⅙': {1, 6}, '⅚': {5, 6}, '⅐': {1, 7}, '⅛': {1, 8}, '⅜': {3, 8}, '⅝': {5, 8},
	'⅞': {7, 8}, '⅑': {1, 9}, '⅒': {1, 10},
}

// fractionDigits is to how many places a fraction such as 1/3 is written out.
const fractionDigits = 9

// readDecimal reads a decimal, a fraction or a whole number with a fraction
// from the front of text and returns it as a plain decimal, with what follows.
func readDecimal(text string, style Style) (decimal, rest string, err error) {
	if frac, after, ok := readFraction(text); ok {
		return ratDecimal(frac), after, nil
	}
	digits := Numeral(text)
	after := text[len(digits):]
	digits, after = spacedThousands(digits, after)
	if decimal, err = plainDecimal(digits, style); err != nil {
		return "", "", err
	}
	whole := new(big.Rat)
	if frac, behind, ok := readFraction(strings.TrimLeft(after, " ")); ok &&
		!strings.ContainsRune(decimal, '.') && frac.Cmp(big.NewRat(1, 1)) < 0 {
		whole.SetString(decimal)
		return ratDecimal(whole.Add(whole, frac)), behind, nil
	}
	if after != "" && (after[0] == '/' || after[0] == '.' || after[0] == ',') &&
		startsDigit(after[1:]) {
		return "", "", Fault("not a number", "write a plain number or a fraction such as 1/2")
	}
	return decimal, after, nil
}

// readFraction reads "½" or "1/2" (also with the fraction slash).
func readFraction(text string) (*big.Rat, string, bool) {
	r, size := utf8.DecodeRuneInString(text)
	if f, ok := vulgar[r]; ok {
		return big.NewRat(f[0], f[1]), text[size:], true
	}
	top, rest := smallInt(text)
	slash, size := utf8.DecodeRuneInString(rest)
	if top < 0 || slash != '/' && slash != '⁄' {
		return nil, text, false
	}
	bottom, after := smallInt(rest[size:])
	if bottom <= 0 || after != "" && (after[0] == '/' || after[0] == '.' || after[0] == ',') {
		return nil, text, false
	}
	return big.NewRat(top, bottom), after, true
}

// smallInt reads up to four digits; -1 when there are none or more.
func smallInt(text string) (int64, string) {
	var n int64
	i := 0
	for i < len(text) && text[i] >= '0' && text[i] <= '9' {
		n = n*10 + int64(text[i]-'0')
		if i++; i > 4 {
			return -1, text
		}
	}
	if i == 0 {
		return -1, text
	}
	return n, text[i:]
}

// spacedThousands joins "1 234 567" and "1'234": groups of exactly three digits
// behind one to three.
func spacedThousands(digits, after string) (string, string) {
	if len(digits) > 3 || strings.ContainsAny(digits, ".,") {
		return digits, after
	}
	for len(after) >= 4 && (after[0] == ' ' || after[0] == '\'') {
		group := Numeral(after[1:])
		whole := strings.IndexAny(group+".", ".,")
		if whole != 3 || strings.HasPrefix(after[1+len(group):], "/") {
			break
		}
		digits, after = digits+group, after[1+len(group):]
		if len(group) > 3 {
			break
		}
	}
	return digits, after
}

// Plain turns digits with the separators of thousands and decimals into a plain
// decimal.
func Plain(digits string) (string, error) { return plainDecimal(digits, StyleUnknown) }

// plainDecimal turns digits with separators into a plain decimal.
func plainDecimal(digits string, style Style) (string, error) {
	proof := Evidence(digits)
	if strings.ContainsAny(digits, ".,") {
		switch {
		case proof == StyleUnknown && style == StyleUnknown:
			return "", Fault("a comma or point that can be read in two ways",
				"say how this file writes decimals: --decimal comma or --decimal point; or how you do: endsmeet config decimal=comma")
		case proof != StyleUnknown && style != StyleUnknown && proof != style:
			return "", Fault("written with another decimal sign than the rest of the file",
				"write decimals with a "+style.String())
		case proof == StyleUnknown:
			proof = style
		}
	}
	group, decimal := ",", "."
	if proof == StyleComma {
		group, decimal = ".", ","
	}
	whole, part, _ := strings.Cut(digits, decimal)
	if !grouped(whole, group) || strings.ContainsAny(part, ".,") {
		return "", Fault("thousands are not grouped by three",
			"write the number without separators")
	}
	plain := strings.ReplaceAll(whole, group, "")
	if part != "" {
		plain += "." + part
	}
	if len(plain) > maxDigits+1 || plain == "" {
		return "", Fault("not a number of a size that a stash can hold", "check the digits")
	}
	return trimDecimal(plain), nil
}

// grouped reports whether whole is ungrouped or grouped by three.
func grouped(whole, group string) bool {
	parts := strings.Split(whole, group)
	if len(parts) == 1 {
		return true
	}
	for _, p := range parts[1:] {
		if len(p) != 3 {
			return false
		}
	}
	return len(parts[0]) >= 1 && len(parts[0]) <= 3
}

// trimDecimal drops leading noughts and noughts behind the point.
func trimDecimal(plain string) string {
	if strings.IndexByte(plain, '.') >= 0 {
		plain = strings.TrimRight(strings.TrimRight(plain, "0"), ".")
	}
	for len(plain) > 1 && plain[0] == '0' && plain[1] != '.' {
		plain = plain[1:]
	}
	if plain == "" || plain[0] == '.' {
		plain = "0" + plain
	}
	return plain
}

// ratDecimal writes a fraction out, rounded at fractionDigits places.
func ratDecimal(r *big.Rat) string { return trimDecimal(r.FloatString(fractionDigits)) }
