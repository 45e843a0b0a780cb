package stash

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// maxName is the greatest length of a name or tag in characters.
const maxName = 80

// Clean makes text from outside harmless, and two texts that look alike one:
// control and format characters (terminal escapes, direction overrides) and
// those that show nothing become spaces, runs of space one, and letters with
// their marks are composed (Unicode normalisation form C, UAX 15).
func Clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), r == unicode.ReplacementChar,
			strings.ContainsRune(blanks, r):
			return ' '
		case unicode.Is(unicode.Variation_Selector, r), r == joiner:
			return -1
		}
		return r
	}, s)
	return norm.NFC.String(strings.Join(strings.Fields(s), " "))
}

// Characters that show nothing though they are no spaces (Unicode property
// Default_Ignorable_Code_Point), and the blank of braille.
const (
	blanks = "\u115f\u1160\u3164\uffa0\u2800"
	joiner = '\u034f' // combining grapheme joiner
)

// Fold is what two names are compared by: cleaned, in small letters.
func Fold(s string) string { return strings.ToLower(Clean(s)) }

func parseName(s string) (any, error) {
	if Clean(s) == "" {
		return nil, &ValueError{"name", s, "a name is wanted", ""}
	}
	if s != Clean(s) && strings.ContainsFunc(s, unicode.IsControl) {
		return nil, &ValueError{"name", s, "holds control characters", "type it without them"}
	}
	if len([]rune(s)) > maxName {
		return nil, &ValueError{"name", s, "is longer than 80 characters",
			"put the rest in the note"}
	}
	return Clean(s), nil
}

var tagShape = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N}._/-]*$`)
})

func parseTag(s string) (any, error) {
	if !tagShape().MatchString(s) || len([]rune(s)) > 24 {
		return nil, &ValueError{"tag", s, "a tag is letters, digits and . _ / -, at most 24",
			"such as Y01 or cone-3"}
	}
	return s, nil
}

var swatchShape = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^#?[0-9a-fA-F]{6}$`) })

// parseSwatch reads how a colour looks.
func parseSwatch(s string) (any, error) {
	s = strings.TrimSpace(s)
	if !swatchShape().MatchString(s) {
		return nil, &ValueError{"swatch", s,
			"a swatch is # and six of 0 to 9 and a to f: red, green and blue", "such as #8a7a55"}
	}
	return "#" + strings.ToLower(strings.TrimPrefix(s, "#")), nil
}

// parseDay reads a date that is known to the year, the month or the day, as
// written.ParseDate does, and gives it as YYYY, YYYY-MM or YYYY-MM-DD.
func parseDay(s string) (string, error) {
	d, err := written.ParseDate(s)
	switch {
	case err != nil:
		return "", amiss("date", s, err)
	case d.Note != "":
		return "", &ValueError{"date", s, "has words after it", "put them into the note"}
	}
	return d.String(), nil
}

// amiss is what is wrong with a written number, date or price, as the fault of a
// field.
func amiss(field, value string, err error) error {
	e := written.AsError(err)
	return &ValueError{field, value, e.Reason, e.Hint}
}

// priceExample is how a price can be written.
const priceExample = `write "3.10 per 100g", "22 each" or "24 EUR"`

// ParsePrice reads "3.10 per 100g", "1.50 / oz", "22 each", "24 EUR" (each), and what
// is for any other mass: "7 per 250g".
func ParsePrice(s string) (Price, error) {
	amount := strings.ToLower(s)
	body, per := written.SplitPer(amount)
	_, usual := written.BasisOf(per)
	var mass measure.Mass
	if per != "" && !usual {
		var err error
		if mass, err = measure.ParseMass(per); err != nil || mass == 0 {
			return Price{}, &ValueError{"price", s, fmt.Sprintf("%.20q is nothing that a price can be for", per), priceExample}
		}
		amount = body
	}
	p, err := written.ParsePrice(amount, written.StyleUnknown, written.PerPackage, "")
	if err != nil {
		return Price{}, &ValueError{"price", s, written.AsError(err).Reason, priceExample}
	}
	milli, ok := p.Milli()
	if !ok {
		return Price{}, &ValueError{"price", s, "the amount is beyond belief", ""}
	}
	if usual {
		mass, _ = MassPriced(p.Per)
	}
	return Price{Milli: milli, Per: mass, Currency: p.Currency}, nil
}

