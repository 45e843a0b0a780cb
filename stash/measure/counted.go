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

// LineWords names lines of a file, those that follow each other as one: "lines 3 to 201, 204".
func LineWords(lines []int) string {
	var words []string
	for i := 0; i < len(lines); i++ {
		first := i
		for i+1 < len(lines) && lines[i+1] == lines[i]+1 {
			i++
		}
		word := strconv.Itoa(lines[first])
		if i > first {
			word += " to " + strconv.Itoa(lines[i])
		}
		words = append(words, word)
	}
	if len(lines) == 1 {
		return "line " + words[0]
	}
	return "lines " + strings.Join(words, ", ")
}
