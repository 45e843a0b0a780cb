package label

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"

	"endsmeet/importers"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// times matches "3 x" in front of a put-up.
var times = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^(\d{1,4})\s*[xX×*]\s*(\d.*)$`) })

// per matches what stands between the quantities of a put-up.
var per = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\s*(?:/|=|\bper\b|\(|\+/-|\s(?:approx\.?|approximately|about|circa|ca\.?)\s|~)\s*`)
})

// roughly matches what a label writes before a quantity that is not exact.
var roughly = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)^(?:approx\.?|approximately|about|circa|ca\.?|~)\s*`)
})

// imperial matches the units in which a label says again what it said in
// metric ones.
var imperial = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\d\s*(?:oz|ounces?|lbs?|pounds?|yds?|yards?|ft|feet)\b`)
})

// mostQuantities is how many quantities a put-up can have: mass and length,
// each in two systems of units.
const mostQuantities = 4

// putUp reads "3 x 50 g / 125 m", and "50 g / 125 m / 137 yd".
func (p *parser) putUp(piece Piece) (bool, error) {
	text, number := strings.TrimSuffix(piece.Text, " each"), 0
	if m := times().FindStringSubmatch(text); m != nil {
		number, _ = strconv.Atoi(m[1]) // four digits at most
		text = m[2]
		if number == 0 {
			return false, nil
		}
	}
	parts, ok := quantities(text, p.habit)
	if !ok {
		return false, nil
	}
	for _, q := range parts {
		if err := p.setQuantity(piece, q); err != nil {
			return false, err
		}
	}
	if len(parts) > 2 || roughly().MatchString(text) || strings.ContainsAny(text, "~(") ||
		wordy(text) {
		p.label.Record.Notes = append(p.label.Record.Notes,
			importers.Note{Heading: "put-up", Text: piece.Text})
	}
	return true, p.setNumber(piece, number)
}

// wordy reports whether a put-up has a word that says that it is not exact.
func wordy(text string) bool {
	return slices.ContainsFunc(strings.Fields(strings.ToLower(text)),
		func(w string) bool { return roughly().MatchString(w) })
}

// beside matches the unit of a quantity that another follows with nothing but
// a space between them: "100g 400m".
var beside = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)(\d\s*(?:g|kg|m|km|oz|lbs?|yds?|yards?|ft))\.?\s+(\d)`)
})

// units are unit words of other languages, and theirs here (from memory).
var units = sync.OnceValue(func() map[string]*regexp.Regexp {
	return map[string]*regexp.Regexp{
		"$1 g": regexp.MustCompile(`(?i)(\d)\s*(?:gr|grs|gram|gramm|grammes?|grammi|gramos|gramas|grammaa|gramów|gramů)\b\.?`),
		"$1 m": regexp.MustCompile(`(?i)(\d)\s*(?:mt|mts|mtr|meter|mètres?|metri|metros?|metriä|metrów|metrů)\b\.?`),
	}
})

// bare writes a put-up without the word before it, and with the units of here.
func bare(text string) string {
	for unit, words := range units() {
		text = words.ReplaceAllString(text, unit)
	}
	for _, word := range lengths {
		if len(text) > len(word) && strings.EqualFold(text[:len(word)], word) &&
			strings.ContainsRune(" .:", rune(text[len(word)])) {
			return strings.TrimLeft(text[len(word):], " .:")
		}
	}
	return text
}

// quantity is one quantity of a put-up; the other kind is zero.
type quantity struct {
	mass   measure.Mass
	length measure.Length
	metric bool
}

// quantities takes a put-up apart; ok is false where part of it is none, or
// nothing.
func quantities(text string, habit func() written.Style) (out []quantity, ok bool) {
	text = strings.TrimSuffix(roughly().ReplaceAllString(bare(text), ""), ")")
	parts := per().Split(beside().ReplaceAllString(text, "$1 / $2"), -1)
	if len(parts) > mostQuantities {
		return nil, false
	}
	for _, part := range parts {
		part = strings.TrimSpace(roughly().ReplaceAllString(part, ""))
		q, err := written.InHabit(part, habit, oneQuantity)
		if err != nil || (q.mass == 0) == (q.length == 0) || strings.HasPrefix(strings.ToLower(part),
			"label") {
			return nil, false
		}
		out = append(out, q)
	}
	return out, true
}

// oneQuantity reads a mass or a length.
func oneQuantity(text string) (quantity, error) {
	mass, length, err := importers.ParsePutUp(text)
	return quantity{mass, length, !imperial().MatchString(text)}, err
}

// setQuantity takes a quantity over. One that says again, in other units, what
// was said is right where the two agree; of the two the metric one is kept.
func (p *parser) setQuantity(piece Piece, q quantity) error {
	rec := &p.label.Record
	if q.mass > 0 {
		if rec.LabelMass != nil && !agree(int64(*rec.LabelMass), int64(q.mass)) {
			return p.twice("weight", piece, rec.LabelMass.String())
		}
		if rec.LabelMass == nil || q.metric {
			rec.LabelMass = &q.mass
		}
		return nil
	}
	if rec.LabelLength != nil && !agree(int64(*rec.LabelLength), int64(q.length)) {
		return p.twice("length", piece, rec.LabelLength.String())
	}
	if rec.LabelLength == nil || q.metric {
		rec.LabelLength = &q.length
	}
	return nil
}

func (p *parser) twice(kind string, piece Piece, before string) error {
	return problem(piece.Column, piece.Text, "the "+kind+" is given twice, and was "+before,
		"leave one of them")
}

// agree reports whether two quantities differ by no more than what a label
// rounds: two per cent (common practice, no source).
func agree(a, b int64) bool {
	return max(a-b, b-a)*50 <= max(a, b)
}

// setNumber takes over how many packages there are; 0 is not said.
func (p *parser) setNumber(piece Piece, number int) error {
	q := &p.label.Record.Packages
	if number == 0 {
		return nil
	}
	if q.Number > 1 && q.Number != number {
		return problem(piece.Column, piece.Text, "the label says twice how many there are, and not the same",
			"leave one of them")
	}
	q.Number = number
	return nil
}

// finishes are words for how a yarn is made. Trade words, common practice, no
// source.
var finishes = []string{
	"superwash", "not superwash", "machine washable", "mercerised", "mercerized", "unmercerised",
	"unmercerized", "gassed", "combed", "carded", "singles",
	"plied", "woollen-spun", "worsted-spun", "handspun", "hand-dyed", "handdyed", "undyed",
	"kettle-dyed", "space-dyed", "in oil", "in the grease", "scoured",
	"boucle", "bouclé", "chenille", "brushed", "slub", "slubby", "crepe", "tow", "line", "organic",
	"gradient", "self-striping", "variegated", "marled", "tweed",
}

// plies matches "2-ply", "4 ply".
var plies = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^\d{1,2}[- ]?(?:ply|plies)$`) })

// finishWord gathers words for how the yarn is made into the construction.
func (p *parser) finishWord(piece Piece) (bool, error) {
	lower := strings.ToLower(piece.Text)
	if !slices.Contains(finishes, lower) && !plies().MatchString(lower) {
		return false, nil
	}
	rec := &p.label.Record
	if rec.Construction != "" {
		rec.Construction += ", "
	}
	rec.Construction += lower
	return true, nil
}
