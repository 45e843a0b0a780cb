package measure

import (
	"strconv"
	"strings"
)

// Counted is a number with its noun: "1 edge", "2 edges", "3 bunches".
func Counted(n int, noun string) string {
	many := noun + "s"
	if strings.HasSuffix(noun, "ch") {
		many = noun + "es"
	}
	return CountedAs(n, noun, many)
}

// CountedAs is a number with its noun, for one and for many.
func CountedAs(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}
