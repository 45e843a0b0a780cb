package show

import (
	"bytes"
	"io"
	"regexp"
	"slices"
	"strings"
	"sync"
)

// Sink is what a command writes its answer to. It remembers that writing failed,
// so that the stash is not blamed for it; on a screen it breaks what is too wide,
// and for --plain it says signs in words.
type Sink struct {
	W   io.Writer
	err error
	// columns is how wide a screen it is; 0 is none.
	Columns int
	// plain says that nothing is drawn or set in columns, for somebody who listens.
	Plain bool
	// Terminal says that it is one: what is wider than it is broken by it, too.
	Terminal bool
	// Colour says that words may be coloured, which a terminal shows.
	Colour bool
	// Comma says that decimals are written with one.
	Comma bool
	// held is the beginning of a line.
	held []byte
}

// Write implements io.Writer.
func (s *Sink) Write(p []byte) (int, error) {
	if s.Columns == 0 && !s.Plain && !s.Comma && !s.Terminal && !s.Colour {
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

// Close writes a last line that has no end.
func (s *Sink) Close() {
	if len(s.held) > 0 {
		_ = s.put([]byte(strings.TrimSuffix(s.fitted(string(s.held)), "\n")))
		s.held = nil
	}
}

func (s *Sink) put(p []byte) error {
	_, err := s.W.Write(p)
	if err != nil && s.err == nil {
		s.err = err
	}
	return err
}

// Document is where a document goes that is not for a screen to lay out: JSON, a
// page, a script.
func Document(w io.Writer) io.Writer {
	s, ok := w.(*Sink)
	if !ok {
		return w
	}
	return writer(func(p []byte) (int, error) { return len(p), s.put(p) })
}

// writer is a function as an io.Writer.
type writer func([]byte) (int, error)

// Write implements io.Writer.
func (w writer) Write(p []byte) (int, error) { return w(p) }

// IsPlain says whether what is written to w is for somebody who listens.
func IsPlain(w io.Writer) bool {
	s, ok := w.(*Sink)
	return ok && s.Plain
}

// fitted is a line as the screen can show it, with its end.
func (s *Sink) fitted(line string) string {
	broken := s.broken(line)
	lines := strings.SplitAfter(broken, "\n")
	for i, one := range lines {
		text, end := strings.TrimSuffix(one, "\n"), one[len(strings.TrimSuffix(one, "\n")):]
		if text = s.kept(text); s.Colour && !s.Plain {
			text = coloured(text)
		}
		lines[i] = text + end
	}
	return strings.Join(lines, "")
}

// broken is a line broken to the width of the screen, with its end.
func (s *Sink) broken(line string) string {
	if s.Plain {
		line = spoken(line)
	}
	if s.Columns == 0 || Cells(line) <= s.Columns {
		return line + "\n"
	}
	text := strings.TrimLeft(line, " ")
	front := line[:len(line)-len(text)]
	indent := front + "  "
	if len(front) > s.Columns/2 {
		front, indent = "", "  "
	}
	if m := typedCommand().FindStringSubmatch(text); m != nil {
		return ownLine(front, m[1], m[2], indent, s.Columns)
	}
	if m := besideWord().FindStringSubmatchIndex(line); m != nil && m[4] <= s.Columns/2 {
		front := line[:m[4]]
		hung := strings.Repeat(" ", Cells(front))
		text := Wrap(line[len(front):], hung, s.Columns)
		if !slices.ContainsFunc(strings.Split(text, "\n"), s.tooWide) {
			return front + strings.TrimPrefix(text, hung)
		}
	}
	first, more, _ := strings.Cut(Wrap(text, front, s.Columns), "\n")
	return first + "\n" + Wrap(more, indent, s.Columns)
}

func (s *Sink) tooWide(line string) bool { return Cells(line) > s.Columns }

// typedCommand matches a command that a person may paste, with what leads to it.
var typedCommand = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(?:(.*?[:?]) )?((?:\$ )?endsmeet [a-z-].*)$`)
})

// ownLine puts a command on a line of its own. It is not broken: what is copied
// from a terminal that breaks it is whole.
func ownLine(front, lead, command, indent string, columns int) string {
	if lead == "" {
		return front + command + "\n"
	}
	return HangingBy(front+lead, indent, columns+1) + indent + command + "\n"
}

// signs are what a person who listens hears in the place of a sign.
var signs = strings.NewReplacer(" ± ", " give or take ", "± ", "give or take ", "±:",
	"give or take:", " × ", " by ", "°C", "degrees C", "…", "...", "µ", "u")

var moreThan = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(^|[ (])>([0-9])`)
})

var lessThan = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(^|[ (])<([0-9])`)
})

var andMore = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(` \+([0-9]+)\b`)
})

// besideWord matches what stands beside a word, in a column of its own.
var besideWord = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^( *[^ ].*?):?  +([^ ])`)
})

// spoken is a line with its signs in words, that goes on in no column.
func spoken(line string) string {
	if text := strings.TrimLeft(line, " "); len(line)-len(text) > 2 {
		line = "  " + text
	}
	line = besideWord().ReplaceAllString(signs.Replace(line), "$1: $2")
	line = moreThan().ReplaceAllString(line, "${1}more than $2")
	line = lessThan().ReplaceAllString(line, "${1}less than $2")
	return andMore().ReplaceAllString(line, " and $1 more")
}

// The narrowest and the widest screen that answers are made for.
const (
	LeastColumns = 40
	MostColumns  = 120
	UsualColumns = 80 // where nothing tells
)

// columnsOf is how wide what is written to w may be.
func columnsOf(w io.Writer) int {
	if out, ok := w.(*Sink); ok && out.Plain {
		return 0
	} else if ok {
		return out.Columns
	}
	return UsualColumns
}

// Blame gives what went wrong: the writing, where that failed, else err.
func (s *Sink) Blame(path string, err error) error {
	if s.err != nil {
		return Unwritable(path, s.err)
	}
	return err
}

// PageWidth is how wide a page of help may be.
const PageWidth = 79
