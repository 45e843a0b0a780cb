package stash

import (
	"errors"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"

	"endsmeet/stash/measure"
)

// maxName is the greatest length of a name or tag in characters.
const maxName = 80

// Clean makes text from outside harmless: control and format characters
// (terminal escapes, direction overrides) become spaces, runs of space one.
func Clean(s string) string {
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == unicode.ReplacementChar {
			return ' '
		}
		return r
	}, s)
	return strings.Join(strings.Fields(s), " ")
}

func parseName(s string) (any, error) {
	if Clean(s) == "" {
		return nil, &ValueError{"name", s, "a name is wanted", ""}
	}
	if s != Clean(s) && strings.ContainsFunc(s, unicode.IsControl) {
		return nil, &ValueError{"name", s, "holds control characters", "type it without them"}
	}
	if len([]rune(s)) > maxName {
		return nil, &ValueError{"name", s, "is longer than 80 characters", "put the rest in the note"}
	}
	return Clean(s), nil
}

var tagShape = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N}._/-]*$`)
})

func parseTag(s string) (any, error) {
	if !tagShape().MatchString(s) || len([]rune(s)) > 24 {
		return nil, &ValueError{"tag", s, "a tag is letters, digits and . _ / -, at most 24", "such as Y01 or cone-3"}
	}
	return s, nil
}

// ParseDay reads a date as YYYY, YYYY-MM or YYYY-MM-DD. A date that does not
// exist is an error.
func ParseDay(s string) (string, error) {
	for _, layout := range []string{"2006", "2006-01", time.DateOnly} {
		if t, err := time.Parse(layout, s); err == nil && t.Year() > 1800 {
			return s, nil
		}
	}
	return "", &ValueError{"date", s, "no such date", "write it as 2026-11-25, 2026-11 or 2026"}
}

var priceShape = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^([0-9]+(?:[.,][0-9]{1,3})?)\s*(?:(?:per|/)\s*(.+)|each)?$`)
})

// ParsePrice reads "3.10 per 100g", "22 each" or "22" (each).
func ParsePrice(s string) (Price, error) {
	m := priceShape().FindStringSubmatch(strings.ToLower(s))
	if m == nil {
		return Price{}, &ValueError{"price", s, "not an amount", `write "3.10 per 100g" or "22 each"`}
	}
	whole, part, _ := strings.Cut(strings.Replace(m[1], ",", ".", 1), ".")
	milli, err := strconv.ParseInt(whole+(part + "000")[:3], 10, 64)
	if err != nil || milli > 1e12 {
		return Price{}, &ValueError{"price", s, "the amount is beyond belief", ""}
	}
	price := Price{Milli: milli}
	if m[2] != "" {
		price.Per, err = measure.ParseMass(m[2])
	}
	if err == nil && m[2] != "" && price.Per == 0 {
		err = &ValueError{"price", s, "nothing has no price", `write "3.10 per 100g" or "22 each"`}
	}
	return price, err
}

// ParseTare reads "25g", "25g weighed", "28g assumed" or "28g assumed 12g",
// the last mass being the half-width within which it lies. A tare without a
// word counts as weighed.
func ParseTare(s string) (Tare, error) {
	amount, word, found := s, string(TareWeighed), false
	for _, source := range []TareSource{TareWeighed, TareAssumed, TareUnknown} {
		if before, after, ok := strings.Cut(s, string(source)); ok {
			amount, word, s, found = strings.TrimSpace(before), string(source), strings.TrimSpace(after), true
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

// ParseQuarantine reads "SINCE", "SINCE..UNTIL" or either with a reason.
func ParseQuarantine(s string) (Quarantine, error) {
	days, reason, _ := strings.Cut(s, " ")
	since, until, ranged := strings.Cut(days, "..")
	q := Quarantine{Since: since, Until: until, Reason: Clean(reason)}
	if _, err := time.Parse(time.DateOnly, since); err != nil {
		return q, &ValueError{"quarantine", s, "it begins with a day", "such as 2026-01-30 webbing found, or 2026-01-30..2026-03-01"}
	}
	if _, err := time.Parse(time.DateOnly, until); ranged && (err != nil || until < since) {
		return q, &ValueError{"quarantine", s, "the end is no day after its beginning", "such as 2026-01-30..2026-03-01"}
	}
	return q, nil
}

// ParseReserve reads "60g" or "60g for a commission".
func ParseReserve(s string) (Reserve, error) {
	amount, purpose, _ := strings.Cut(s, " for ")
	mass, err := measure.ParseMass(strings.TrimSpace(amount))
	return Reserve{Mass: mass, For: Clean(purpose)}, err
}

// ParseStripes reads "oat 40, slate 20, oat 40": colours with end counts.
func ParseStripes(s string) ([]Stripe, error) {
	var out []Stripe
	for part := range strings.SplitSeq(s, ",") {
		part = strings.TrimSpace(part)
		i := strings.LastIndex(part, " ")
		ends, err := strconv.Atoi(part[i+1:])
		if i < 1 || err != nil || ends < 1 {
			return nil, &ValueError{"stripes", part, "a colour and a number of ends are wanted", `such as "oat 40, slate 20, oat 40"`}
		}
		out = append(out, Stripe{Colour: Clean(part[:i]), Ends: ends})
	}
	return out, nil
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
	fact := CountFact{Count: reading.Count, Source: reading.Source, Written: Clean(notation), Doubt: doubt}
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
		case strings.ContainsAny(tail, "0123456789"):
			return strings.TrimSpace(s), source, doubt, nil // a decimal comma
		default:
			return "", 0, 0, &ValueError{"count", tail, "not a source of a count", "one of: " + sourceWords()}
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
		return w, &ValueError{"wash", s, "says neither a temperature nor how gently", `such as "40 C", "30 C gentle", "hand, cool" or "60 C tumble"`}
	}
	if w.MaxC == 0 && has("hand", "cool", "cold") {
		w.MaxC = 30
	}
	w.Tumble = has("tumble") && !has("no tumble")
	return w, nil
}
