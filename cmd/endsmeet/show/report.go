package show

import (
	"context"
	"errors"
	"io/fs"
	"regexp"
	"strings"
	"sync"
	"unicode"

	"endsmeet/stash"
)

// Problem is the JSON form of an error.
type Problem struct {
	Code    stash.Code `json:"code"`
	Message string     `json:"message"`
	Hint    string     `json:"hint"`
}

// ToRead is an error for a person at a screen: what is wrong as a sentence, then
// what to type on a line of its own. In a pipe an error is one line.
func ToRead(err error) string {
	text := Harmless(Plainly(err.Error()))
	problem, hint := apart(text)
	if hint == "" && strings.Contains(text, "\n") {
		return listed(text)
	}
	if stash.BeginsWithName(err) {
		problem = stopped(problem)
	} else {
		problem = sentence(problem)
	}
	if hint == "" {
		return problem
	}
	return problem + "\n  " + sentence(hint)
}

// listed are several errors, each with its hint set in below it.
func listed(text string) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		bare := strings.TrimLeft(line, " ")
		if in := line[:len(line)-len(bare)]; in != "" {
			lines[i] = in + sentence(bare)
		} else {
			lines[i] = stopped(line)
		}
	}
	return strings.Join(lines, "\n")
}

// apart parts an error from its hint, which stands in brackets at its end.
func apart(text string) (problem, hint string) {
	if !strings.HasSuffix(text, ")") {
		return text, ""
	}
	depth := 0
	for i := len(text) - 1; i > 0; i-- {
		switch text[i] {
		case ')':
			depth++
		case '(':
			if depth--; depth == 0 && text[i-1] == ' ' {
				return text[:i-1], text[i+1 : len(text)-1]
			}
		}
	}
	return text, ""
}

// plainWord matches a text that begins with a word of the language, not with a
// name, an option or a figure.
var plainWord = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^[a-z]+('[a-z]+)?(: |[ ,]|$)`)
})

// sentence is a text with a capital and a full stop. A command, and a list, stay
// as they are.
func sentence(text string) string {
	if plainWord().MatchString(text) && !strings.HasPrefix(text, "endsmeet ") {
		text = strings.ToUpper(text[:1]) + text[1:]
	}
	return stopped(text)
}

// stopped is a text with a full stop, where it has none; a row of a table has none.
func stopped(text string) string {
	if strings.Contains(text, "\n") || strings.Contains(text, "  ") || text == "" || strings.HasPrefix(text, "endsmeet ") ||
		strings.ContainsRune(".?!:`'", rune(text[len(text)-1])) && !strings.HasSuffix(text, "'") {
		return text
	}
	return text + "."
}

// Lost is the error of a command whose answer could not be written, else err.
func (s *Sink) Lost(err error) error {
	var refusal *stash.Error
	if s.err == nil || errors.As(err, &refusal) {
		return err
	}
	e := stash.Refuse(stash.CodeStorage,
		"make room where it goes; what was recorded stays, `endsmeet history` shows it",
		"the answer could not be written: %s", SystemWords(s.err))
	e.Cause = s.err
	return e
}

// CutShort words what Ctrl-C leaves of a command that recorded nothing anyway.
func CutShort(err error) error {
	var refusal *stash.Error
	if errors.As(err, &refusal) || !errors.Is(err, context.Canceled) {
		return err
	}
	e := stash.Refuse(stash.CodeStopped, "give the command again when you like",
		"stopped before it was done")
	e.Cause = err
	return e
}

// MessageOf is an error as a person reads it.
func MessageOf(err error) string {
	var refusal *stash.Error
	if errors.As(err, &refusal) {
		return refusal.Problem
	}
	return err.Error()
}

// HintOf is what an error says to type.
func HintOf(err error) string {
	var refusal *stash.Error
	if errors.As(err, &refusal) {
		return refusal.Hint
	}
	return ""
}

// Harmless keeps the lines and the spaces of a message and drops what could
// steer a terminal.
func Harmless(text string) string {
	return strings.Map(func(r rune) rune {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) {
			return ' '
		}
		return r
	}, text)
}

// Unwritable says that a file cannot be made.
func Unwritable(path string, err error) error {
	if errors.Is(err, fs.ErrExist) {
		return stash.Refuse(stash.CodeStorage, "name another, it is never written over",
			"there is a file %s already", stash.Clean(path))
	}
	e := stash.Refuse(stash.CodeStorage, "check the folder and the room on the disk",
		"%s cannot be written: %s", stash.Clean(path), SystemWords(err))
	e.Cause = err
	return e
}

// SystemWords is what the system says is wrong, without the path.
func SystemWords(err error) string {
	var file *fs.PathError
	if errors.As(err, &file) {
		return Plainly(file.Err.Error())
	}
	return Plainly(err.Error())
}
