package wif

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// palette holds the colours by their index. strict is set when the file has a
// table, so that an index outside it is a fault.
type palette struct {
	colours map[int]Colour
	strict  bool
}

// of returns the colour with an index.
func (p palette) of(index int) (Colour, bool) {
	if c, ok := p.colours[index]; ok {
		return c, true
	}
	return Colour{Index: index}, !p.strict
}

// palette reads [COLOR TABLE], scaled by the Range of [COLOR PALETTE]; without
// a Range, by the least of the usual ranges that holds every number.
func (s *scanner) palette() palette {
	p := palette{colours: make(map[int]Colour)}
	table := s.sections["color table"]
	if table == nil {
		return p
	}
	p.strict = true
	low, high := s.colourRange(table)
	if high <= low {
		return p
	}
	for _, key := range sortedKeys(table) {
		e := table.keys[key]
		index, err := strconv.Atoi(key)
		if err != nil || index < 0 || index > maxEntries {
			s.fault(e.line, "[color table]", key, "not the number of a colour",
				"the numbers of colours go from 1")
			continue
		}
		rgb, ok := triple(e.text)
		if !ok || slices.Min(rgb) < low || slices.Max(rgb) > high {
			s.fault(e.line, "[color table] "+key, e.text,
				fmt.Sprintf("not three numbers from %d to %d", low, high),
				"mend the line, or the Range in [COLOR PALETTE]")
			continue
		}
		p.colours[index] = Colour{Index: index, Hex: hex(rgb, low, high)}
	}
	return p
}

// sortedKeys returns a section's keys in the order of their lines, so that
// faults come in order.
func sortedKeys(sec *section) []string {
	keys := make([]string, 0, len(sec.keys))
	for key := range sec.keys {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, func(a, b string) int { return sec.keys[a].line - sec.keys[b].line })
	return keys
}

// colourRange reads Range=low,high.
func (s *scanner) colourRange(table *section) (low, high int) {
	e, ok := s.get("color palette", "range")
	if !ok {
		return guessRange(table)
	}
	n, ok := numbers(e.text)
	if !ok || len(n) != 2 || n[0] < 0 || n[1] <= n[0] || n[1] > 1<<24 {
		s.fault(e.line, "[color palette] range", e.text, "not two numbers, the lower first",
			`as in "Range=0,255"`)
		return 0, 0
	}
	return n[0], n[1]
}

// guessRange returns the least usual range that holds every colour.
func guessRange(table *section) (low, high int) {
	most := 0
	for _, e := range table.keys {
		if rgb, ok := triple(e.text); ok {
			most = max(most, slices.Max(rgb))
		}
	}
	for _, high := range []int{255, 999, 65535} {
		if most <= high {
			return 0, high
		}
	}
	return 0, most
}

// numbers reads whole numbers with commas between them.
func numbers(text string) ([]int, bool) {
	var out []int
	for part := range strings.SplitSeq(text, ",") {
		n, err := strconv.Atoi(strings.TrimSpace(part))
		if err != nil {
			return nil, false
		}
		out = append(out, n)
	}
	return out, true
}

func triple(text string) ([]int, bool) {
	n, ok := numbers(text)
	return n, ok && len(n) == 3
}

// hex scales a colour to 0–255, rounding half up.
func hex(rgb []int, low, high int) string {
	scale := func(v int) int { return (2*255*(v-low) + (high - low)) / (2 * (high - low)) }
	return fmt.Sprintf("#%02x%02x%02x", scale(rgb[0]), scale(rgb[1]), scale(rgb[2]))
}

// colours returns the colour of every thread: its own, else the side's.
func (s *scanner) colours(name string, threads int, p palette) []Colour {
	own := make([]Colour, threads)
	if e, ok := s.get(name, "color"); ok {
		common := s.colour(name, "color", e, p)
		for i := range own {
			own[i] = common
		}
	}
	sec := s.sections[name+" colors"]
	if sec == nil {
		return own
	}
	for _, key := range sortedKeys(sec) {
		e := sec.keys[key]
		thread, err := strconv.Atoi(key)
		if err != nil || thread < 1 || thread > threads {
			s.fault(e.line, "["+name+" colors]", key,
				fmt.Sprintf("there is no such thread among %d", threads),
				"mend the number, or Threads in ["+strings.ToUpper(name)+"]")
			continue
		}
		if e.text != "" {
			own[thread-1] = s.colour(name+" colors", key, e, p)
		}
	}
	return own
}

// colour reads an index, which may be followed by the colour itself.
func (s *scanner) colour(section, key string, e entry, p palette) Colour {
	first, _, _ := strings.Cut(e.text, ",")
	index, err := strconv.Atoi(strings.TrimSpace(first))
	if err != nil || index < 0 || index > maxEntries {
		s.fault(e.line, "["+section+"] "+key, e.text, "not the number of a colour", "mend the line")
		return Colour{}
	}
	c, ok := p.of(index)
	if !ok {
		s.fault(e.line, "["+section+"] "+key, e.text, "the palette has no such colour",
			"add it to [COLOR TABLE], or mend the line")
	}
	return c
}

// runs joins neighbouring threads of one colour.
func runs(colours []Colour) (out []Run) {
	for _, c := range colours {
		if n := len(out); n > 0 && out[n-1].Colour == c {
			out[n-1].Threads++
			continue
		}
		out = append(out, Run{Colour: c, Threads: 1})
	}
	return out
}

// counts adds up the threads of each colour, most first.
func counts(colours []Colour) (out []Run) {
	at := make(map[Colour]int)
	for _, c := range colours {
		i, ok := at[c]
		if !ok {
			i = len(out)
			at[c] = i
			out = append(out, Run{Colour: c})
		}
		out[i].Threads++
	}
	slices.SortFunc(out, func(a, b Run) int {
		if a.Threads != b.Threads {
			return b.Threads - a.Threads
		}
		return a.Colour.Index - b.Colour.Index
	})
	return out
}
