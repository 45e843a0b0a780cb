package show

import (
	"regexp"
	"sync"
)

// Colours of a terminal. Which one a word has follows from the word alone, so that they tell
// nothing that it does not.
const (
	red    = "\x1b[31m"
	yellow = "\x1b[33m"
	dim    = "\x1b[2m"
	plain  = "\x1b[0m"
)

// aside matches a line that only says where more is told.
var aside = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(Sums and sources|Why|Each in full|Planned against measured):`)
})

// blocks matches what says no, between what leads to it and what follows.
var blocks = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(^|  |: |! )(no|cannot be made|Breaks a rule|PERISHED|QUARANTINE)([:,.]|  |$)`)
})

// asks matches what is to be asked or looked at first.
var asks = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(^|  |: |! )(check first|not known|Not recorded|Ask first)([:,.]|  |$)`)
})

// coloured is a line as a terminal with colours shows it.
func coloured(line string) string {
	if aside().MatchString(line) {
		return dim + line + plain
	}
	line = blocks().ReplaceAllString(line, "${1}"+red+"${2}"+plain+"${3}")
	return asks().ReplaceAllString(line, "${1}"+yellow+"${2}"+plain+"${3}")
}
