package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"unicode"

	"endsmeet/stash"
)

// problem is the JSON form of an error.
type problem struct {
	Code    stash.Code `json:"code"`
	Message string     `json:"message"`
	Hint    string     `json:"hint"`
}

// report tells an error on standard error and gives the exit code.
func report(e *environment, err error, asJSON bool) int {
	if status, ok := statusOf(err); ok {
		return status
	}
	err = cutShort(err)
	code := stash.CodeOf(err)
	if asJSON {
		raw, _ := json.Marshal(map[string]problem{"error": {code, messageOf(err), hintOf(err)}})
		fmt.Fprintln(e.stderr, string(raw))
	} else {
		text := harmless(err.Error())
		if e.errorColumns > 0 {
			text = toRead(text)
		}
		for line := range strings.SplitSeq("endsmeet: "+text, "\n") {
			fmt.Fprint(e.stderr, hangingBy(line, "  ", e.errorColumns))
		}
	}
	if exit, ok := exitCodes[code]; ok {
		return exit
	}
	return exitRefused
}

// toRead is an error for a person at a screen: what is wrong as a sentence, then
// what to type on a line of its own. In a pipe an error is one line.
func toRead(text string) string {
	problem, hint := apart(text)
	if hint == "" {
		return sentence(problem)
	}
	return sentence(problem) + "\n  " + sentence(hint)
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
var plainWord = regexp.MustCompile(`^[a-z]+('[a-z]+)?([ ,:]|$)`)

// sentence is a text with a capital and a full stop. A command, and a list, stay
// as they are.
func sentence(text string) string {
	if plainWord.MatchString(text) && !strings.HasPrefix(text, "endsmeet ") {
		text = strings.ToUpper(text[:1]) + text[1:]
	}
	if strings.ContainsAny(text, "\n") || text == "" || strings.HasPrefix(text, "endsmeet ") ||
		strings.ContainsRune(".?!:`'", rune(text[len(text)-1])) && !strings.HasSuffix(text, "'") {
		return text
	}
	return text + "."
}

// lost is the error of a command whose answer could not be written, else err.
func (s *sink) lost(err error) error {
	var refusal *stash.Error
	if s.err == nil || errors.As(err, &refusal) {
		return err
	}
	e := stash.Refuse(stash.CodeStorage,
		"make room where it goes; what was recorded stays, `endsmeet history` shows it",
		"the answer could not be written: %s", systemWords(s.err))
	e.Cause = s.err
	return e
}

// cutShort words what Ctrl-C leaves of a command that recorded nothing anyway.
func cutShort(err error) error {
	var refusal *stash.Error
	if errors.As(err, &refusal) || !errors.Is(err, context.Canceled) {
		return err
	}
	e := stash.Refuse(stash.CodeStopped, "give the command again when you like",
		"stopped before it was done")
	e.Cause = err
	return e
}

func messageOf(err error) string {
	var refusal *stash.Error
	if errors.As(err, &refusal) {
		return refusal.Problem
	}
	return err.Error()
}

func hintOf(err error) string {
	var refusal *stash.Error
	if errors.As(err, &refusal) {
		return refusal.Hint
	}
	return ""
}

// harmless keeps the lines and the spaces of a message and drops what could
// steer a terminal.
func harmless(text string) string {
	return strings.Map(func(r rune) rune {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) {
			return ' '
		}
		return r
	}, text)
}
