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
	text  []byte
	items []written
}

// written is where the text of a move lies, and where it belongs.
type written struct {
	day, at    moment
	id         [26]byte
	begin, end int
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
	w := written{day: momentOf(m.Day), at: momentOf(m.Posting.Event.At), begin: len(o.text)}
	id := m.Posting.Event.ID()
	stash.Base32.Encode(w.id[:], id[:])
	o.text = write(o.text)
	w.end = len(o.text)
	o.items = append(o.items, w)
}

// WriteTo writes all of it.
func (o *Ordered) WriteTo(w io.Writer) (n int64, err error) {
	slices.SortStableFunc(o.items, func(a, b written) int {
		return cmp.Or(a.day.compare(b.day), a.at.compare(b.at), bytes.Compare(a.id[:], b.id[:]))
	})
	for _, x := range o.items {
		m, err := w.Write(o.text[x.begin:x.end])
		if n += int64(m); err != nil {
			return n, err
		}
	}
	return n, nil
}
