package importers

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
)

// The budget of a workbook's part, whatever the format.
const (
	// MaxPart is how many bytes a part that is streamed may unpack to, and how much
	// work it may be to read it once: see Budget.
	MaxPart = 96 << 20
	// maxDecoded is the same of a part that is decoded whole.
	maxDecoded = 16 << 20
	// passes is how often a part may be read: for its tables, for the names of its
	// yarns, for the rest.
	passes = 3
	// MaxText is how many bytes the text of a cell may have. Programs end a cell at
	// 32,767 characters.
	MaxText = 1 << 20
	// maxToken is how much of a part may go into one token of XML: a name with its
	// attributes, a comment, a run of text.
	maxToken = MaxText + 64<<10
	// maxDepth is how deep elements may lie in each other; those of a table lie
	// some ten deep.
	maxDepth = 200
	// tokenWork and attributeWork are what a token and an attribute cost beside their
	// bytes, as encoding/xml was measured: 8 ns for a byte of text, 40 to 80 for a token, 110
	// for an attribute.
	tokenWork, attributeWork = 8, 16
)

// The limits of a part, as errors.
var (
	ErrTooLong = errors.New("an element or a text in it is longer than any of a table can be")
	errTooDeep = fmt.Errorf("its elements lie more than %d deep in each other", maxDepth)
)

// tooLarge is the work that a part or a file was allowed.
type tooLarge int64

// Error implements error.
func (t tooLarge) Error() string {
	return fmt.Sprintf("it unpacks to more than %d MB, or is as much work by the number of its "+
		"elements, attributes and repeated cells", int64(t)>>20)
}

// BeyondLimit says whether an error is one of a limit, which no mending but a
// smaller table helps.
func BeyondLimit(err error) bool {
	return errors.Is(err, ErrTooLong) || errors.Is(err, errTooDeep) || errors.As(err, new(tooLarge))
}

// Budget is the work that a file may be, over all of its parts and however often
// they are read, counted as the bytes of text that take as long.
type Budget struct{ left int64 }

// NewBudget is the budget of a file.
func NewBudget() *Budget { return &Budget{left: passes * MaxPart} }

// Spend takes work off the budget, and refuses where none is left.
func (b *Budget) Spend(work int) error {
	if b.left -= int64(work); b.left < 0 {
		return tooLarge(MaxPart)
	}
	return nil
}

// Tokens reads a part token by token, in memory that does not grow with it.
type Tokens struct {
	xml   *xml.Decoder
	under *sips
	depth int
	file  *Budget
	most  int64 // work that this reading may be
	left  int64
}

// NewTokens reads from the beginning of a part of a file.
func NewTokens(in io.Reader, file *Budget) *Tokens {
	s := &sips{in: in}
	return &Tokens{xml: xml.NewDecoder(s), under: s, file: file, most: MaxPart, left: MaxPart}
}

// Decode decodes a small part of a file.
func Decode(in io.Reader, file *Budget, into any) error {
	t := NewTokens(in, file)
	t.most, t.left = maxDecoded, maxDecoded
	return xml.NewTokenDecoder(tokenReader{t}).Decode(into)
}

// tokenReader is Tokens as encoding/xml wants them.
type tokenReader struct{ *Tokens }

// Token implements xml.TokenReader.
func (t tokenReader) Token() (xml.Token, error) { return t.Next() }

// Next returns the next token, io.EOF behind the last one. It is good until
// the next call.
func (t *Tokens) Next() (xml.Token, error) {
	t.under.left = maxToken
	before := t.xml.InputOffset()
	token, err := t.xml.Token()
	work := tokenWork + int(t.xml.InputOffset()-before)
	switch e := token.(type) {
	case xml.StartElement:
		work += attributeWork * len(e.Attr)
		if t.depth++; t.depth > maxDepth {
			return nil, errTooDeep
		}
	case xml.EndElement:
		t.depth--
	}
	if spent := t.Spend(work); spent != nil {
		return nil, spent
	}
	return token, err
}

// Spend takes work off what this reading and the file may be.
func (t *Tokens) Spend(work int) error {
	if t.left -= int64(work); t.left < 0 {
		return tooLarge(t.most)
	}
	return t.file.Spend(work)
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

// sips is a reader that gives only so much until it is allowed more.
type sips struct {
	in   io.Reader
	left int
}

// Read reads what is allowed.
func (s *sips) Read(p []byte) (int, error) {
	if s.left <= 0 {
		return 0, ErrTooLong
	}
	n, err := s.in.Read(p[:min(len(p), s.left)])
	s.left -= n
	return n, err
}
