package stash

import (
	"crypto/sha256"
	"time"

	jsonv2 "github.com/go-json-experiment/json"
)

// PhotoID names a photo as the ledger has it: that it is of something.
type PhotoID Subject

// ContentID is the first half of the SHA-256 of a picture's bytes: its name
// wherever it lies.
type ContentID [16]byte

// ContentOf is the name of some bytes.
func ContentOf(data []byte) ContentID {
	sum := sha256.Sum256(data)
	return ContentID(sum[:16])
}

// String writes the id in 26 characters of base32.
func (id ContentID) String() string { return Base32.EncodeToString(id[:]) }

// MarshalText writes the id as String does.
func (id ContentID) MarshalText() ([]byte, error) { return []byte(id.String()), nil }

// UnmarshalText reads what MarshalText writes; other text is an error.
func (id *ContentID) UnmarshalText(text []byte) error {
	return hashFrom(id[:], text, "the name of a picture")
}

// Pictured is the body of a photo event: what the photo is of and which pictures
// it is. Their bytes are no part of the ledger.
type Pictured struct {
	Thing Subject `json:"thing"`
	// Full and Small are the same picture in two sizes.
	Full  ContentID `json:"full"`
	Small ContentID `json:"small"`
	// Width and Height are of the full one, in pixels; Bytes is its size.
	Width  int   `json:"width"`
	Height int   `json:"height"`
	Bytes  int64 `json:"bytes"`
}

// Photo is a photo of a yarn, a package or a piece, as folded from its event. One
// that was undone is of nothing.
type Photo struct {
	ID PhotoID `json:"id"`
	Pictured
	At    time.Time `json:"at,omitzero"`
	Newer bool      `json:"newer,omitempty"`
}

// FoldPhoto folds a photo from its events, in any order: the last that stands.
func FoldPhoto(id PhotoID, events []Event, env Env) Photo {
	p := Photo{ID: id}
	var last *Event
	for i, e := range events {
		if env.Undone(e.ActOf()) || last != nil && Order(e, *last) < 0 {
			continue
		}
		last = &events[i]
	}
	if last == nil {
		return p
	}
	p.At = last.At
	p.Newer = last.Version > LineVersion || last.Kind != KindPhoto ||
		jsonv2.Unmarshal(last.Body, &p.Pictured) != nil
	return p
}
