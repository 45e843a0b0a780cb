package main

import "strings"

// shellSplit splits a line as a POSIX shell does, for as far as it is typed:
// the last word is the one being typed, and open is the quote in which it
// stands, from how much of the word stood before it. Nothing is expanded. There is
// always a word.
func shellSplit(line string) (words []string, open rune, from int) {
	var word strings.Builder
	within, escaped := false, false
	for _, r := range line {
		switch {
		case escaped:
			word.WriteRune(r)
			escaped = false
		case r == '\\' && open != '\'':
			escaped, within = true, true
		case open != 0 && r == open:
			open = 0
		case open != 0:
			word.WriteRune(r)
		case r == '\'' || r == '"':
			open, within, from = r, true, word.Len()
		case r == ' ' || r == '\t' || r == '\n':
			if within {
				words = append(words, word.String())
			}
			word.Reset()
			within = false
		default:
			word.WriteRune(r)
			within = true
		}
	}
	return append(words, word.String()), open, from
}

// bashWord is what bash puts in the place of the word being typed: without the
// part before the last of the letters at which bash parts words, unless it
// stands in quotes: then without what stood before them.
func bashWord(value, typed string, open rune, from int) string {
	if open == 0 {
		if at := strings.LastIndexAny(typed, "=:"); at >= 0 && len(value) > at {
			value = value[at+1:]
		}
		return escaped(value, func(r rune) bool {
			return !strings.ContainsRune("_-+.,/%@=:", r) &&
				r < 0x80 && !isLetter(r)
		})
	}
	value = value[min(from, len(value)):]
	if open == '\'' {
		return strings.ReplaceAll(value, "'", `'\''`)
	}
	return escaped(value, func(r rune) bool { return strings.ContainsRune("\\$`\"", r) })
}

func isLetter(r rune) bool {
	return r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z'
}

// escaped puts a backslash before the letters that special says need one.
func escaped(s string, special func(rune) bool) string {
	var b strings.Builder
	for _, r := range s {
		if special(r) {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}
