package xlsx

import (
	"encoding/xml"
	"errors"
	"io"
)

// maxToken is how much of a part may go into one token of XML (a name, a
// comment, a run of text), and maxText how long the text of a cell may be, in
// bytes. Excel ends a cell at 32767 characters.
const (
	maxToken = 4 << 20
	maxText  = 1 << 20
)

var errTooLong = errors.New("an element or a text in it is longer than any of a table can be")

// tokens reads a part token by token, in memory that does not grow with it.
type tokens struct {
	xml   *xml.Decoder
	under *sips
}

func newTokens(in io.Reader) *tokens {
	s := &sips{in: in}
	return &tokens{xml: xml.NewDecoder(s), under: s}
}

// next returns the next token, io.EOF behind the last one. It is good until
// the next call.
func (t *tokens) next() (xml.Token, error) {
	t.under.left = maxToken
	return t.xml.Token()
}

// skip reads on behind the end of the element that has just begun.
func (t *tokens) skip() error {
	for depth := 1; depth > 0; {
		token, err := t.next()
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

// text appends the text of the element that has just begun, which is a cell or
// a shared string, to what is there: of its t elements, alone or in runs, and
// of its v element. It tells every element inside to seen. Readings of
// characters (rPh) are no text (ECMA-376 part 1, 18.4).
func (t *tokens) text(to []byte, seen func(name string)) ([]byte, error) {
	start, taking := len(to), false
	for depth := 1; depth > 0; {
		token, err := t.next()
		if err != nil {
			return to, err
		}
		switch e := token.(type) {
		case xml.StartElement:
			if e.Name.Local == "rPh" || e.Name.Local == "extLst" {
				if err := t.skip(); err != nil {
					return to, err
				}
				continue
			}
			depth++
			taking = e.Name.Local == "t" || e.Name.Local == "v"
			seen(e.Name.Local)
		case xml.EndElement:
			depth--
			taking = false
		case xml.CharData:
			if !taking {
				continue
			}
			if to = append(to, e...); len(to)-start > maxText {
				return to, errTooLong
			}
		}
	}
	return to, nil
}

// sips is a reader that gives only so much until it is allowed more.
type sips struct {
	in   io.Reader
	left int
}

// Read reads what is allowed.
func (s *sips) Read(p []byte) (int, error) {
	if s.left <= 0 {
		return 0, errTooLong
	}
	n, err := s.in.Read(p[:min(len(p), s.left)])
	s.left -= n
	return n, err
}

// attr is an attribute without a namespace, empty where it is missing.
func attr(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}
