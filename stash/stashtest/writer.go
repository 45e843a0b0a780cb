package stashtest

import (
	"crypto/ed25519"
	"encoding/json"
	"fmt"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// Writer writes a lane by hand: what a newer version, or a replica gone
// astray, may write and this one would not.
type Writer struct {
	in    sqlite.Incoming
	clock stash.Clock
}

// NewWriter begins a lane; writers with different seeds write different ones.
func NewWriter(seed uint64) *Writer {
	ids := CountingIDs(seed << 32)
	key := make([]byte, ed25519.SeedSize)
	ids.Bytes(key)
	public := ed25519.NewKeyFromSeed(key).Public().(ed25519.PublicKey)
	return &Writer{in: sqlite.Incoming{Lane: ids.Lane(), Key: public, First: 1},
		clock: stash.ClockAt(Start)}
}

// Raw appends a line verbatim and gives the event.
func (w *Writer) Raw(raw []byte) stash.Event {
	e := stash.Event{Lane: w.in.Lane, Seq: int64(len(w.in.Lines)) + 1,
		Chain: stash.NextChain(w.in.Chain, w.in.Lane, raw), Raw: raw}
	e.Line, _ = stash.DecodeLine(raw)
	w.in.Lines, w.in.Chain = append(w.in.Lines, raw), e.Chain
	return e
}

// Line appends a line, filling in version, clock and time where they are zero.
func (w *Writer) Line(l stash.Line) stash.Event {
	w.clock = w.clock.Next(Start)
	if l.Version == 0 {
		l.Version = stash.LineVersion
	}
	if l.Clock == 0 {
		l.Clock = w.clock
	}
	if l.At.IsZero() {
		l.At = Start.Add(time.Duration(len(w.in.Lines)) * time.Minute)
	}
	raw, err := stash.EncodeLine(l)
	if err != nil {
		panic(fmt.Sprintf("a test's own line: %v", err))
	}
	return w.Raw(raw)
}

// Run is all that was written so far.
func (w *Writer) Run() sqlite.Incoming { return w.in }

// Fork is another writer of the same lane, which goes on from here.
func (w *Writer) Fork() *Writer {
	fork := *w
	fork.in.Lines = append([][]byte(nil), w.in.Lines...)
	return &fork
}

// JSON encodes a value that a test made itself.
func JSON(v any) json.RawMessage {
	raw, err := json.Marshal(v)
	if err != nil {
		panic(fmt.Sprintf("a test's own value: %v", err))
	}
	return raw
}
