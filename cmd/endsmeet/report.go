package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
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
		for line := range strings.SplitSeq("endsmeet: "+harmless(err.Error()), "\n") {
			fmt.Fprint(e.stderr, hangingBy(line, "  ", e.errorColumns))
		}
	}
	if exit, ok := exitCodes[code]; ok {
		return exit
	}
	return exitRefused
}

// lost is the error of a command whose answer could not be written, else err.
func (s *sink) lost(err error) error {
	var refusal *stash.Error
	if s.err == nil || errors.As(err, &refusal) {
		return err
	}
	e := stash.Refuse(stash.CodeStorage, "make room where it goes; what was recorded stays, `endsmeet history` shows it", "the answer could not be written: %s", systemWords(s.err))
	e.Cause = s.err
	return e
}

// cutShort words what Ctrl-C leaves of a command that recorded nothing anyway.
func cutShort(err error) error {
	var refusal *stash.Error
	if errors.As(err, &refusal) || !errors.Is(err, context.Canceled) {
		return err
	}
	e := stash.Refuse(stash.CodeStopped, "give the command again when you like", "stopped before it was done")
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
