package books

import (
	"bytes"
	"cmp"
	"io"
	"slices"
	"time"

	"endsmeet/stash"
)

// Ordered collects what is written of moves and gives it by day, what is of one
// day by when it was recorded, what is of one moment by the events. It holds the
// text and not the moves.
type Ordered struct {
	part  []byte // of the text, the last one
	items []written
}

// partSize is how much text is held in one piece, in bytes.
const partSize = 1 << 20

// written is the text of a move, and where it belongs.
type written struct {
	day, at moment
	id      [26]byte
	text    []byte
}

// moment is a time that can be compared and holds no pointer.
type moment struct {
	seconds int64
	nanos   int
}

func momentOf(t time.Time) moment { return moment{t.Unix(), t.Nanosecond()} }

func (m moment) compare(o moment) int {
	return cmp.Or(cmp.Compare(m.seconds, o.seconds), cmp.Compare(m.nanos, o.nanos))
}

// Add appends what is written of a move.
func (o *Ordered) Add(m Move, write func(text []byte) []byte) {
	if cap(o.part)-len(o.part) < partSize/16 {
		o.part = make([]byte, 0, partSize)
	}
	w := written{day: momentOf(m.Day), at: momentOf(m.Posting.Event.At)}
	id := m.Posting.Event.ID()
	stash.Base32.Encode(w.id[:], id[:])
	begin := len(o.part)
	o.part = write(o.part)
	w.text = o.part[begin:]
	o.items = append(o.items, w)
}

// WriteTo writes all of it.
func (o *Ordered) WriteTo(w io.Writer) (n int64, err error) {
	slices.SortStableFunc(o.items, func(a, b written) int {
		return cmp.Or(a.day.compare(b.day), a.at.compare(b.at), bytes.Compare(a.id[:], b.id[:]))
	})
	for _, x := range o.items {
		m, err := w.Write(x.text)
		if n += int64(m); err != nil {
			return n, err
		}
	}
	return n, nil
}
