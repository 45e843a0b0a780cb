package importers

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"sort"
	"strconv"
	"strings"

	"endsmeet/stash/measure"
)

// Identity knows a row again. Key stays the same when the row's quantities are
// changed; Content is different as soon as anything that was read differs. So
// a Key that is not known is a new row, a known Key with another Content is a
// changed one, and with the same Content there is nothing to do.
//
// Key is made from Options.Scope and the sheet's own number of the row, if a
// column holds one; else from name, maker, lot, colour and form and how many
// rows above were alike in these. Neither depends on the file's name, on the
// order of the columns, on how numbers are written or on letter case.
type Identity struct {
	Key     string `json:"key"`
	Content string `json:"content"`
}

// idBytes is how much of a hash is kept: 128 bits, which two of a million rows
// share with a chance below one in 10^26.
const idBytes = 16

type hashID [idBytes]byte

func hashOf(text []byte) hashID {
	sum := sha256.Sum256(text)
	return hashID(sum[:idBytes])
}

// identities hands out the identities of one run over a table.
type identities struct {
	scope string
	times map[hashID]int32 // rows so far with these words; for own numbers, the line
	buf   []byte
}

// of returns the record's identity. first is the line that bears the same
// number of its own already, 0 if none does.
func (ids *identities) of(r *Record) (id Identity, first int) {
	b := appendPart(ids.buf[:0], ids.scope)
	own := r.Ref != ""
	if own {
		b = appendPart(appendPart(b, "id"), fold(r.Ref))
	} else {
		for _, part := range []string{"row", r.Name, r.Maker, r.Lot, r.Colour, r.Packages.Form} {
			b = appendPart(b, fold(part))
		}
	}
	key := hashOf(b)
	before := ids.times[key]
	if own {
		ids.times[key] = int32(r.Line)
		first = int(before)
	} else {
		ids.times[key] = before + 1
		key = hashOf(appendPart(b, strconv.Itoa(int(before)+1)))
	}
	b = r.appendContent(b[:0])
	content := hashOf(b)
	ids.buf = b
	return Identity{Key: hex.EncodeToString(key[:]), Content: hex.EncodeToString(content[:])}, first
}

// fold spells text without regard to letter case and to spaces.
func fold(text string) string { return strings.ToLower(strings.Join(strings.Fields(text), " ")) }

// appendPart appends text with its length, so that no two lists of parts run
// together to the same bytes.
func appendPart(b []byte, text string) []byte {
	b = strconv.AppendInt(b, int64(len(text)), 10)
	b = append(b, ':')
	return append(b, text...)
}

// appendContent appends everything that was read, in a fixed order.
func (r *Record) appendContent(b []byte) []byte {
	for _, text := range []string{r.Ref, r.Name, r.Maker, r.Colour, r.Fibre, r.Construction,
		r.CountSource, r.Lot, r.Bin, string(r.Warp), r.WarpText, r.Care} {
		b = appendPart(b, text)
	}
	b = appendNumber(b, int64(r.Count.Count))
	for _, m := range []*measure.Mass{r.LabelMass, r.Gross, r.Tare, r.Net} {
		b = appendOptional(b, m)
	}
	b = appendOptional(b, r.LabelLength)
	b = appendOptional(b, r.Length)
	b = appendOptional(b, r.Doubt)
	b = appendOptional(b, r.Shedding)
	b = r.Packages.appendContent(b)
	if r.Acquired != nil {
		b = appendPart(appendPart(b, r.Acquired.String()), r.Acquired.Note)
	}
	if r.Weighed != "" {
		b = appendPart(b, "weighed "+r.Weighed)
	}
	if r.Price != nil {
		b = appendPart(appendPart(appendPart(b, r.Price.Amount), string(r.Price.Per)),
			r.Price.Currency)
	}
	return r.appendLists(b)
}

// appendLists appends flags, notes and plain facts; notes in the order of their
// headings and facts in that of their names, since columns may be moved.
func (r *Record) appendLists(b []byte) []byte {
	for _, f := range r.Flags {
		b = appendPart(b, f)
	}
	notes := append([]Note(nil), r.Notes...)
	sort.SliceStable(notes, func(i, j int) bool { return notes[i].Heading < notes[j].Heading })
	for _, n := range notes {
		b = appendPart(appendPart(b, n.Heading), n.Text)
	}
	byName := func(x, y Fact) int { return strings.Compare(x.Name, y.Name) }
	for _, f := range slices.SortedFunc(slices.Values(r.Facts), byName) {
		b = appendPart(appendPart(b, f.Name), string(f.Value))
	}
	return b
}

func (p *Packages) appendContent(b []byte) []byte {
	b = appendPart(appendPart(appendPart(b, p.Form), p.Whole), p.Note)
	b = appendNumber(appendNumber(b, int64(p.Number)), int64(p.Last))
	b = strconv.AppendBool(b, p.Part)
	for _, m := range p.Masses {
		b = appendNumber(b, int64(m))
	}
	return b
}

func appendNumber(b []byte, n int64) []byte {
	return append(strconv.AppendInt(append(b, '#'), n, 10), ';')
}

// appendOptional appends a value or that there is none.
func appendOptional[T ~int64 | ~int](b []byte, v *T) []byte {
	if v == nil {
		return append(b, '-', ';')
	}
	return appendNumber(b, int64(*v))
}
