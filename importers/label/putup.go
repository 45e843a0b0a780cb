package label

import (
	"regexp"
	"slices"
	"strconv"
	"strings"

	"endsmeet/importers"
	"endsmeet/stash/measure"
)

// times matches "3 x" in front of a put-up.
var times = regexp.MustCompile(`^(\d{1,4})\s*[xX×*]\s*(\d.*)$`)

// per matches what stands between the two quantities of a put-up.
var per = regexp.MustCompile(`\s*(?:/|=|\bper\b)\s*`)

// putUp reads "3 x 50 g / 125 m".
func (p *parser) putUp(piece Piece) (bool, error) {
	text, number := strings.TrimSuffix(piece.Text, " each"), 0
	if m := times.FindStringSubmatch(text); m != nil {
		number, _ = strconv.Atoi(m[1]) // four digits at most
		text = m[2]
		if number == 0 {
			return false, nil
		}
	}
	text = per.ReplaceAllString(text, " / ")
	mass, length, err := importers.ParsePutUp(text)
	if err != nil || strings.Count(text, " / ") > 1 || strings.HasPrefix(strings.ToLower(text), "label") {
		return false, nil
	}
	if mass == 0 && length == 0 {
		return false, nil
	}
	return true, p.setPutUp(piece, number, mass, length)
}

func (p *parser) setPutUp(piece Piece, number int, mass measure.Mass, length measure.Length) error {
	rec := &p.label.Record
	if mass > 0 {
		if err := p.once("mass", piece); err != nil {
			return err
		}
		rec.LabelMass = &mass
	}
	if length > 0 {
		if err := p.once("length", piece); err != nil {
			return err
		}
		rec.LabelLength = &length
	}
	if number > 0 {
		if rec.Packages.Number > 1 && rec.Packages.Number != number {
			return problem(piece.Column, piece.Text, "the label gives two numbers of packages", "leave one of them")
		}
		rec.Packages.Number = number
	}
	return nil
}

// finishes are words for how a yarn is made. Trade words, common practice, no
// source.
var finishes = []string{
	"superwash", "not superwash", "machine washable", "mercerised", "mercerized", "unmercerised", "unmercerized", "gassed", "combed", "carded", "singles",
	"plied", "woollen-spun", "worsted-spun", "handspun", "hand-dyed", "handdyed", "undyed", "kettle-dyed", "space-dyed", "in oil", "in the grease", "scoured",
	"boucle", "bouclé", "chenille", "brushed", "slub", "slubby", "crepe", "tow", "line", "organic", "gradient", "self-striping", "variegated", "marled", "tweed",
}

// Finishes lists the words for how a yarn is made that a label may hold.
func Finishes() []string { return slices.Clone(finishes) }

// plies matches "2-ply", "4 ply".
var plies = regexp.MustCompile(`^\d{1,2}[- ]?(?:ply|plies)$`)

// finishWord gathers words for how the yarn is made into the construction.
func (p *parser) finishWord(piece Piece) (bool, error) {
	lower := strings.ToLower(piece.Text)
	if !slices.Contains(finishes, lower) && !plies.MatchString(lower) {
		return false, nil
	}
	rec := &p.label.Record
	if rec.Construction != "" {
		rec.Construction += ", "
	}
	rec.Construction += lower
	return true, nil
}