// MassPriced is the mass that a price is for; false where it is for packages.
func MassPriced(per written.Basis) (measure.Mass, bool) {
	text, ok := map[written.Basis]string{
		written.Per100g: "100 g", written.PerKilogram: "1 kg", written.PerPound: "1 lb",
		written.PerOunce: "1 oz",
	}[per]
	if !ok {
		return 0, false
	}
	mass, err := measure.ParseMass(text)
	return mass, err == nil
}

// ParseTare reads "25g", "25g weighed", "28g assumed" or "28g assumed 12g",
// the last mass being the half-width within which it lies. A tare without a
// word counts as weighed, one that somebody is not sure of as assumed.
func ParseTare(s string) (Tare, error) {
	amount, word, found := s, string(TareWeighed), false
	if said, doubted := written.Undoubted(s); doubted {
		amount, word = said, string(TareAssumed)
	}
	for _, source := range []TareSource{TareWeighed, TareAssumed, TareUnknown} {
		if before, after, ok := strings.Cut(s, string(source)); ok {
			amount, word, s, found = strings.TrimSpace(before), string(source),
				strings.TrimSpace(after), true
			break
		}
	}
	mass, err := measure.ParseMass(amount)
	if err != nil {
		return Tare{}, err
	}
	t := Tare{Mass: mass, Source: TareSource(word)}
	if found && s != "" {
		t.Spread, err = measure.ParseMass(strings.TrimLeft(s, "+/-± "))
	}
	return t, err
}

// parseQuarantine reads "SINCE", "SINCE..UNTIL" or either with a reason.
func parseQuarantine(s string) (Quarantine, error) {
	s = strings.TrimPrefix(s, "since ")
	days, reason, _ := strings.Cut(s, " ")
	since, until, ranged := strings.Cut(days, "..")
	q := Quarantine{Since: wholeDay(since), Until: wholeDay(until), Reason: Clean(reason)}
	if q.Since == "" {
		return q, &ValueError{"quarantine", s, "it begins with a day",
			"such as 2026-01-30 webbing found, or 2026-01-30..2026-03-01"}
	}
	if ranged && q.Until < q.Since {
		return q, &ValueError{"quarantine", s, "the end is no day after its beginning",
			"such as 2026-01-30..2026-03-01"}
	}
	return q, nil
}

// wholeDay is a date that is known to the day, and empty for any other text.
func wholeDay(s string) string {
	if d, err := written.ParseDate(s); err == nil && d.Day > 0 && d.Note == "" {
		return d.String()
	}
	return ""
}

// ParseReserve reads "60g" or "60g for a commission".
func ParseReserve(s string) (Reserve, error) {
	amount, purpose, _ := strings.Cut(s, " for ")
	mass, err := measure.ParseMass(strings.TrimSpace(amount))
	return Reserve{Mass: mass, For: Clean(purpose)}, err
}

// parseStripes reads "oat 40, slate 20, oat 40": colours with end counts, or all without,
// which are as wide as the yarn gives.
func parseStripes(s string) ([]Stripe, error) {
	var out []Stripe
	counted := 0
	for part := range strings.SplitSeq(s, ",") {
		part = strings.TrimSpace(part)
		i := strings.LastIndex(part, " ")
		ends, err := strconv.Atoi(part[i+1:])
		switch {
		case part == "" || err == nil && (i < 1 || ends < 1):
			return nil, stripeProblem(part, "a colour and a number of ends are wanted")
		case endsInLength(part):
			return nil, stripeProblem(part, "a number of ends is wanted, not a width")
		case err == nil:
			counted++
			out = append(out, Stripe{Colour: Clean(part[:i]), Ends: ends})
		default:
			out = append(out, Stripe{Colour: Clean(part)})
		}
		if counted > 0 && counted < len(out) {
			return nil, stripeProblem(part, "some stripes have a number of ends and others have none")
		}
	}
	return out, nil
}

// endsInLength says whether a text ends in a length after something else.
func endsInLength(text string) bool {
	for i, r := range text {
		if _, err := measure.ParseLength(text[i:]); r == ' ' && err == nil {
			return true
		}
	}
	return false
}

