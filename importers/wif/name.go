package wif

import (
	"fmt"
	"image/color"
	"regexp"
	"strings"
	"sync"

	"golang.org/x/image/colornames"
)

var hexShape = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`#[0-9a-fA-F]{6}\b`) })

// plainNames are words for colours in one, that the standard spells otherwise.
var plainNames = map[string]string{"cream": "ivory", "slate": "slategray", "rust": "sienna",
	"lemon": "lemonchiffon", "moss": "darkolivegreen", "sky": "skyblue", "navy blue": "navy",
	"charcoal": "dimgray"}

// HexOf finds how a colour looks that a weaver wrote down: "#336699" anywhere
// in the text, else the last words, three at most, that name a colour of the
// SVG 1.1 recommended names, or one of a few of the trade that are near to one
// of those (common practice, no source). It is false where nothing is found.
func HexOf(text string) (string, bool) {
	if hex := hexShape().FindString(text); hex != "" {
		return strings.ToLower(hex), true
	}
	words := strings.FieldsFunc(strings.ToLower(text),
		func(r rune) bool { return r == ' ' || r == ',' || r == '-' || r == '/' })
	for last := len(words); last > 0; last-- {
		for first := max(0, last-3); first < last; first++ {
			if c, ok := named(strings.Join(words[first:last], "")); ok {
				return c, true
			}
		}
	}
	return "", false
}

func named(word string) (string, bool) {
	if plain := plainNames[word]; plain != "" {
		word = plain
	}
	c, ok := colornames.Map[word]
	return hexOf(c), ok
}

func hexOf(c color.RGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }
