package intake

import (
	"hash/fnv"
	"strings"

	"endsmeet/importers"
)

// Names decides which part of a name is the yarn and which the colour. Rows are
// added first, then asked about.
type Names struct {
	bases map[uint64]*base
	plain map[uint64]struct{} // names of rows that say no colour with it
	known func(name string) bool
}

// base is the part of names before their last comma.
type base struct {
	tail, yarn uint64 // of the first row: hashes of its tail and of what tells its yarn apart
	tails      bool   // there are several tails
	mixed      bool   // the rows are of several yarns
}

// NewNames starts a decision. Known says whether a yarn of a name was in the
// stash before; Split may ask it from another goroutine than Add.
func NewNames(known func(name string) bool) *Names {
	return &Names{bases: map[uint64]*base{}, plain: map[uint64]struct{}{}, known: known}
}

// Add looks at a row's name.
func (n *Names) Add(r *importers.Record) {
	head, tail, ok := cutColour(r)
	if !ok {
		n.plain[hash(r.Name)] = struct{}{}
		return
	}
	b := n.bases[hash(head)]
	if b == nil {
		n.bases[hash(head)] = &base{tail: hash(tail), yarn: signOf(r)}
		return
	}
	b.tails = b.tails || b.tail != hash(tail)
	b.mixed = b.mixed || b.yarn != signOf(r)
}

// Split gives the name of the yarn and the colour of a row.
func (n *Names) Split(r *importers.Record) (yarn, colour string) {
	head, tail, ok := cutColour(r)
	if !ok {
		return r.Name, r.Colour
	}
	b := n.bases[hash(head)]
	if b != nil && b.tails && !b.mixed || (b == nil || !b.mixed) && n.there(head) {
		return head, tail
	}
	return r.Name, ""
}

// there says whether a yarn of a name is in the stash, or in the sheet.
func (n *Names) there(name string) bool {
	_, plain := n.plain[hash(name)]
	return plain || n.known(name)
}

// cutColour cuts a name at its last comma outside brackets. A tail with a digit
// is no colour.
func cutColour(r *importers.Record) (head, tail string, ok bool) {
	if r.Colour != "" {
		return "", "", false
	}
	i := strings.LastIndexByte(r.Name, ',')
	if i < 1 || strings.IndexByte(r.Name[i:], ')') >= 0 {
		return "", "", false
	}
	head, tail = strings.TrimSpace(r.Name[:i]), strings.TrimSpace(r.Name[i+1:])
	return head, tail, head != "" && tail != "" && !strings.ContainsAny(tail, "0123456789")
}

// signOf tells rows of different yarns apart.
func signOf(r *importers.Record) uint64 {
	return hash(r.Content.String(), r.Count.Count.String(), r.Maker)
}

// hash is of texts without regard to letter case.
func hash(texts ...string) uint64 {
	h := fnv.New64a()
	for _, t := range texts {
		_, _ = h.Write([]byte(strings.ToLower(t)))
		_, _ = h.Write([]byte{0})
	}
	return h.Sum64()
}
