package label

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// indent is where the texts begin.
const indent = 12

// widths measures text in columns, the same on every machine.
var widths = runewidth.Condition{}

// Text gives the card of a size as plain text, at most so many columns wide.
func (c Card) Text(size Size, columns int) string {
	var b strings.Builder
	for _, line := range wrap(c.title(), columns) {
		b.WriteString(line + "\n")
	}
	for _, l := range c.Lines(size) {
		name := l.Name
		for _, line := range wrap(l.Text, columns-indent) {
			b.WriteString(widths.FillRight(name, indent) + line + "\n")
			name = ""
		}
	}
	return b.String()
}

// wrap breaks a harmless text into lines of at most so many columns, at spaces
// where it can.
func wrap(s string, most int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		for widths.StringWidth(word) > most {
			if line != "" {
				lines, line = append(lines, line), ""
			}
			head := cut(word, most)
			lines, word = append(lines, head), word[len(head):]
		}
		switch {
		case word == "":
		case line == "":
			line = word
		case widths.StringWidth(line)+1+widths.StringWidth(word) <= most:
			line += " " + word
		default:
			lines, line = append(lines, line), word
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// cut gives the longest beginning of a word that fits, at least one rune.
func cut(word string, most int) string {
	wide := 0
	for i, r := range word {
		wide += widths.RuneWidth(r)
		if wide > most && i > 0 {
			return word[:i]
		}
	}
	return word
}
