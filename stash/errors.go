package stash

import (
	"errors"
	"fmt"
	"strings"
)

// Code is the class of an error, stable for programs that read it.
type Code string

// The classes of error.
const (
	CodeRefused   Code = "refused"   // the ledger does not allow it
	CodeInput     Code = "input"     // a value cannot be read
	CodeUsage     Code = "usage"     // the command line is not complete or not understood
	CodeUnknown   Code = "unknown"   // no such yarn, package, project, piece or person
	CodeAmbiguous Code = "ambiguous" // a name fits several
	CodeRetired   Code = "retired"
	CodeOverdrawn Code = "overdrawn"
	CodeAgainst   Code = "against"  // a person's rule stands against it
	CodeNotOurs   Code = "not_ours" // the file is no stash
	CodeNewer     Code = "newer"    // the file is from a newer version
	CodeStorage   Code = "storage"  // disk full, read-only, locked
	CodeDamaged   Code = "damaged"  // the file is not as it was written
	CodeStopped   Code = "stopped"  // Ctrl-C broke it off
)

// Error is a refusal: its class, what is wrong and what to do.
type Error struct {
	Code    Code
	Problem string
	Hint    string
	Cause   error
	// named says that the problem begins with a name, which is not capitalised.
	named bool
}

// Error gives the problem and the remedy.
func (e *Error) Error() string {
	if e.Hint == "" {
		return e.Problem
	}
	return e.Problem + " (" + e.Hint + ")"
}

// Unwrap gives the cause, if there is one.
func (e *Error) Unwrap() error { return e.Cause }

// Refuse makes a refusal of class code.
func Refuse(code Code, hint, format string, args ...any) *Error {
	return &Error{Code: code, Problem: fmt.Sprintf(format, args...), Hint: hint,
		named: strings.HasPrefix(format, "%s ")}
}

// BeginsWithName says whether an error begins with the name of something.
func BeginsWithName(err error) bool {
	refusal, ok := err.(*Error) //nolint:errorlint // what wraps it begins otherwise
	return ok && refusal.named
}

// Insist is the cause of a refusal of what may be right after all: the option that has
// it recorded. On a terminal it is asked about.
type Insist string

// Error gives the words that insist.
func (i Insist) Error() string { return "If it is right, add --" + string(i) + "." }

// Unless makes a refusal one of what may be right, which an option insists on.
func (e *Error) Unless(option Insist) *Error {
	e.Hint = strings.TrimSpace(e.Hint + " " + option.Error())
	e.Cause = option
	return e
}

// CodeOf gives the class of any error: that of the refusal within it, and
// input for a value that could not be read.
func CodeOf(err error) Code {
	var refusal *Error
	if errors.As(err, &refusal) {
		return refusal.Code
	}
	return CodeInput
}

// Choice is one record that a name could mean.
type Choice struct{ ID, Tag, Name string }

// Ambiguous says that a name fits several records and lists them.
func Ambiguous(what What, query string, choices []Choice) *Error {
	var lines []string
	for i, c := range choices {
		if i == 8 {
			lines = append(lines, fmt.Sprintf("and %d more", len(choices)-i))
			break
		}
		lines = append(lines, strings.TrimSpace(c.label()+" "+c.Name))
	}
	return Refuse(CodeAmbiguous, "say which: "+strings.Join(lines, "; "),
		"%q could be any of %d %ss", Clean(query), len(choices), what.noun())
}

func (c Choice) label() string {
	if c.Tag != "" {
		return c.Tag
	}
	return c.ID
}

// Missing says that no record fits a name, and which of those there are is most
// like it.
func Missing(what What, query string, known ...string) *Error {
	hint := "`endsmeet list` shows what there is"
	switch what {
	case WhatProject, WhatPerson:
		hint = fmt.Sprintf("`endsmeet %s list` shows what there is", what)
	case WhatPiece:
		hint = "`endsmeet project list` shows the pieces with their projects"
	}
	return Refuse(CodeUnknown, DidYouMean(query, known)+hint, "no %s is called %q", what.noun(),
		Clean(query))
}
