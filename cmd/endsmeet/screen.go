package main

import (
	"bytes"
	"io"
	"regexp"
	"strings"
)

// sink is what a command writes its answer to. It remembers that writing failed,
// so that the stash is not blamed for it; on a screen it breaks what is too wide,
// and for --plain it says signs in words.
type sink struct {
	w   io.Writer
	err error
	// columns is how wide a screen it is; 0 is none.
	columns int
	// plain says that nothing is drawn or set in columns, for who listens.
	plain bool
	// held is the beginning of a line.
	held []byte
}

// Write implements io.Writer.
func (s *sink) Write(p []byte) (int, error) {
	if s.columns == 0 && !s.plain {
		return len(p), s.put(p)
	}
	s.held = append(s.held, p...)
	for {
		i := bytes.IndexByte(s.held, '\n')
		if i < 0 {
			return len(p), s.err
		}
		line := string(s.held[:i])
		s.held = s.held[i+1:]
		if err := s.put([]byte(s.fitted(line))); err != nil {
			return len(p), err
		}
	}
}

// close writes a last line that has no end.
func (s *sink) close() {
	if len(s.held) > 0 {
		_ = s.put([]byte(strings.TrimSuffix(s.fitted(string(s.held)), "\n")))
		s.held = nil
	}
}

func (s *sink) put(p []byte) error {
	_, err := s.w.Write(p)
	if err != nil && s.err == nil {
		s.err = err
	}
	return err
}

// document is where a document goes that is not for a screen to lay out: JSON, a
// page, a script.
func document(w io.Writer) io.Writer {
	s, ok := w.(*sink)
	if !ok {
		return w
	}
	return writer(func(p []byte) (int, error) { return len(p), s.put(p) })
}

// writer is a function as an io.Writer.
type writer func([]byte) (int, error)

// Write implements io.Writer.
func (w writer) Write(p []byte) (int, error) { return w(p) }

// isPlain says whether what is written to w is for somebody who listens.
func isPlain(w io.Writer) bool {
	s, ok := w.(*sink)
	return ok && s.plain
}

// fitted is a line as the screen can show it, with its end.
func (s *sink) fitted(line string) string {
	if s.plain {
		line = spoken(line)
	}
	if s.columns == 0 || cells(line) <= s.columns {
		return line + "\n"
	}
	text := strings.TrimLeft(line, " ")
	front := line[:len(line)-len(text)]
	indent := front + "  "
	if len(front) > s.columns/2 {
		front, indent = "", "  "
	}
	if m := typedCommand.FindStringSubmatch(text); m != nil {
		return ownLine(front, m[1], m[2], indent)
	}
	first, more, _ := strings.Cut(wrap(text, front, s.columns), "\n")
	return first + "\n" + wrap(more, indent, s.columns)
}

// typedCommand matches a command that a person may paste, with what leads to it.
var typedCommand = regexp.MustCompile(`^(?:(.*?[:?]) )?((?:\$ )?endsmeet [a-z-].*)$`)

// ownLine puts a command on a line of its own. It is not broken: what is copied
// from a terminal that breaks it is whole.
func ownLine(front, lead, command, indent string) string {
	if lead == "" {
		return front + command + "\n"
	}
	return front + lead + "\n" + indent + command + "\n"
}

// signs are what a person who listens hears in the place of a sign.
var signs = strings.NewReplacer(" ± ", " give or take ", "± ", "give or take ", "±:",
	"give or take:", " × ", " by ", "°C", "degrees C", "…", "...", "µ", "u")

var moreThan = regexp.MustCompile(`(^|[ (])>([0-9])`)
var lessThan = regexp.MustCompile(`(^|[ (])<([0-9])`)
var andMore = regexp.MustCompile(` \+([0-9]+)\b`)

// besideWord matches what stands beside a word, in a column of its own.
var besideWord = regexp.MustCompile(`^( *[^ ].*?):?  +([^ ])`)

// spoken is a line with its signs in words.
func spoken(line string) string {
	line = besideWord.ReplaceAllString(signs.Replace(line), "$1: $2")
	line = moreThan.ReplaceAllString(line, "${1}more than $2")
	line = lessThan.ReplaceAllString(line, "${1}less than $2")
	return andMore.ReplaceAllString(line, " and $1 more")
}
