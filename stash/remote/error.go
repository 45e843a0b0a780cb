package remote

import (
	"errors"
	"fmt"
	"io/fs"
	"net/url"
)

// Kind is the class of an error, for the code that decides what happens next.
// A Kind is itself an error, so that errors.Is(err, remote.NotFound) works.
type Kind int

// The kinds. Only add at the end.
const (
	NotFound Kind = iota + 1 // no such object is to be seen now
	Retry                    // could not be asked or could not answer; the same call later is right
	Full                     // no room, or a quota is used up
	ReadOnly                 // the place is mounted or opened for reading only
	Denied                   // no credentials, wrong credentials, or no right to do this
	// the folder, bucket or server is not there: unplugged, not mounted, misspelt
	NoPlace
	Invalid // a name or prefix outside the grammar; the caller's mistake
	Refused // any other refusal that will not go away by itself
)

var kindTexts = map[Kind]string{
	NotFound: "not found",
	Retry:    "try again later",
	Full:     "no room left",
	ReadOnly: "read only",
	Denied:   "not allowed",
	NoPlace:  "the shared place is not there",
	Invalid:  "not a valid name",
	Refused:  "refused",
}

// Error returns the kind in words.
func (k Kind) Error() string {
	if text, ok := kindTexts[k]; ok {
		return text
	}
	return fmt.Sprintf("unknown kind of error %d", int(k))
}

// Error is what a Remote answers when it could not do what was asked.
type Error struct {
	Kind   Kind
	Op     string // what was tried: "put", "get", "list", "delete", "open"
	Object string // the name or prefix, "" for the place as a whole
	Place  string // the folder or bucket, without credentials
	Cause  error  // what the system or server said; may be nil
	Hint   string // what the person can do; may be empty
}

// Error says what was tried, where, and what went wrong. The hint is apart.
func (e *Error) Error() string {
	text := e.Op
	if e.Object != "" {
		text += " " + e.Object
	}
	if e.Place != "" {
		text += " in " + e.Place
	}
	text += ": " + e.Kind.Error()
	if e.Cause != nil {
		text += ": " + CauseText(e.Cause)
	}
	return text
}

// CauseText is what the system or server said, without the call and the path or
// address that the error names itself.
func CauseText(err error) string {
	switch inner := err.(type) { //nolint:errorlint // only where it is the outermost
	case *fs.PathError:
		return inner.Err.Error()
	case *url.Error:
		return inner.Err.Error()
	}
	return err.Error()
}

// Unwrap returns the kind and the cause.
func (e *Error) Unwrap() []error {
	if e.Cause == nil {
		return []error{e.Kind}
	}
	return []error{e.Kind, e.Cause}
}

// KindOf returns the kind of err: that of the *Error in its chain, zero for
// nil, and Refused for an error that is none of this package's, a cancelled
// context among them (look at the context first).
func KindOf(err error) Kind {
	if err == nil {
		return 0
	}
	var own *Error
	if errors.As(err, &own) {
		return own.Kind
	}
	return Refused
}

func invalid(what, text, wrong string) *Error {
	return &Error{Kind: Invalid, Op: "check", Object: fmt.Sprintf("%s %q", what, text),
		Cause: errors.New(wrong)}
}
