package measure

import (
	"errors"
	"math"
	"math/big"
	"regexp"
	"strings"
	"sync"

	"endsmeet/stash/written"
)

// yarn is a count on its way to a Reading: exact, with what was written.
type yarn struct {
	base   Base
	single *big.Rat
	plies  int
	mtex   *big.Rat
	// sampled says that a length of it was cut and weighed.
	sampled bool
	// samples is of how many samples it is the mean, and doubt that of the mean.
	samples int
	doubt   Ratio
}

// longestCount bounds a written count, in bytes.
const longestCount = 200

// sourceWord matches a source written in front of a count.
var sourceWord = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)^(label|weighed samples?|samples?|yarn balance|balance|handspun|guess)\b[:,]?\s*`)
})

// ParseCount reads a yarn count, the base before or behind it:
//
//	8/2 Ne, 2/8 Ne, Ne 8/2         the same yarn: the smaller number is the ply
//	Ne 3 x2, 34 tex x 2            size first, then the plies, never ambiguous
//	2/12 NeW, Nm 28/2, 16/1 lea, 6 run, 20/2 silkNe
//	34 tex, R 69.3 tex, 300 dtex, 150 den
//	1450 yd/lb, 6773 m/kg, 400m/100g, label 420 m / 100 g, 210 yd / 50 g
//	12 wpi
//	3 m = 1.05 g, 3 m = 1.07 g     several samples: their mean, with the doubt of it
//	20/2 Nm, 1 m = 0.101 g         a count and a sample, which corrects it
//	60+40 Ne, 20 Ne + 20 NeW       unequal singles folded together
//
// A source may stand in front: "label", "sample", "balance", "handspun",
// "guess"; without one, 10 m = 4.9 g is a weighed sample, since nobody sells so little. The count is exact until it is rounded once, half to even, to a
// mg/km. It is the nominal one: a folded yarn comes out a little coarser,
// since twist shortens it. A count that somebody is not sure of, "8/2 Ne?", is a guess.
//
// The error is a *BaseNeeded when the base is not written, an *OrderNeeded
// when either number may be the ply, and an *Error otherwise.
func ParseCount(s string) (Reading, error) {
	r, err := parseCount(s)
	if err == nil {
		return r, nil
	}
	if both, ok, wrong := corrected(strings.Join(strings.Fields(s), " ")); ok {
		return both, wrong
	}
	if rest, doubted := written.Undoubted(s); doubted {
		if r, err := parseCount(rest); err == nil {
			r = r.From(Guess)
			r.Written = strings.Join(strings.Fields(s), " ")
			return r, nil
		}
	}
	return r, err
}

// parseCount reads a count without a sample beside it, or samples alone.
func parseCount(s string) (Reading, error) {
	text := strings.Join(strings.Fields(s), " ")
	body, source := text, SourceUnknown
	if m := sourceWord().FindStringSubmatch(text); m != nil {
		body = text[len(m[0]):]
		_ = source.UnmarshalText([]byte(m[1])) // the pattern holds known words only
	}
	switch {
	case body == "":
		return Reading{}, &Error{Input: s, Problem: "is empty", Hint: kinds[kindCount].units}
	case len(body) > longestCount:
		return Reading{}, &Error{Input: s, Problem: "is too long for a yarn count",
			Hint: kinds[kindCount].units}
	}
	y, err := parseYarn(body)
	if err != nil {
		return Reading{}, inWhole(err, s, body)
	}
	r, ok := newReading(y.mtex, y.base, y.single, y.plies)
	if !ok {
		return Reading{}, &Error{Input: s, Problem: "is no yarn that can be woven",
			Hint: "check the number and the base; from 0.1 tex to 100 000 tex"}
	}
	if source == SourceUnknown && (y.sampled || y.samples > 0) {
		source = WeighedSample
	}
	if source != SourceUnknown {
		r = r.From(source)
	}
	if r.Samples = y.samples; r.Samples > 0 {
		r.Doubt = y.doubt
	}
	r.Written = text
	return r, nil
}

// inWhole makes an *Error about a part speak of the whole input.
func inWhole(err error, whole, part string) error {
	var e *Error
	if errors.As(err, &e) {
		if at := strings.Index(whole, part); at >= 0 && e.Input == part {
			e.Pos += at
		}
		e.Input = whole
	}
	return err
}

func parseYarn(body string) (yarn, error) {
	if strings.Contains(body, "+") {
		return parseFolded(body)
	}
	if y, ok, err := parseSamples(body); ok {
		return y, err
	}
	base, number, err := splitBase(body)
	if base == BaseUnknown {
		if y, ok, err := parsePutUp(body); ok {
			return y, err
		}
	}
	if err != nil {
		return yarn{}, err
	}
	size, err := parseSize(base, number)
	if err != nil {
		return yarn{}, err
	}
	if base == BaseUnknown {
		return yarn{}, needBase(number, size)
	}
	return size.in(base, body)
}

// parseFolded reads singles folded together: 60+40 Ne.
func parseFolded(body string) (yarn, error) {
	parts := strings.Split(body, "+")
	common, err := commonBase(body, parts)
	if err != nil {
		return yarn{}, err
	}
	if common == BaseUnknown {
		return yarn{}, needFoldedBase(body, parts)
	}
	return foldTogether(body, parts, common)
}

// foldTogether adds up the singles' masses for a length; for length-for-mass
// bases that is 1/N = Σ 1/nᵢ (Taylor; Brooks).
func foldTogether(body string, parts []string, common Base) (yarn, error) {
	sum, plies, base := new(big.Rat), 0, common
	for _, part := range parts {
		y, err := parseFold(part, common)
		if err != nil {
			return yarn{}, inWhole(err, body, part)
		}
		sum.Add(sum, y.mtex)
		plies += max(y.plies, 1)
		if y.base != common {
			base = BaseTex
		}
	}
	return yarn{base: base, single: base.sizeOf(sum), plies: plies, mtex: sum}, nil
}

// parseFold reads one of the singles, which may leave its base to the others.
func parseFold(part string, common Base) (yarn, error) {
	part = strings.TrimSpace(part)
	if part == "" {
		return yarn{}, &Error{Input: part, Problem: "a number is wanted next to the +",
			Hint: "like 60+40 Ne"}
	}
	y, err := parseYarn(part)
	var need *BaseNeeded
	if errors.As(err, &need) && common != BaseUnknown {
		return parseYarn(part + " " + common.String())
	}
	return y, err
}

// commonBase finds the base that parts without one share: the only one that
// is written. It is BaseUnknown when none is, and an *Error when several are
// and a part has none.
func commonBase(body string, parts []string) (Base, error) {
	common, bare, mixed := BaseUnknown, false, false
	for _, part := range parts {
		base, _, err := splitBase(strings.TrimSpace(part))
		if err != nil {
			return BaseUnknown, err
		}
		bare = bare || base == BaseUnknown
		mixed = mixed || base != BaseUnknown && common != BaseUnknown && base != common
		if common == BaseUnknown {
			common = base
		}
	}
	if bare && mixed {
		return BaseUnknown, &Error{Input: body, Problem: "one part has no base",
			Hint: "write the base after each number"}
	}
	return common, nil
}

// needFoldedBase lists what unequal folds without a base would be in each.
func needFoldedBase(body string, parts []string) error {
	e := &BaseNeeded{Written: body}
	for _, base := range guessable {
		y, err := foldTogether(body, parts, base)
		if err != nil {
			return err
		}
		if r, ok := newReading(y.mtex, y.base, y.single, y.plies); ok {
			r.Written = body + " " + base.String()
			e.Alternatives = append(e.Alternatives, r)
		}
	}
	return e
}

// sizeOf gives an exact count as a number in the base.
func (b Base) sizeOf(mtex *big.Rat) *big.Rat {
	row := b.row()
	if row.direct {
		return new(big.Rat).Quo(mtex, row.perUnit)
	}
	size := new(big.Rat).Quo(row.perUnit, mtex)
	if row.squared {
		f, _ := size.Float64()
		size.SetFloat64(math.Sqrt(f))
	}
	return size
}
