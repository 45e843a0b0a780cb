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
	switch {
	case p > chance.AsGoodAsCertain:
		return "more than 999 chances in 1000"
	case p >= chance.AlmostCertain:
		return fmt.Sprintf("%d chances in 1000", int(math.Floor(p*1000)))
	case p < 1-chance.AsGoodAsCertain:
		return "less than 1 chance in 1000"
	case p < 1-chance.AlmostCertain:
		return chances(int(math.Ceil(p*1000)), 1000)
	}
	return chances(int(math.Floor(p*100+1e-9)), 100)
}

func chances(n, of int) string {
	if n == 1 {
		return fmt.Sprintf("1 chance in %d", of)
	}
	return fmt.Sprintf("%d chances in %d", n, of)
}
