package written

import (
	"regexp"
	"strings"
	"sync"
)

// doubting matches the words with which people say that they are not sure of what they
// write, or have it from somebody who sells it. In other languages than English from
// memory. A word that says that a thing is not known, "unknown", is none of them.
var doubting = sync.OnceValue(func() *regexp.Regexp {
	const who = `(?:(?:the|my|a) )?(?:seller|shop|vendor|dealer|owner|friend|neighbour|neighbor)`
	return regexp.MustCompile(`(?i)\?+|\b(?:` + strings.Join([]string{
		`(?:i am |i'm |am |is |are )?not (?:quite |so |very |too |entirely |really )?(?:sure|certain|clear|confirmed|verified|tested)`,
		`unsure|uncertain|unclear|unconfirmed|unverified|untested`,
		`maybe|perhaps|probabl[ye]|possibl[ye]|presumabl[ye]|supposedly|allegedly|apparently|seemingly|hopefully|reportedly`,
		`(?:most |very |quite )?(?:un)?likely`,
		`(?:(?:so )?(?:i|we|he|she|they) )?(?:thinks?|thought|believe[sd]?|guess(?:es|ed)?|supposed?|assumed?|reckon|suspect(?:ed)?|hope)`,
		`a guess|guesswork|guesstimate|hearsay|(?:a )?doubt(?:s|ful|ed)?|seems?|appears?|claim(?:s|ed)|estimate[sd]?|from memory`,
		`(?:could|might|may)(?: well)? be`,
		`(?:says?|said|told by|according to) ` + who, who + ` (?:says?|said|thinks?|told me)`,
		`(?:i )?was told|so they say|they say|i'm told`,
		`vielleicht|vermutlich|wahrscheinlich|eventuell|evtl|peut-être|peut-etre|probablement|forse|probabilmente`,
		`quiz[aá]s?|probablemente|talvez|provavelmente|misschien|waarschijnlijk|måske|kanske|kanskje`,
	}, "|") + `)\b`)
})

// Doubts says whether a text has words of doubt, or a question mark.
func Doubts(text string) bool { return doubting().MatchString(text) }

// Undoubted gives a text without its words of doubt, and says whether it had any.
func Undoubted(text string) (rest string, doubted bool) {
	if !Doubts(text) {
		return text, false
	}
	rest = strings.Join(strings.Fields(doubting().ReplaceAllString(text, " ")), " ")
	return strings.Trim(rest, " ,;:.()"), true
}

// DoubtsAbout says whether a text doubts what it says with a word: in the clause that has
// the word, or in one beside it that says nothing else.
func DoubtsAbout(text, word string) bool {
	clauses := strings.FieldsFunc(strings.ToLower(text),
		func(r rune) bool { return strings.ContainsRune(",;:.()\n", r) })
	for i, clause := range clauses {
		if !strings.Contains(clause, word) {
			continue
		}
		if Doubts(clause) {
			return true
		}
		for _, beside := range clauses[max(0, i-1):min(len(clauses), i+2)] {
			if rest, doubted := Undoubted(beside); doubted && rest == "" {
				return true
			}
		}
	}
	return false
}
