package measure

import (
	"math/big"
	"regexp"
	"strings"
	"sync"
)

// putUpSplit finds the stroke between length and mass: behind a unit, so that
// the stroke of 3/4 lb is none.
var putUpSplit = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)^(.*?\d.*?[a-z"'])\s*(?:/|=|:|\bper\b|\bin\b|\bfor\b|\bweighs?\b)\s*(.+)$`)
})

// putUpApart finds a length and a mass with nothing between them: 2.00 m 0.31 g.
var putUpApart = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)^(\S*\d.*[a-z"'])\s+(\d.*)$`)
})

// putUpBases are the put-ups that have a base of their own.
var putUpBases = map[string]Base{"yd/lb": BaseYdPerLb, "m/kg": BaseMPerKg, "m/100g": BaseMPer100g}

// parsePutUp reads a length for a mass, in either order: 1450 yd/lb,
// 125m/50g, 50 g / 125 m, 2.00 m 0.31 g. It is not ok when the text has no such shape.
func parsePutUp(body string) (yarn, bool, error) {
	length, mass, ok, err := lengthAndMass(body)
	if err != nil || !ok {
		return yarn{}, ok, err
	}
	y, ok, err := putUp(body, length, mass)
	y.sampled = err == nil && !perUnit(body) && cutAndWeighed(body, mass)
	return y, ok, err
}

// perUnit says whether a put-up is for one of a unit: 1450 yd/lb.
func perUnit(body string) bool {
	m := putUpSplit().FindStringSubmatch(body)
	return m != nil && unitWords()[lower(m[2])].size != nil
}

// lengthAndMass reads a length in mm and a mass in mg, in either order.
func lengthAndMass(body string) (length, mass *big.Rat, ok bool, err error) {
	m := putUpSplit().FindStringSubmatch(body)
	if m == nil {
		if m = putUpApart().FindStringSubmatch(body); m == nil {
			return nil, nil, false, nil
		}
	}
	head, tail := m[1], m[2]
	if perUnit(body) {
		tail = "1 " + tail
	}
	length, lerr := exactly(head, kindLength)
	mass, merr := exactly(tail, kindMass)
	if lerr != nil && merr != nil {
		swapped, err := exactly(head, kindMass)
		if err != nil {
			return nil, nil, looksPutUp(tail), lerr
		}
		mass, merr = swapped, nil
		length, lerr = exactly(tail, kindLength)
	}
	switch {
	case lerr != nil:
		return nil, nil, true, lerr
	case merr != nil:
		return nil, nil, looksPutUp(tail), merr
	}
	return length, mass, true, nil
}

// looksPutUp says whether a text ends in a unit of mass or length, and so was
// meant as half of a put-up.
func looksPutUp(tail string) bool {
	fields := strings.FieldsFunc(tail, func(r rune) bool {
		return r == ' ' || r >= '0' && r <= '9'
	})
	return len(fields) > 0 && unitWords()[lower(fields[len(fields)-1])].size != nil
}

// exactly reads a whole text as one quantity, unrounded.
func exactly(text string, want kind) (*big.Rat, error) {
	return (&scanner{in: text, amount: true}).quantity(want)
}

// putUp makes the count of a length in mm and a mass in mg: mg/km.
func putUp(body string, length, mass *big.Rat) (yarn, bool, error) {
	if length.Sign() == 0 || mass.Sign() == 0 {
		return yarn{}, true, noPutUp(body)
	}
	mtex := new(big.Rat).Quo(new(big.Rat).Mul(mass, big.NewRat(mmPerKm, 1)), length)
	base := putUpBase(body)
	if base == BaseLabel {
		return yarn{base: base, single: new(big.Rat).Quo(big.NewRat(1_000_000, 1), mtex), mtex: mtex}, true, nil
	}
	return yarn{base: base, single: base.sizeOf(mtex), mtex: mtex}, true, nil
}

func noPutUp(body string) *Error {
	return &Error{Input: body, Problem: "no length or no weight", Hint: kinds[kindCount].units}
}

// leastLabel is the least mass that yarn is sold by, in mg (common practice, no source):
// who states the length of less has cut and weighed it.
const leastLabel = 20_000

// grams matches a mass that is written in grams.
var grams = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\d\s*g(?:rams?)?\b`)
})

// cutAndWeighed says whether a length for a mass in mg was measured rather than read
// from a label: the mass is less than is sold, or in grams and not in whole ones.
func cutAndWeighed(body string, mass *big.Rat) bool {
	whole := new(big.Rat).Quo(mass, big.NewRat(int64(Gram), 1)).IsInt()
	return mass.Cmp(big.NewRat(leastLabel, 1)) < 0 || !whole && grams().MatchString(body)
}

// putUpBase finds the base whose unit word ends the text.
func putUpBase(body string) Base {
	squeezed := strings.Join(strings.Fields(strings.Replace(body, " per ", "/", 1)), "")
	number := strings.IndexFunc(squeezed,
		func(r rune) bool { return !strings.ContainsRune("0123456789.,", r) })
	if base, ok := putUpBases[lower(squeezed[max(number, 0):])]; ok {
		return base
	}
	return BaseLabel
}
