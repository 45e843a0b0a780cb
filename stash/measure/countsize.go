package measure

import (
	"math/big"
	"regexp"
	"strconv"
	"strings"
	"sync"
)

// size is the numeric part of a count: one number, a pair whose order is not
// settled, or a number with its plies.
type size struct {
	written   string
	first     *big.Rat
	second    *big.Rat // nil without a pair
	plies     int      // above 0 after "x2"
	resultant bool     // R: the number is that of the whole yarn
}

const (
	maxPlies   = 1000
	usualPlies = 8 // a fold of more is cord: common practice, no source
	fewPlies   = 4 // a size this small is met as seldom as a fold this large
)

var (
	pairForm = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`^([\d.,]+)\s*/\s*([\d.,]+)$`)
	})
	timesEnd = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?i)\s*[x×*]\s*(\d+)(?:\s*ply)?$`)
	})
	timesMid = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?i)^([\d.,]+)(\s*[x×*]\s*\d+)\s*([a-z].*)$`)
	})
	leading = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?i)^([a-z][a-z ]*?)\s*([\d.,½¼¾].*)$`)
	})
	trailing = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?i)^([\d.,½¼¾][^a-wyz]*?)\s*([a-z].*)$`)
	})
	resMark = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?i)^r\s*([\d.,])`)
	})
)

// splitBase takes the base's words off a count, in front or behind, and gives
// the rest. A count without a base gives BaseUnknown; words that name no base
// are an *Error, unless they only name a fibre.
func splitBase(body string) (Base, string, error) {
	if m := timesMid().FindStringSubmatch(body); m != nil {
		body = m[1] + " " + m[3] + m[2]
	}
	times := timesEnd().FindString(body)
	rest := strings.TrimSuffix(body, times)
	mark := ""
	if m := resMark().FindStringSubmatch(rest); m != nil {
		mark, rest = "R ", rest[1:]
	}
	rest = strings.TrimSpace(rest)
	word, number := "", rest
	if m := leading().FindStringSubmatch(rest); m != nil {
		word, number = m[1], m[2]
	} else if m := trailing().FindStringSubmatch(rest); m != nil {
		word, number = m[2], m[1]
	}
	if word == "" {
		return BaseUnknown, mark + number + times, nil
	}
	word, more := plyWord(word)
	base, ok := baseNamed(strings.TrimSuffix(word, "."))
	if !ok && !namesFibre(word) {
		return BaseUnknown, "", wrongBase(body, word)
	}
	return base, mark + number + more + times, nil
}

// wrongBase explains a word that is no base.
func wrongBase(body, word string) error {
	e := &Error{Input: body, Pos: max(strings.Index(body, word), 0),
		Problem: "unknown count base " + quoteWord(word), Hint: "one of: " + baseWords()}
	if k := kindOfWord(word); k == kindMass || k == kindLength {
		e.Problem, e.Hint = "is "+kinds[k].name+", a yarn count is wanted",
			"for a label write length and weight with their units, like 125m/50g"
	}
	return e
}

// plyWord takes the plies off the end of a base's words: the "/2" of 40 tex/2.
func plyWord(word string) (string, string) {
	if _, whole := baseNamed(word); whole {
		return word, ""
	}
	if at := strings.Index(word, "/"); at > 0 && at+1 < len(word) && isDigit(word[at+1]) {
		return strings.TrimSpace(word[:at]), word[at:]
	}
	return word, ""
}

// fibreWords are fibres that are often written where a base should stand.
// They settle nothing: wool is numbered in Nm, NeW, run, cut and skein.
var fibreWords = map[string]bool{
	"": true, "cotton": true, "linen": true, "flax": true, "wool": true, "woollen": true,
	"woolen": true, "silk": true,
	"hemp": true, "ramie": true, "lyocell": true, "viscose": true, "rayon": true, "cottolin": true,
	"acrylic": true, "alpaca": true, "mohair": true,
}

func namesFibre(word string) bool { return fibreWords[lower(strings.TrimSpace(word))] }

// parseSize reads the numbers of a count in a base.
func parseSize(base Base, number string) (size, error) {
	out := size{written: number}
	if rest, ok := strings.CutPrefix(number, "R "); ok {
		out.resultant, number = true, rest
	}
	if m := timesEnd().FindStringSubmatch(number); m != nil {
		plies, err := strconv.Atoi(m[1])
		if err != nil || plies < 1 || plies > maxPlies {
			return size{}, &Error{Input: number, Problem: "has no number of plies from 1 to 1000",
				Hint: "like Ne 3 x2"}
		}
		out.plies, number = plies, strings.TrimSuffix(number, m[0])
	}
	number = strings.TrimSpace(number)
	var err error
	if m := pairForm().FindStringSubmatch(number); m != nil {
		if out.second, err = countNumber(base, m[2]); err != nil {
			return size{}, err
		}
		number = m[1]
	}
	out.first, err = countNumber(base, number)
	if err == nil && out.second != nil && out.plies > 0 {
		err = &Error{Input: out.written, Problem: "has plies twice",
			Hint: "write Ne 8 x2 or 8/2 Ne"}
	}
	return out, err
}

// countNumber reads a number above zero and nothing else. A length for a mass goes
// into the thousands, as other lengths do.
func countNumber(base Base, number string) (*big.Rat, error) {
	s := &scanner{in: number, amount: base >= BaseYdPerLb && base <= BaseMPer100g}
	if s.done() {
		return nil, s.fail(0, "has no number", kinds[kindCount].units)
	}
	n, err := s.number()
	if err != nil {
		if e := err.(*Error); !s.amount {
			e.Hint = kinds[kindCount].units
		}
		return nil, err
	}
	if s.space(); !s.done() {
		return nil, s.fail(s.pos, "cannot read "+quoteWord(number[s.pos:])+" here",
			kinds[kindCount].units)
	}
	if n.Sign() == 0 {
		return nil, s.fail(0, "a count of zero is no yarn", kinds[kindCount].units)
	}
	return n, nil
}

// in gives the yarn that the size means in a base.
func (z size) in(base Base, body string) (yarn, error) {
	switch {
	case z.resultant:
		return z.whole(base), nil
	case z.second != nil && !base.folded():
		return yarn{}, &Error{Input: body,
			Problem: "the second number may be plies or filaments in " + base.String(),
			Hint: "write " + z.first.RatString() + " " + base.String() +
				" x 2, or R and the number of the whole yarn"}
	case z.second == nil:
		return yarn{base: base, single: z.first, plies: z.plies, mtex: base.of(z.first, z.plies)}, nil
	}
	single, plies, sure := z.order()
	switch {
	case plies == 0:
		return yarn{}, &Error{Input: body, Problem: "neither number is a number of plies",
			Hint: "write the size first, like Ne 8 x2"}
	case !sure:
		return yarn{}, &OrderNeeded{Written: body, Alternatives: z.bothOrders(base)}
	}
	return yarn{base: base, single: single, plies: plies, mtex: base.of(single, plies)}, nil
}

// whole is a resultant count: the folds, if written, do not divide it.
func (z size) whole(base Base) yarn {
	plies := z.plies
	if z.second != nil && z.second.IsInt() && z.second.Num().IsInt64() {
		plies = int(min(z.second.Num().Int64(), maxPlies))
	}
	return yarn{base: base, single: z.first, plies: plies, mtex: base.of(z.first, 1)}
}

// order tells size from plies. Both orders are in use in every base but spun
// silk, so the smaller number is the ply; it is not clear when both are small
// enough to be plies or too large. Zero plies: neither is a whole number.
func (z size) order() (single *big.Rat, plies int, sure bool) {
	a, b := asPlies(z.first), asPlies(z.second)
	switch {
	case a == 0 && b == 0:
		return nil, 0, false
	case b == 0:
		return z.second, a, true
	case a == 0:
		return z.first, b, true
	case a < b:
		return z.second, a, clearOrder(a, b)
	}
	return z.first, b, clearOrder(b, a)
}

// clearOrder says whether only the smaller of two whole numbers can be the
// ply: a one, or up to eight beside a size above four, and above six from
// three plies on. The bounds are common practice, no source.
func clearOrder(small, large int) bool {
	switch {
	case small == 1 || small == large:
		return true
	case small > usualPlies || large <= fewPlies:
		return false
	}
	return small == 2 || large > fewPlies+2
}

// asPlies gives a whole number of plies, or zero.
func asPlies(n *big.Rat) int {
	if !n.IsInt() || n.Cmp(big.NewRat(maxPlies, 1)) > 0 {
		return 0
	}
	return int(n.Num().Int64())
}

// bothOrders gives the two readings of a pair, size first as written and then
// the other, each written so that it can only be read one way.
func (z size) bothOrders(base Base) []Reading {
	var out []Reading
	for _, pair := range [2][2]*big.Rat{{z.first, z.second}, {z.second, z.first}} {
		plies := asPlies(pair[1])
		r, ok := newReading(base.of(pair[0], plies), base, pair[0], plies)
		r.Written = base.String() + " " + plain(pair[0]) + " x" + strconv.Itoa(plies)
		if ok {
			out = append(out, r)
		}
	}
	return out
}

// plain writes an exact number as a decimal that reads back.
func plain(n *big.Rat) string {
	if places, exact := n.FloatPrec(); exact {
		return n.FloatString(places)
	}
	return n.RatString()
}
