package stash

import (
	"crypto/rand"
	"encoding/base32"
	"fmt"
)

// Base32 is the lower-case alphabet [a-z2-7] without padding in which lanes,
// event ids and subject ids are written.
var Base32 = base32.NewEncoding("abcdefghijklmnopqrstuvwxyz234567").WithPadding(base32.NoPadding)

// Lane names the sequence of events that one replica writes: 120 random bits.
type Lane string

// Subject is the id of anything that events speak of.
type Subject string

// The ids of the several kinds of subject, kept apart by the compiler.
type (
	YarnID    Subject
	PackageID Subject
	ProjectID Subject
	PieceID   Subject
	PersonID  Subject
)

// Act groups the events that one command recorded, and is named by the id of
// the first of them.
type Act string

// Chain is the full hash of an event over all that its lane held before it.
type Chain [32]byte

// EventID is the first 16 bytes of an event's chain hash.
type EventID [16]byte

// ID shortens the chain hash to the event's id.
func (c Chain) ID() EventID { return EventID(c[:16]) }

// String writes the id in 26 characters of base32.
func (id EventID) String() string { return Base32.EncodeToString(id[:]) }

// MarshalText writes the id as String does.
func (id EventID) MarshalText() ([]byte, error) { return []byte(id.String()), nil }

// UnmarshalText reads what MarshalText writes; other text is an error.
func (id *EventID) UnmarshalText(text []byte) error {
	return hashFrom(id[:], text, "an event id")
}

// hashFrom reads a hash as it is written, into its place.
func hashFrom(into, text []byte, what string) error {
	raw, err := Base32.DecodeString(string(text))
	if err != nil || len(raw) != len(into) {
		return fmt.Errorf("%q is not %s", text, what)
	}
	copy(into, raw)
	return nil
}

// IDs makes new names. The zero value of Bytes is not usable; RandomIDs is
// for use.
type IDs struct {
	// Bytes fills its argument with bytes that no other replica will draw.
	Bytes func([]byte)
}

// RandomIDs draws from the system's random source.
func RandomIDs() IDs {
	return IDs{Bytes: func(b []byte) { _, _ = rand.Read(b) }}
}

// Lane draws a new lane name of 24 characters.
func (ids IDs) Lane() Lane { return Lane(ids.text(15)) }

// Subject draws a new subject id of 12 characters (60 bits).
func (ids IDs) Subject() Subject { return Subject(ids.text(8)[:12]) }

func (ids IDs) text(n int) string {
	b := make([]byte, n)
	ids.Bytes(b)
	return Base32.EncodeToString(b)
}