func stripeProblem(part, what string) error {
	return &ValueError{"stripes", part, what,
		`such as "oat 40, slate 20, oat 40", or "oat, slate" for as much as each gives`}
}

// ParseCountFact reads a count as measure.ParseCount does, with the source
// behind a comma where it is not plain from the notation: "8/2 Ne",
// "1480 yd/lb, yarn balance", "2150 yd/lb, yarn balance, 10%".
func ParseCountFact(s string) (CountFact, error) {
	notation, source, doubt, err := splitCount(s)
	if err != nil {
		return CountFact{}, err
	}
	reading, err := measure.ParseCount(notation)
	if err != nil {
		return CountFact{}, err
	}
	fact := CountFact{Count: reading.Count, Source: reading.Source, Written: Clean(reading.Written),
		Doubt: doubt}
	if reading.Samples > 0 && doubt == 0 {
		fact.Doubt = reading.Doubt
	}
	if source != measure.SourceUnknown {
		fact.Source = source
	}
	return fact, nil
}

func splitCount(s string) (notation string, source measure.Source, doubt measure.Ratio, err error) {
	for {
		i := strings.LastIndex(s, ",")
		if i < 0 {
			return strings.TrimSpace(s), source, doubt, nil
		}
		tail := strings.TrimSpace(s[i+1:])
		r, ratioErr := measure.ParseRatio(tail)
		switch {
		case source == measure.SourceUnknown && source.UnmarshalText([]byte(tail)) == nil:
		case ratioErr == nil && strings.Contains(tail, "%"):
			doubt = r
		case strings.ContainsAny(tail, "0123456789"), written.Doubts(tail):
			return strings.TrimSpace(s), source, doubt, nil // a decimal comma, or a guess
		default:
			return "", 0, 0, &ValueError{"count", tail, "not a source of a count",
				OneOf(tail, strings.Split(sourceWords(), ", "))}
		}
		s = s[:i]
	}
}

func sourceWords() string {
	var words []string
	for _, s := range measure.Sources() {
		words = append(words, s.String())
	}
	return strings.Join(words, ", ")
}

// NeedsBase says whether an error means that a count was written without its
// base, and gives the readings on every base.
func NeedsBase(err error) (*measure.BaseNeeded, bool) {
	var b *measure.BaseNeeded
	return b, errors.As(err, &b)
}

var degrees = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(\d+)\s*°?\s*[cC]\b`)
})

// Degrees is a text whose temperatures have their degree sign: "30 °C gentle".
func Degrees(text string) string { return degrees().ReplaceAllString(text, "$1 °C") }

// hottest is the hottest washing of the care labels, in degrees Celsius (ISO
// 3758, from memory).
const hottest = 95

// ParseWash reads a washing in plain words: a temperature in C, and the words
// hand, wool, gentle, felts, cool, cold or tumble. Words without meaning here
// are kept; "hand" without a temperature is taken as 30 C without agitation
// (common practice, no source).
func ParseWash(s string) (Wash, error) {
	w := Wash{Words: Clean(s)}
	lower := strings.ToLower(s)
	if m := degrees().FindStringSubmatch(lower); m != nil {
		w.MaxC, _ = strconv.Atoi(m[1])
		if w.MaxC < 1 || w.MaxC > hottest {
			return w, &ValueError{"wash", s, "no washing is that hot or cold", "from 1 to 95 C"}
		}
	}
	has := func(words ...string) bool {
		for _, word := range words {
			if strings.Contains(lower, word) {
				return true
			}
		}
		return false
	}
	switch {
	case has("hand", "felts", "no agitation"):
		w.Agitation = AgitateNone
	case has("wool", "gentle", "delicate", "cool", "cold", "brief"):
		w.Agitation = AgitateGentle
	case w.MaxC > 0 || has("machine"):
		w.Agitation = AgitateNormal
	default:
		return w, &ValueError{"wash", s, "says neither a temperature nor how gently",
			`such as "40 C", "30 C gentle", "hand, cool" or "60 C tumble"`}
	}
	if w.MaxC == 0 && has("hand", "cool", "cold") {
		w.MaxC = 30
	}
	w.Tumble = has("tumble") && !has("no tumble")
	return w, nil
}
