package wif

import (
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"endsmeet/importers"
	"endsmeet/stash/measure"
)

// Colour is a colour of the palette, scaled to 0–255.
type Colour struct {
	Index int    `json:"index"` // in the file's palette; 0 when a thread names no entry
	Hex   string `json:"hex"`   // "#rrggbb"; "" when the file does not say
}

// Run is a number of neighbouring threads of one colour.
type Run struct {
	Colour  Colour `json:"colour"`
	Threads int    `json:"threads"`
}

// Side is the warp or the weft of a draft.
type Side struct {
	Threads  int   `json:"threads"`
	ByColour []Run `json:"by_colour"` // most threads first, then by index
	Stripes  []Run `json:"stripes"`   // in the order of the threads
	// threads per 1000 m; nil when the file does not say
	Sett    *measure.Sett `json:"sett,omitempty"`
	Spacing string        `json:"spacing,omitempty"`
	// shortest period of threading or treadling; 0 when not in the file
	Repeat int `json:"repeat"`
}

// Draft is what a file says.
type Draft struct {
	File  string   `json:"file"`
	Warp  Side     `json:"warp"`
	Weft  Side     `json:"weft"`
	Notes []string `json:"notes,omitempty"`
}

// Open reads a draft from a file.
func Open(path string) (*Draft, error) {
	if err := importers.CheckFile(path, maxFile); err != nil {
		return nil, err
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return Parse(path, f)
}

// Parse reads a draft; name is what errors call it. The error is a
// *importers.Problems with all faults found, or what r returned.
func Parse(name string, r io.Reader) (*Draft, error) {
	s, err := scan(name, r)
	if err != nil {
		return nil, err
	}
	d := &Draft{File: name}
	if s.sections["wif"] == nil && len(s.problems) == 0 {
		return nil, s.refuse(1, "", "no section [WIF]: this is no draft of this format",
			"export the draft as WIF 1.1")
	}
	if s.sections["wif"] == nil {
		return nil, &importers.Problems{List: s.problems}
	}
	palette := s.palette()
	d.Warp, d.Weft = s.side("warp", "threading", palette), s.side("weft", "treadling", palette)
	if d.Weft.Repeat == 0 {
		d.Weft.Repeat = s.repeat("liftplan", d.Weft.Threads)
	}
	d.Notes = append(s.dishonest(), s.notes...)
	if len(s.problems) > 0 {
		return nil, &importers.Problems{List: s.problems}
	}
	return d, nil
}

// dishonest says where [CONTENTS] and the sections differ. What is there counts.
func (s *scanner) dishonest() (notes []string) {
	contents := s.sections["contents"]
	if contents == nil {
		return nil
	}
	keys := make([]string, 0, len(contents.keys))
	for key := range contents.keys {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	for _, key := range keys {
		if !needed(key) {
			continue
		}
		said, there := truth(contents.keys[key].text), s.sections[key] != nil
		if said != there {
			notes = append(notes, fmt.Sprintf("[CONTENTS] says %v for [%s], which is %s", said,
				strings.ToUpper(key), map[bool]string{true: "there", false: "missing"}[there]))
		}
	}
	return notes
}

// truth reads the format's booleans.
func truth(text string) bool {
	switch strings.ToLower(text) {
	case "true", "on", "yes", "1":
		return true
	}
	return false
}

// side reads the warp or the weft.
func (s *scanner) side(name, pattern string, p palette) Side {
	side := Side{Threads: s.threads(name, pattern)}
	if side.Threads == 0 {
		return side
	}
	colours := s.colours(name, side.Threads, p)
	side.Stripes, side.ByColour = runs(colours), counts(colours)
	side.Sett, side.Spacing = s.sett(name, side.Threads)
	side.Repeat = s.repeat(pattern, side.Threads)
	return side
}

// threads returns how many threads a side has. Without Threads, the highest
// number in the threading (treadling, lift plan) stands for it.
func (s *scanner) threads(name, pattern string) int {
	if e, ok := s.get(name, "threads"); ok {
		return s.number(name, "threads", e, 0, maxThreads)
	}
	most := 0
	for _, section := range []string{pattern, map[string]string{"treadling": "liftplan"}[pattern]} {
		if sec := s.sections[section]; sec != nil {
			for key := range sec.keys {
				if n, err := strconv.Atoi(key); err == nil && n <= maxThreads {
					most = max(most, n)
				}
			}
		}
	}
	if most == 0 && s.silent(name, pattern) {
		s.notes = append(s.notes, "the draft says nothing of the "+name)
		return 0
	}
	if most == 0 {
		line := 0
		if sec := s.sections[name]; sec != nil {
			line = sec.line
		}
		s.fault(line, "["+name+"]", "", "the number of threads is not given",
			"add Threads= to the section ["+strings.ToUpper(name)+"]")
	}
	return most
}

// silent reports whether a draft has nothing of a side, and something of the
// other: a drawdown of the warp alone, say.
func (s *scanner) silent(name, pattern string) bool {
	for _, section := range []string{name, name + " colors", name + " spacing", pattern,
		map[string]string{"treadling": "liftplan"}[pattern]} {
		if s.sections[section] != nil {
			return false
		}
	}
	return s.sections[map[string]string{"warp": "weft", "weft": "warp"}[name]] != nil
}

// number reads a whole number within limits.
func (s *scanner) number(section, key string, e entry, low, high int) int {
	n, err := strconv.Atoi(e.text)
	if err != nil || n < low || n > high {
		s.fault(e.line, "["+section+"] "+key, e.text,
			fmt.Sprintf("not a whole number from %d to %d", low, high),
			"mend the line, or export the draft again")
		return 0
	}
	return n
}
