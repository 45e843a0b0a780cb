package stash

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"time"

	jsonv2 "github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	jsonv1 "github.com/go-json-experiment/json/v1"
)

// LineVersion is the version of the line format that this program writes.
const LineVersion = 1

// Kind names what happened.
type Kind string

// Line is the content of one event, written once as a line of JSON. A
// reader keeps fields that it does not know, because the raw line is what is
// stored and passed on.
type Line struct {
	// Version is the format of the line and its body.
	Version int `json:"v"`
	// Clock is the hybrid logical clock of the writer.
	Clock Clock `json:"hlc"`
	// At is when it happened in the workshop, to the millisecond.
	At time.Time `json:"at"`
	// Meant is when it happened, as said or by the machine's clock, where At was put
	// behind an entry that is dated ahead of that clock.
	Meant time.Time `json:"meant,omitzero"`
	// Kind says what happened, and so what Body holds.
	Kind Kind `json:"kind"`
	// Of is the subject.
	Of Subject `json:"of"`
	// Act joins the events of one command; empty in the first of them.
	Act Act `json:"act,omitempty"`
	// Once is the caller's key that makes a repeated command do nothing; it is
	// in the first event of an act.
	Once string `json:"once,omitempty"`
	// OnceFor is the command that the key is bound to: its words and a hash of
	// all that was given to it.
	OnceFor string `json:"once_for,omitempty"`
	// Replaces holds the ids of the values, or of the last movements of the
	// package, that the writer saw and that this event takes the place of.
	Replaces []EventID `json:"replaces,omitempty"`
	// Body is the kind's own content.
	Body json.RawMessage `json:"body,omitempty"`
}

// Event is a line in its place: which lane, where in it, under which hash.
type Event struct {
	Lane  Lane
	Seq   int64
	Chain Chain
	Line
	// Raw is the line verbatim, without a line end.
	Raw []byte
}

// ID is the event's id.
func (e Event) ID() EventID { return e.Chain.ID() }

// ActOf is the act that the event belongs to: the one it names, or the one
// that it begins.
func (e Event) ActOf() Act {
	if e.Act != "" {
		return e.Act
	}
	return Act(e.ID().String())
}

// NextChain is the hash of a raw line after previous in lane:
// SHA-256(previous, lane, length of the line in 8 bytes big-endian, line).
// The first event of a lane follows the zero chain.
func NextChain(previous Chain, lane Lane, raw []byte) Chain {
	h := sha256.New()
	h.Write(previous[:])
	h.Write([]byte(lane))
	var n [8]byte
	binary.BigEndian.PutUint64(n[:], uint64(len(raw)))
	h.Write(n[:])
	h.Write(raw)
	return Chain(h.Sum(nil))
}

// EncodeLine writes a line as JSON without a line end. It fails only for a
// body that JSON cannot hold.
func EncodeLine(l Line) ([]byte, error) {
	raw, err := jsonv2.Marshal(l, jsonv1.DefaultOptionsV1(), jsontext.EscapeForHTML(false))
	if err != nil {
		return nil, fmt.Errorf("event %s of %s: %w", l.Kind, l.Of, err)
	}
	return raw, nil
}

// DecodeLine reads a raw line. A line that is not an object of the known
// outer shape, or has no kind or subject, is an error; unknown fields, kinds
// and versions are not.
func DecodeLine(raw []byte) (Line, error) {
	var l Line
	if err := jsonv2.Unmarshal(raw, &l); err != nil {
		return Line{}, fmt.Errorf("event line: %w", err)
	}
	if l.Kind == "" || l.Of == "" || l.Version < 1 {
		return Line{}, fmt.Errorf("event line without version, kind or subject")
	}
	return l, nil
}

// Order compares two events by when they happened in the workshop (to the
// millisecond, as Place does), then clock, lane, sequence and hash: the order
// of the fold.
func Order(a, b Event) int {
	return cmp.Or(
		cmp.Compare(a.At.UnixMilli(), b.At.UnixMilli()),
		cmp.Compare(a.Clock, b.Clock),
		cmp.Compare(a.Lane, b.Lane),
		cmp.Compare(a.Seq, b.Seq),
		bytes.Compare(a.Chain[:], b.Chain[:]),
	)
}

// Draft is an event that a command wishes to record. The store gives it its
// lane, sequence, clock and hash.
type Draft struct {
	Kind     Kind
	Of       Subject
	At       time.Time
	Replaces []EventID
	// Private drafts go to the lane that holds what is told about people.
	Private bool
	Body    any
}
