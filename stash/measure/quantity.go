package measure

import (
	"math/big"
	"strings"

	"endsmeet/stash/written"
)

// limits bounds a quantity: what is larger is a slip of the pen.
type limits struct {
	most   *big.Rat // in the kind's own integer unit
	named  string
	finest string
}

var (
	massLimits   = limits{big.NewRat(int64(1000*Kilogram), 1), "1000 kg", "a milligram"}
	lengthLimits = limits{big.NewRat(10_000*1000*int64(Metre), 1), "10 000 km", "a millimetre"}
)

// ParseMass reads a mass: 412g, 1.2kg, 1,5 kg, 14oz, 1lb 3oz, 3/4lb, ½ oz.
// Units may be metric or inch-pound, in any letter case; parts of a compound
// go from large to small. The value is exact until it is rounded once, half
// to even, to a milligram. The error is an *Error: no unit, the wrong kind of
// unit, negative, above 1000 kg.
func ParseMass(s string) (Mass, error) {
	n, err := parseQuantity(s, kindMass, massLimits)
	return Mass(n), err
}

// ParseLength reads a length: 3.2m, 48 cm, 120mm, 70in, 2yd 1in, 1'6". It
// works as ParseMass does, rounds to a millimetre, and refuses more than
// 10 000 km.
func ParseLength(s string) (Length, error) {
	n, err := parseQuantity(s, kindLength, lengthLimits)
	return Length(n), err
}

func parseQuantity(in string, want kind, lim limits) (int64, error) {
	s := &scanner{in: in, amount: true}
	exact, err := s.quantity(want)
	if err != nil {
		return 0, err
	}
	return s.bounded(exact, lim)
}

// bounded rounds an exact value and holds it against the limits.
func (s *scanner) bounded(exact *big.Rat, lim limits) (int64, error) {
	if exact.Cmp(lim.most) > 0 {
		return 0, s.fail(0, "is more than "+lim.named, "check the unit and the decimal point")
	}
	n, _ := written.Round(exact) // fits: it is within the limits
	if n == 0 && exact.Sign() > 0 {
		return 0, s.fail(0, "is less than "+lim.finest+" can show",
			"check the unit and the decimal point")
	}
	return n, nil
}

// quantity reads one or more pairs of number and unit to the end of the line,
// and gives their sum.
func (s *scanner) quantity(want kind) (*big.Rat, error) {
	s.space()
	if s.done() {
		return nil, s.fail(0, "is empty", kinds[want].units)
	}
	total, last := new(big.Rat), (*big.Rat)(nil)
	for !s.done() {
		start := s.pos
		n, size, err := s.term(want)
		if err != nil {
			return nil, err
		}
		if last != nil && size.Cmp(last) >= 0 {
			return nil, s.fail(start, "the parts do not go from large to small",
				"write the larger unit first, like 1lb 3oz")
		}
		last = size
		total.Add(total, n.Mul(n, size))
		s.space()
	}
	return total, nil
}

// term reads one number and its unit.
func (s *scanner) term(want kind) (value, size *big.Rat, err error) {
	if value, err = s.number(); err != nil {
		return nil, nil, err
	}
	after := s.pos
	s.space()
	at := s.pos
	word := s.word()
	u, known := unitWords()[strings.ToLower(word)]
	switch {
	case word == "" && s.done():
		return nil, nil, s.unitMissing(after, want)
	case known && u.kind == want:
		return value, u.size, s.notCompound(at, want)
	case word == "":
		return nil, nil, s.unreadable(at, want)
	}
	return nil, nil, s.wrongUnit(at, word, want)
}

// notCompound refuses a unit that goes on: 8 m/kg is no length.
func (s *scanner) notCompound(at int, want kind) error {
	back := s.pos
	defer func() { s.pos = back }()
	s.space()
	if s.skipWord("/") {
		return s.fail(at, "is "+kinds[kindCount].name+", "+kinds[want].name+" is wanted",
			kinds[want].units)
	}
	return nil
}

func (s *scanner) unitMissing(after int, want kind) error {
	head, example := strings.TrimSpace(s.in), kinds[want].example
	if want == kindLength && strings.ContainsAny(head, "'′’") {
		example = `"`
	}
	return s.fail(after, "has no unit",
		"write "+shorten(head)+example+"; "+kinds[want].units)
}

func (s *scanner) unreadable(at int, want kind) error {
	if s.skipWord("/") {
		return s.fail(at, "is "+kinds[kindSett].name+", "+kinds[want].name+" is wanted",
			kinds[want].units)
	}
	r, _ := s.peek()
	return s.fail(at, "cannot read "+quoteRune(r)+" here", kinds[want].units)
}

func (s *scanner) wrongUnit(at int, word string, want kind) error {
	if strings.EqualFold(word, "gr") {
		return s.fail(at, `"gr" is grams to some and grains to others`, "write g or grain")
	}
	switch other := kindOfWord(word); other {
	case want:
		return s.fail(at, "cannot read "+quoteWord(word)+" here", kinds[want].units)
	case kindNone:
		return s.fail(at, "unknown unit "+quoteWord(word), kinds[want].units)
	default:
		return s.fail(at, "is "+kinds[other].name+", "+kinds[want].name+" is wanted",
			kinds[want].units)
	}
}
