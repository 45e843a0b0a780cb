package csvfile

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"endsmeet/importers"
)

// Names of the encodings, as a grid shows them and as Options takes them.
const (
	UTF8        = "UTF-8"
	UTF8BOM     = "UTF-8 with byte order mark"
	UTF16LE     = "UTF-16 little-endian"
	UTF16BE     = "UTF-16 big-endian"
	Windows1252 = "Windows-1252"
)

// Encodings lists the encodings that can be given.
func Encodings() []string { return []string{UTF8, UTF16LE, UTF16BE, Windows1252} }

// signatures are the first bytes of files that are no text, whatever their name.
var signatures = []struct{ magic, kind, hint string }{
	{"%PDF-", "a PDF document", "export the table as CSV from where the PDF came from"},
	{"PK\x03\x04", "a zip archive or spreadsheet", "if it is a spreadsheet, name it .xlsx or .ods"},
	{"\xD0\xCF\x11\xE0", "an old binary spreadsheet or document",
		"open it and save it as .xlsx, .ods or CSV"},
	{"\x1F\x8B", "a gzip archive", "unpack it first"},
	{"SQLite format 3\x00", "an SQLite database", "export the table from it as CSV"},
	{"\x89PNG", "a picture", "choose the table itself"},
	{"\xFF\xD8\xFF", "a picture", "choose the table itself"},
	{"{\\rtf", "a rich-text document", "save it as CSV"},
	{"<?xml", "an XML document", "save it as CSV"},
	{"<!DOCTYPE", "a web page", "save the table as CSV"},
	{"<html", "a web page", "save the table as CSV"},
}

// fault is a Problem at a place in the text.
func fault(line, column int, reason, hint string) *importers.Problem {
	return &importers.Problem{Line: line, Column: column, Reason: reason, Hint: hint}
}

// detect finds the encoding of a file, reading it whole if it is not UTF-16, or
// holds the file against the encoding that is given. The error is a
// *importers.Problem with the place of the first byte that can't be text.
func detect(r io.Reader, given string) (string, error) {
	in := bufio.NewReaderSize(r, 64<<10)
	head, err := in.Peek(512)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, bufio.ErrBufferFull) {
		return "", err
	}
	if len(head) == 0 {
		return "", fault(0, 0, "the file is empty",
			"check that it was saved, and that it is the right file")
	}
	for _, s := range signatures {
		if bytes.HasPrefix(head, []byte(s.magic)) || s.magic[0] == '<' &&
			strings.HasPrefix(strings.ToLower(string(head)), strings.ToLower(s.magic)) {
			return "", fault(0, 0, "the file is "+s.kind+", not comma-separated text", s.hint)
		}
	}
	switch {
	case given == UTF16LE || given == UTF16BE:
		return given, nil
	case given != "":
		return eight(in, bytes.HasPrefix(head, []byte("\uFEFF")), given)
	case bytes.HasPrefix(head, []byte{0xFF, 0xFE}):
		return UTF16LE, nil
	case bytes.HasPrefix(head, []byte{0xFE, 0xFF}):
		return UTF16BE, nil
	}
	if name := sixteen(head); name != "" {
		return name, nil
	}
	return eight(in, bytes.HasPrefix(head, []byte("\uFEFF")), "")
}

// sixteen recognises UTF-16 without a byte order mark: mostly Latin text has a
// NUL in every second byte.
func sixteen(head []byte) string {
	var nul [2]int
	for i, b := range head {
		if b == 0 {
			nul[i%2]++
		}
	}
	half := len(head) / 2
	switch {
	case half < 2:
	case nul[1] > half*3/4 && nul[0] == 0:
		return UTF16LE
	case nul[0] > half*3/4 && nul[1] == 0:
		return UTF16BE
	}
	return ""
}

// census is what a file's bytes show.
type census struct {
	line, column int // of the next character, column in characters
	multi        bool
	bad          *importers.Problem // first byte that is not UTF-8
	gap          *importers.Problem // first byte that is nothing in Windows-1252
}

