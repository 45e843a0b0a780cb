package xlsx

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"
)

// A text of a workbook writes a character that XML cannot hold as _xHHHH_, and
// so too the first underscore of what only looks like that (ECMA-376 part 1,
// 22.9.2.19, ST_Xstring).
const escaped = len("_x0000_")

// isEscape tells whether text begins with _xHHHH_.
func isEscape[T string | []byte](text T) bool {
	if len(text) < escaped || text[0] != '_' || text[1] != 'x' || text[6] != '_' {
		return false
	}
	_, err := strconv.ParseUint(string(text[2:6]), 16, 16)
	return err == nil
}

// unescape turns a stored text into the one that is meant. What is escaped and
// no character stays as it is.
func unescape(text []byte) string {
	if !bytes.Contains(text, []byte("_x")) {
		return string(text)
	}
	var b strings.Builder
	for len(text) > 0 {
		if isEscape(text) {
			if c, _ := strconv.ParseUint(string(text[2:6]), 16, 16); utf8.ValidRune(rune(c)) {
				b.WriteRune(rune(c))
				text = text[escaped:]
				continue
			}
		}
		b.WriteByte(text[0])
		text = text[1:]
	}
	return b.String()
}

// escape turns a text into the one to store, not yet in XML. Bytes that are no
// character become U+FFFD.
func escape(text string) string {
	var b strings.Builder
	for i, c := range text {
		switch {
		case c < ' ' && c != '\t' && c != '\n', c == 0xFFFE, c == 0xFFFF:
			fmt.Fprintf(&b, "_x%04X_", c)
		case c == '_' && isEscape(text[i:]):
			b.WriteString("_x005F_")
		default:
			b.WriteRune(c)
		}
	}
	return b.String()
}
