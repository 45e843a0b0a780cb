package label

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"endsmeet/importers"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// maxLine is the longest line, in bytes.
const maxLine = 1000

// Label is what a line says. Unknown are the parts that were not understood, in
// their order; the others are in Record. A line that does not say how many
// packages there are leaves Record.Packages.Number 0.
type Label struct {
	Record  importers.Record `json:"record"`
	Unknown []Piece          `json:"unknown"`
}

// Parse reads a line in the grammar of the package comment. The error is a
// *importers.Problem with the column: an empty or overlong line, control
// characters, a part given twice, fibres that package fibre refuses, put-ups
// that contradict themselves. Habit says how the reader of the label writes decimals.
func Parse(line string, habit func() written.Style) (Label, error) {
	if err := check(line); err != nil {
		return Label{}, err
	}
	p := parser{habit: habit, given: make(map[string]bool)}
	for _, piece := range apart(split(line)) {
		understood, err := p.part(piece)
		if err != nil {
			return Label{}, err
		}
		if !understood {
			p.label.Unknown = append(p.label.Unknown, piece)
		}
	}
	if err := p.finish(); err != nil {
		return Label{}, err
	}
	return p.label, nil
}

func check(line string) error {
	switch {
	case strings.TrimSpace(line) == "":
		return problem(1, "", "the label is empty", `as in "50 g / 125 m, 100% wool, lot 12"`)
	case len(line) > maxLine:
		return problem(maxLine, "", fmt.Sprintf("the label is longer than %d bytes", maxLine),
			"put the rest into a note")
	case !utf8.ValidString(line):
		return problem(1, "", "the label is not UTF-8 text", "type it again")
	}
	column := 0
	for _, r := range line {
		if column++; unicode.IsControl(r) && !strings.ContainsRune("\t\n\r", r) {
			return problem(column, "", "a control character", "type the label again")
		}
	}
	return nil
}

func problem(column int, value, reason, hint string) error {
	return &importers.Problem{File: "label", Line: 1, Column: column, Value: value, Reason: reason,
		Hint: hint}
}

// parser gathers the parts of one label.
type parser struct {
	label  Label
	habit  func() written.Style
	given  map[string]bool
	fibres []string
	first  Piece // where the fibres begin
}

// once refuses a second part of a kind.
func (p *parser) once(kind string, piece Piece) error {
	if p.given[kind] {
		return problem(piece.Column, piece.Text, "the "+kind+" is given twice", "leave one of them")
	}
	p.given[kind] = true
	return nil
}

// part tries what a part can be, the surest first.
func (p *parser) part(piece Piece) (bool, error) {
	for _, try := range []func(Piece) (bool, error){p.keyword, p.quoted, p.finishWord, p.packages,
		p.putUp, p.count, p.fibre, p.care} {
		if ok, err := try(piece); ok || err != nil {
			return ok, err
		}
	}
	return false, nil
}

// cutKeyword cuts a keyword, and "no." behind it, from the front of a part.
func cutKeyword(text string) (kind, rest string, ok bool) {
	for _, k := range keywords {
		if len(text) < len(k.word) || !strings.EqualFold(text[:len(k.word)], k.word) {
			continue
		}
		rest := text[len(k.word):]
		if r, _ := utf8.DecodeRuneInString(rest); unicode.IsLetter(r) || unicode.IsDigit(r) {
			continue
		}
		return k.kind, cutNumberWord(strings.TrimLeft(rest, " .:#\t")), true
	}
	return "", "", false
}

// cutNumberWord cuts "no.", "nr" or "number" from the front of a text.
func cutNumberWord(text string) string {
	for _, filler := range []string{"no.", "no ", "nr.", "nr ", "number ", "nummer ", "n°", "nº",
		"n.", "num.", "č."} {
		if len(text) > len(filler) && strings.EqualFold(text[:len(filler)], filler) {
			return strings.TrimLeft(text[len(filler):], " .:#")
		}
	}
	return text
}

// keyword reads "lot F08", "col. 12", "colour: moss".
func (p *parser) keyword(piece Piece) (bool, error) {
	kind, rest, ok := cutKeyword(piece.Text)
	if !ok || rest == "" {
		return false, nil
	}
	return true, p.text(kind, piece, rest)
}

func (p *parser) text(kind string, piece Piece, text string) error {
	target := map[string]*string{"lot": &p.label.Record.Lot, "colour": &p.label.Record.Colour,
		"name": &p.label.Record.Name, "care": &p.label.Record.Care}[kind]
	*target = text
	return p.once(kind, piece)
}