// eight tells UTF-8 from Windows-1252 by reading everything. A file that has
// both whole UTF-8 characters and bytes that are not UTF-8 is in two encodings.
func eight(r io.Reader, bom bool, given string) (string, error) {
	c := census{line: 1, column: 1}
	buf := make([]byte, 0, 64<<10)
	for {
		n, err := r.Read(buf[len(buf):cap(buf)])
		buf = buf[:len(buf)+n]
		end := err != nil
		used, problem := c.count(buf, end)
		if problem != nil {
			return "", problem
		}
		buf = buf[:copy(buf, buf[used:])]
		if errors.Is(err, io.EOF) {
			return c.verdict(bom, given)
		}
		if err != nil {
			return "", err
		}
	}
}

// count looks at buf and returns how much of it is done with; a character that
// the end of buf cuts stays unless this is the end of the file.
func (c *census) count(buf []byte, end bool) (int, error) {
	i := 0
	for i < len(buf) {
		b := buf[i]
		if b < utf8.RuneSelf {
			if b == 0 {
				return i, fault(c.line, c.column,
					"a NUL byte: this is no text, or the file is damaged", "save it again as CSV")
			}
			c.step(b)
			i++
			continue
		}
		if !end && !utf8.FullRune(buf[i:]) {
			break
		}
		r, size := utf8.DecodeRune(buf[i:])
		if r == utf8.RuneError && size == 1 {
			c.notUTF8(b)
		} else {
			c.multi = c.multi || r != '\uFEFF'
		}
		c.column++
		i += size
	}
	return i, nil
}

func (c *census) step(b byte) {
	c.column++
	if b == '\n' {
		c.line, c.column = c.line+1, 1
	}
}

// notUTF8 remembers the first byte that is not UTF-8, and the first that
// Windows-1252 leaves without a meaning.
func (c *census) notUTF8(b byte) {
	if c.bad == nil {
		c.bad = fault(c.line, c.column,
			fmt.Sprintf("the byte %02X is not UTF-8, though other characters of the file are: two encodings in one file", b),
			"open it, mend the strange characters, and save it as UTF-8")
	}
	if c.gap == nil && charmap.Windows1252.DecodeByte(b) == utf8.RuneError {
		c.gap = fault(c.line, c.column,
			fmt.Sprintf("the byte %02X is text in no encoding that is known here", b),
			"save the file as UTF-8")
	}
}

func (c *census) verdict(bom bool, given string) (string, error) {
	switch {
	case given == Windows1252 && c.gap == nil:
		return Windows1252, nil
	case c.bad == nil && bom:
		return UTF8BOM, nil
	case c.bad == nil:
		return UTF8, nil
	case given == UTF8:
		c.bad.Reason, c.bad.Hint = "not UTF-8, as which the file is to be read",
			"leave the encoding to be found out, or save the file as UTF-8"
		return "", c.bad
	case c.multi || bom:
		return "", c.bad
	case c.gap != nil:
		return "", c.gap
	}
	return Windows1252, nil
}

// decoder returns r as UTF-8 without a byte order mark.
func decoder(r io.Reader, name string) (io.Reader, error) {
	var e encoding.Encoding
	switch name {
	case UTF8, UTF8BOM:
		return skipBOM(r)
	case UTF16LE:
		e = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
	case UTF16BE:
		e = unicode.UTF16(unicode.BigEndian, unicode.UseBOM)
	case Windows1252:
		e = charmap.Windows1252
	default:
		return nil, fault(0, 0, fmt.Sprintf("no such encoding: %q", name),
			"one of "+strings.Join(Encodings(), ", "))
	}
	return e.NewDecoder().Reader(r), nil
}

// skipBOM passes over a UTF-8 byte order mark.
func skipBOM(r io.Reader) (io.Reader, error) {
	in := bufio.NewReaderSize(r, 64<<10)
	if head, err := in.Peek(3); err == nil && string(head) == "\uFEFF" {
		if _, err := in.Discard(3); err != nil {
			return nil, err
		}
	}
	return in, nil
}
