package stash

import (
	"fmt"
	"strings"
	"unicode"
)

// plainSigns are the signs that, beside letters and digits, no POSIX shell takes
// for anything else (XCU, 2.2 Quoting), less those that some shell treats in a
// way of its own.
const plainSigns = "_-+.,:/%@="

// outsideQuotes are the letters that do not stand in single quotes: the quote itself,
// and the backslash, which fish reads there and POSIX shells do not.
var outsideQuotes = strings.NewReplacer("'", `'\''`, `\`, `'\\'`)

// Quote writes a word as it is typed into a POSIX shell, or into fish: in single
// quotes where the shell would take any letter of it for something else.
func Quote(word string) string {
	if word != "" && word[0] != '=' && strings.IndexFunc(word, notPlain) < 0 {
		return word
	}
	return "'" + outsideQuotes.Replace(word) + "'"
}

func notPlain(r rune) bool {
	return !unicode.IsLetter(r) && (r < '0' || r > '9') && !strings.ContainsRune(plainSigns, r)
}

// Command writes a command of the program as it is typed: its words as they
// are, then what it is given, quoted. "--" comes before what looks like an
// option, so that a name may begin with a dash.
func Command(words string, given ...string) string {
	out := []string{"endsmeet", words}
	for _, word := range given {
		if strings.HasPrefix(word, "-") {
			out = append(out, "--")
			break
		}
	}
	for _, word := range given {
		out = append(out, Quote(word))
	}
	return strings.Join(out, " ")
}

// LiftQuarantine is the command that says that an item's quarantine is over.
func LiftQuarantine(label string) string { return Command("set", label, "quarantine=-") }

// FewNamed is how many of a list are named where the others are only counted.
const FewNamed = 3

// AndMore names the first few of a list of n and counts the others: "A, B, C and 4 more".
// One more is named too: its name is no longer than saying so.
func AndMore(names []string, n int) string {
	if n <= FewNamed+1 && len(names) == n {
		return strings.Join(names, ", ")
	}
	few := names[:min(FewNamed, len(names))]
	return fmt.Sprintf("%s and %d more", strings.Join(few, ", "), n-len(few))
}
