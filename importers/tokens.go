package importers

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
)

// The budget of a workbook's part, whatever the format.
const (
	// MaxPart is how many bytes a part that is streamed may unpack to.
	MaxPart = 256 << 20
	// MaxText is how many bytes the text of a cell may have. Programs end a cell at
	// 32,767 characters.
	MaxText = 1 << 20
	// maxToken is how much of a part may go into one token of XML: a name with its
	// attributes, a comment, a run of text.
	maxToken = 4 << 20
	// maxDepth is how deep elements may lie in each other; those of a table lie
	// some ten deep.
	maxDepth = 200
	// maxElements is how many elements a part may have: some three for a cell. To read
	// that many takes seconds, and a part of a megabyte can unpack to more.
	maxElements = 8_000_000
)

// The limits of a part, as errors.
var (
	ErrTooLong  = errors.New("an element or a text in it is longer than any of a table can be")
	errTooDeep  = fmt.Errorf("its elements lie more than %d deep in each other", maxDepth)
	errTooMany  = fmt.Errorf("it has more than %d million elements", maxElements/1_000_000)
	errTooLarge = fmt.Errorf("it unpacks to more than %d MB", MaxPart>>20)
)

// BeyondLimit says whether an error is one of a limit, which no mending but a
// smaller table helps.
func BeyondLimit(err error) bool {
	return errors.Is(err, ErrTooLong) || errors.Is(err, errTooDeep) ||
		errors.Is(err, errTooMany) || errors.Is(err, errTooLarge)
}

// Tokens reads a part token by token, in memory that does not grow with it.
type Tokens struct {
	xml   *xml.Decoder
	under *sips
	depth int
	begun int // elements
}

// NewTokens reads from the beginning of a part.
func NewTokens(in io.Reader) *Tokens {
	s := &sips{in: in, all: MaxPart}
	return &Tokens{xml: xml.NewDecoder(s), under: s}
}

// Next returns the next token, io.EOF behind the last one. It is good until
// the next call.
func (t *Tokens) Next() (xml.Token, error) {
	t.under.left = maxToken
	token, err := t.xml.Token()
	switch token.(type) {
	case xml.StartElement:
		if t.depth++; t.depth > maxDepth {
			return nil, errTooDeep
		}
		if t.begun++; t.begun > maxElements {
			return nil, errTooMany
		}
	case xml.EndElement:
		t.depth--
	}
	return token, err
}

// Skip reads on behind the end of the element that has just begun.
func (t *Tokens) Skip() error {
	for depth := 1; depth > 0; {
		token, err := t.Next()
		if err != nil {
			return err
		}
		switch token.(type) {
		case xml.StartElement:
			depth++
		case xml.EndElement:
			depth--
		}
	}
	return nil
}

// sips is a reader that gives only so much until it is allowed more, and only
// so much in all.
type sips struct {
	in   io.Reader
	left int
	all  int64
}

// Read reads what is allowed.
func (s *sips) Read(p []byte) (int, error) {
	switch {
	case s.all <= 0:
		return 0, errTooLarge
	case s.left <= 0:
		return 0, ErrTooLong
	}
	n, err := s.in.Read(p[:min(len(p), s.left)])
	s.left -= n
	s.all -= int64(n)
	return n, err
}
