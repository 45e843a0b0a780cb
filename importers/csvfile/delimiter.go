package csvfile

import (
	"encoding/csv"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

// delimiters are the separators looked for, in the order that settles a draw.
var delimiters = []struct {
	comma rune
	name  string
}{{',', "comma"}, {';', "semicolon"}, {'\t', "tab"}}

// delimiterName returns the word for a separator.
func delimiterName(comma rune) string {
	for _, d := range delimiters {
		if d.comma == comma {
			return d.name
		}
	}
	return string(comma)
}

// ParseDelimiter reads "comma", "semicolon", "tab", or the character itself,
// which may be another than these but no letter, digit, space or quotation
// mark; 0 means none of them.
func ParseDelimiter(text string) rune {
	for _, d := range delimiters {
		if strings.EqualFold(text, d.name) || text == string(d.comma) || text == `\t` &&
			d.comma == '\t' {
			return d.comma
		}
	}
	r, size := utf8.DecodeRuneInString(text)
	if size != len(text) || r == utf8.RuneError || r == '"' || r == '.' || !unicode.IsPunct(r) &&
		!unicode.IsSymbol(r) {
		return 0
	}
	return r
}

// sniff finds the separator from the beginning of a text: the one with which
// most rows have the same number of cells, above one. A file of one column has
// no separator, and comma will do.
func sniff(head string) rune {
	if rest, ok := strings.CutPrefix(head, "sep="); ok {
		line, _, _ := strings.Cut(rest, "\n")
		if comma := ParseDelimiter(strings.TrimRight(line, "\r")); comma != 0 {
			return comma
		}
	}
	best, score := ',', 0
	for _, d := range delimiters {
		if n := evenness(head, d.comma); n > score {
			best, score = d.comma, n
		}
	}
	return best
}

// sniffRows is how many rows are tried.
const sniffRows = 50

// evenness is how many cells stand in rows of the commonest width, above one
// cell, when the text is split with a separator.
func evenness(head string, comma rune) int {
	r := csv.NewReader(strings.NewReader(head))
	r.Comma, r.FieldsPerRecord, r.LazyQuotes, r.ReuseRecord = comma, -1, true, true
	widths := make(map[int]int)
	for range sniffRows {
		cells, err := r.Read()
		if err == io.EOF || err != nil {
			break
		}
		if r.InputOffset() == int64(len(head)) && len(widths) > 0 {
			break // the last row may be cut off
		}
		widths[len(cells)]++
	}
	best := 0
	for width, rows := range widths {
		if width > 1 {
			best = max(best, rows*min(width, 4)*rows)
		}
	}
	return best
}
