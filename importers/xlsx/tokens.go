package xlsx

import (
	"encoding/xml"

	"endsmeet/importers"
)

// tokens reads a part token by token.
type tokens struct{ *importers.Tokens }

// text appends the text of the element that has just begun, which is a cell or
// a shared string, to what is there: of its t elements, alone or in runs, and
// of its v element. It tells every element inside to seen. Readings of
// characters (rPh) are no text (ECMA-376 part 1, 18.4).
func (t *tokens) text(to []byte, seen func(name string)) ([]byte, error) {
	start, taking := len(to), false
	for depth := 1; depth > 0; {
		token, err := t.Next()
		if err != nil {
			return to, err
		}
		switch e := token.(type) {
		case xml.StartElement:
			if e.Name.Local == "rPh" || e.Name.Local == "extLst" {
				if err := t.Skip(); err != nil {
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
			if to = append(to, e...); len(to)-start > importers.MaxText {
				return to, importers.ErrTooLong
			}
		}
	}
	return to, nil
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
