package measure

import "strconv"

// Counted is a number with its noun: "1 edge", "2 edges".
func Counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}