// quoted reads a name between quotation marks.
func (p *parser) quoted(piece Piece) (bool, error) {
	inside, ok := strings.CutPrefix(piece.Text, `"`)
	if inside, ok2 := strings.CutSuffix(inside, `"`); ok && ok2 &&
		strings.TrimSpace(inside) != "" && !strings.Contains(inside, `"`) {
		return true, p.text("name", piece, strings.TrimSpace(inside))
	}
	return false, nil
}

// packages reads "2 skeins", "part cone", "ball".
func (p *parser) packages(piece Piece) (bool, error) {
	words := strings.Fields(piece.Text)
	if _, ok := written.PackageOf(words[len(words)-1]); !ok || len(words) > 3 {
		return false, nil
	}
	read, err := importers.ParsePackages(piece.Text, written.StyleUnknown)
	if err != nil || read.Note != "" {
		return false, nil
	}
	q := &p.label.Record.Packages
	if q.Number > 1 && read.Number > 1 && q.Number != read.Number {
		return false, problem(piece.Column, piece.Text,
			fmt.Sprintf("the label also says %d items", q.Number), "leave one of the numbers")
	}
	q.Form, q.Number, q.Part = read.Form, max(q.Number, read.Number), read.Part
	q.Whole = read.Whole
	return true, p.once("form", piece)
}

// count reads a count whose base is written.
func (p *parser) count(piece Piece) (bool, error) {
	reading, err := written.InHabit(piece.Text, p.habit, measure.ParseCount)
	if err != nil {
		return false, nil
	}
	p.label.Record.Count = reading
	return true, p.once("count", piece)
}

// fibre gathers what has a percent sign or begins with the name of a fibre.
func (p *parser) fibre(piece Piece) (bool, error) {
	if !strings.Contains(piece.Text, "%") && !beginsWithFibre(piece.Text) {
		return false, nil
	}
	if len(p.fibres) == 0 {
		p.first = piece
	}
	p.fibres = append(p.fibres, piece.Text)
	return true, nil
}

// beginsWithFibre reports whether a part is fibres. A word alone is one where it
// is no colour or everyday word as well ("silver"), and no short code.
func beginsWithFibre(text string) bool {
	name := strings.TrimRight(text, "0123456789., ")
	if _, err := fibre.ParseContent(text); err == nil && name != text {
		return true
	} else if _, known := fibre.Lookup(name); err != nil && !known {
		return false
	}
	named := fibre.Mentions(text)
	return len(named) > 0 && !slices.ContainsFunc(named,
		func(m fibre.Mention) bool { return m.Common })
}

// degrees matches "30 C", "30°", "40 °C gentle wash"; a number alone is none.
var degrees = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^\d{1,2} ?(?:° ?c?|c|degrees)(?: [a-z ]*wash)?$|^\d{1,2} [a-z ]*wash$`)
})

// care reads "hand wash", "machine wash cold", "30 C", "30° wash".
func (p *parser) care(piece Piece) (bool, error) {
	lower := strings.ToLower(piece.Text)
	if !degrees().MatchString(lower) &&
		!slices.ContainsFunc(washes, func(w string) bool { return strings.HasPrefix(lower, w) }) {
		return false, nil
	}
	return true, p.text("care", piece, bareDegrees().ReplaceAllString(piece.Text, "$1 C$2"))
}

// bareDegrees matches degrees that do not say of which scale: on a label they
// are Celsius.
var bareDegrees = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^(\d{1,2}) ?(?:°|degrees)?( [A-Za-z ]*wash)?$`) })

// finish reads the fibres and works out what the parts say together.
func (p *parser) finish() error {
	if len(p.fibres) > 0 {
		text := strings.Join(p.fibres, ", ")
		if _, err := fibre.ParseContent(text); err != nil {
			return p.badFibre(text, err)
		}
		p.label.Record.Fibre = text
	}
	err := p.label.Record.Complete()
	var all *importers.Problems
	if errors.As(err, &all) {
		return problem(1, "", all.List[0].Reason, all.List[0].Hint)
	}
	return err
}

func (p *parser) badFibre(text string, err error) error {
	reason, hint := err.Error(), `as in "75% wool, 25% nylon"`
	var e *measure.Error
	if errors.As(err, &e) {
		reason, hint = e.Problem, e.Hint
	}
	return problem(p.first.Column, text, reason, hint)
}
