package wif

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"endsmeet/importers"
)

// Limits of a draft. The widest looms have some thousands of ends.
const (
	maxFile    = 16 << 20
	maxThreads = 100_000
	maxEntries = 65_536 // colours
	maxFaults  = 100
)

// entry is a key's value and its line.
type entry struct {
	text string
	line int
}

// section is a section's entries by their keys in lower case.
type section struct {
	line int
	keys map[string]entry
}

// scanner reads a file into sections and gathers faults.
type scanner struct {
	file     string
	sections map[string]*section
	problems []*importers.Problem
	notes    []string
}

// scan reads a whole file. Lines that are neither comment, section nor
// key=value are faults.
func scan(name string, r io.Reader) (*scanner, error) {
	raw, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	if err != nil {
		return nil, err
	}
	s := &scanner{file: name, sections: make(map[string]*section)}
	if len(raw) > maxFile {
		return nil, s.refuse(0, "", fmt.Sprintf("the file is larger than %d MB", maxFile>>20),
			"check that it is a draft")
	}
	text := strings.TrimPrefix(string(raw), "\uFEFF")
	if i := strings.IndexByte(text, 0); i >= 0 {
		return nil, s.refuse(1+strings.Count(text[:i], "\n"), "", "a NUL byte: this is no text",
			"export the draft as WIF")
	}
	if !utf8.ValidString(text) {
		if text, err = charmap.Windows1252.NewDecoder().String(text); err != nil {
			return nil, s.refuse(0, "", "text in no encoding that is known here",
				"export the draft as WIF again")
		}
	}
	s.lines(text)
	return s, nil
}

func (s *scanner) refuse(line int, value, reason, hint string) error {
	return &importers.Problems{List: []*importers.Problem{{File: s.file, Line: line, Value: value,
		Reason: reason, Hint: hint}}}
}

// fault gathers a problem; beyond maxFaults they are let go.
func (s *scanner) fault(line int, header, value, reason, hint string) {
	if len(s.problems) < maxFaults {
		s.problems = append(s.problems, &importers.Problem{File: s.file, Line: line, Header: header,
			Value: value, Reason: reason, Hint: hint})
	}
}

func (s *scanner) lines(text string) {
	text = strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n")
	var current *section
	name, number := "", 0
	for line := range strings.SplitSeq(text, "\n") {
		number++
		line = strings.TrimSpace(line)
		switch {
		case line == "" || line[0] == ';' || line[0] == '#':
		case line[0] == '[':
			if name, current = s.open(line, number); current == nil {
				return
			}
		case current == nil:
			s.fault(number, "", line, "text before the first section", "a draft begins with [WIF]")
			return
		default:
			s.entry(current, name, line, number)
		}
	}
}

// open begins a section. A section that stands twice goes on where it ended.
func (s *scanner) open(line string, number int) (string, *section) {
	name, _, ok := strings.Cut(line[1:], "]")
	if !ok {
		s.fault(number, "", line, "a section's name is not closed by ]",
			"the file may be cut off; export it again")
		return "", nil
	}
	name = strings.ToLower(strings.Join(strings.Fields(name), " "))
	sec := s.sections[name]
	if sec == nil {
		sec = &section{line: number, keys: make(map[string]entry)}
		s.sections[name] = sec
	}
	return name, sec
}

// entry reads KEY=VALUE. Sections of free text may hold anything.
func (s *scanner) entry(sec *section, name, line string, number int) {
	key, value, ok := strings.Cut(line, "=")
	if !ok {
		if needed(name) {
			s.fault(number, "["+name+"]", line, "a line that is not KEY=VALUE",
				"the file may be damaged; export it again")
		}
		return
	}
	key = strings.ToLower(strings.Join(strings.Fields(key), " "))
	value, _, _ = strings.Cut(value, ";")
	value = strings.TrimSpace(value)
	if before, twice := sec.keys[key]; twice && before.text != value && needed(name) {
		s.fault(number, "["+name+"]", line, fmt.Sprintf("%s has another value on line %d", key,
			before.line), "delete one of them")
		return
	}
	sec.keys[key] = entry{value, number}
}

// needed reports whether a section is one that is read.
func needed(name string) bool {
	switch name {
	case "weaving", "warp", "weft", "color palette", "color table", "warp colors", "weft colors",
		"warp spacing", "weft spacing", "threading", "treadling", "liftplan":
		return true
	}
	return false
}

// get returns an entry, if it is there and not empty.
func (s *scanner) get(section, key string) (entry, bool) {
	sec := s.sections[section]
	if sec == nil {
		return entry{}, false
	}
	e, ok := sec.keys[key]
	return e, ok && e.text != ""
}
