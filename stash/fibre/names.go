package fibre

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// qualities are words that say more about a fibre without being its name, and
// the fibre that they stand for when they stand alone; "" for none.
var qualities = map[string]ID{
	"merino": "wool", "superwash": "wool", "shetland": "wool", "bluefaced": "wool",
	"leicester": "wool", "corriedale": "wool",
	"romney": "wool", "jacob": "wool", "cheviot": "wool", "icelandic": "wool", "gotland": "wool",
	"falkland": "wool",
	"polwarth": "wool", "targhee": "wool", "wensleydale": "wool", "rambouillet": "wool",
	"non-superwash": "wool",
	"kid":           "", "baby": "", "superkid": "", "fine": "", "extrafine": "", "superfine": "",
	"extra": "", "coarse": "", "organic": "",
	"recycled": "", "raw": "", "bleached": "", "unbleached": "", "mercerised": "", "mercerized": "",
	"combed": "", "carded": "",
	"worsted": "", "woollen": "", "woolen": "", "line": "", "tow": "", "noil": "", "brushed": "",
	"pure": "", "virgin": "", "new": "",
}

// named finds the fibre that words name, and the words that only qualify it.
func named(typed []string) (row Fibre, quality []string, ok bool) {
	if row, quality, ok = wholly(strings.Join(typed, " ")); ok {
		return row, quality, true
	}
	var names []string
	stands := ID("")
	for _, w := range typed {
		id, known := qualities[w]
		if e := words().entries[fold(w)]; !known &&
			(e == nil || !e.qualifies || slices.ContainsFunc(e.senses, sense.isFibre)) {
			names = append(names, w)
			continue
		}
		quality = append(quality, w)
		if id != "" {
			stands = id
		}
	}
	if len(names) == 0 {
		row, ok = Lookup(string(stands))
		return row, quality, ok
	}
	row, more, ok := wholly(strings.Join(names, " "))
	return row, append(quality, more...), ok
}

// wholly finds the fibre of a name. What may be several fibres, or is a hazard
// and no fibre, is an unknown one that keeps the word; a trade word is kept too.
func wholly(name string) (row Fibre, quality []string, ok bool) {
	if row, ok := byName()[plainName(name)]; ok {
		return *row, nil, true
	}
	e := words().entries[fold(name)]
	switch {
	case e == nil || len(e.senses) == 0:
		return Fibre{}, nil, false
	case len(e.senses) > 1 || e.senses[0].fibre == "":
		return Unknown.Info(), []string{name}, true
	case e.trade:
		return e.senses[0].fibre.Info(), []string{name}, true
	}
	return e.senses[0].fibre.Info(), nil, true
}

// unknownName refuses a name and offers the nearest one.
func (r *reader) unknownName(at int, name string) error {
	hint := "`endsmeet help fibres` lists them; write \"unknown\" for one that is not known"
	if near, ok := Nearest(name); ok {
		hint = "did you mean " + near + "? " + hint
	}
	return r.fail(at, "no fibre is called "+quoted(name), hint)
}

// Nearest gives the name in the table that is nearest to a misspelt one: at most two
// letters apart, and at most a third of the name. Between equals the first in the
// alphabet wins.
func Nearest(name string) (string, bool) {
	name = plainName(name)
	names := slices.Collect(maps.Keys(byName()))
	for quality, id := range qualities {
		if id != "" {
			names = append(names, quality)
		}
	}
	slices.Sort(names)
	near := written.Near(name, names, min(2, utf8.RuneCountInString(name)/3))
	if len(near) == 0 {
		return "", false
	}
	return near[0], true
}

// inMicrons matches a fibre diameter in a note.
var inMicrons = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)(\d+(?:[.,]\d+)?)\s*(?:um|µm|μm|microns?)\b`)
})

// The finest and coarsest mean diameters that are believed: ultrafine wool is
// 11.5 um, coarse horsehair under 200.
const (
	finestNM   = 1_000
	coarsestNM = 500_000
)

// describe sets the diameter, the note and the doubt that a part was written
// with.
func (r *reader) describe(p *Part, d draft, quality []string) error {
	note := cleanNote(strings.Join(append(slices.Clone(quality), d.notes...), " "))
	if m := inMicrons().FindStringSubmatch(note); m != nil {
		d.diameter = m[1]
		note = strings.Replace(note, m[0], " ", 1)
	}
	p.Note = cleanNote(note)
	if inMicrons().MatchString(p.Note) {
		return r.fail(d.at, "two diameters stand at one fibre",
			"give one, or the fibre twice with its shares")
	}
	if err := r.short(p.Note, d.at); err != nil {
		return err
	}
	if d.diameter == "" {
		return nil
	}
	text := strings.Replace(d.diameter, ",", ".", 1)
	if strings.Contains(text, ".") {
		text += "0" // three digits are no thousands: none is so thick
	}
	nm, err := measure.ParseMass(text + "g") // thousandths, exactly
	if err != nil || nm < finestNM || nm > coarsestNM {
		return r.fail(d.at, "a fibre of "+d.diameter+" um is not believed",
			"give the mean diameter in um, from 1 to 500")
	}
	p.DiameterNM = int64(nm)
	return nil
}

// longestNote bounds a note, in runes.
const longestNote = 120

// cleanNote makes a note harmless: one line, no control characters, no
// brackets, no loose commas at its ends.
func cleanNote(note string) string {
	note = strings.Map(func(c rune) rune {
		switch {
		case unicode.IsSpace(c):
			return ' '
		case !unicode.IsPrint(c) || c == '(' || c == ')':
			return -1
		}
		return c
	}, note)
	return strings.Trim(strings.Join(strings.Fields(note), " "), " ,;")
}

// short refuses a note that is too long to be kept whole: no word of it is cut off.
func (r *reader) short(note string, at int) error {
	if n := len([]rune(note)); n > longestNote {
		return r.fail(at, fmt.Sprintf("what is written after the fibre has %d characters, and %d are kept", n, longestNote), "put the rest into the note of the yarn")
	}
	return nil
}

// quoted quotes a word for a message, cut short.
func quoted(s string) string {
	if runes := []rune(s); len(runes) > 20 {
		s = string(runes[:20]) + "…"
	}
	return strconv.Quote(s)
}
