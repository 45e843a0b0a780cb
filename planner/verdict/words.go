package verdict

import (
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"endsmeet/planner/chance"
)

// sentence ends a text with a full stop.
func sentence(text string) string {
	if text == "" || strings.HasSuffix(text, ".") {
		return text
	}
	return text + "."
}

// Capital begins a text with a capital.
func Capital(text string) string {
	for _, first := range text {
		return string(unicode.ToUpper(first)) + text[utf8.RuneLen(first):]
	}
	return ""
}

// Odds writes a probability as so many chances, never as the certainty that it
// is not.
func Odds(p float64) string {
	sign, n, of := odds(p)
	return map[string]string{">": "more than ", "<": "less than "}[sign] + chances(n, of)
}

// Percent writes a probability for a column of figures, in the steps of Odds: ">99.9%".
func Percent(p float64) string {
	sign, n, of := odds(p)
	text := fmt.Sprintf("%d%%", n)
	if of == 1000 {
		text = fmt.Sprintf("%d.%d%%", n/10, n%10)
	}
	return sign + text
}

// odds are n chances of so many, or with > or < more or less than that.
func odds(p float64) (sign string, n, of int) {
	switch {
	case p > chance.AsGoodAsCertain:
		return ">", 999, 1000
	case p >= chance.AlmostCertain:
		return "", int(math.Floor(p * 1000)), 1000
	case p < 1-chance.AsGoodAsCertain:
		return "<", 1, 1000
	case p < 1-chance.AlmostCertain:
		return "", int(math.Ceil(p * 1000)), 1000
	}
	return "", int(math.Floor(p*100 + 1e-9)), 100
}

func chances(n, of int) string {
	if n == 1 {
		return fmt.Sprintf("1 chance in %d", of)
	}
	return fmt.Sprintf("%d chances in %d", n, of)
}
