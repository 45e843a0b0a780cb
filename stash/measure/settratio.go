package measure

import (
	"math/big"
	"regexp"
	"strings"
	"sync"

	"endsmeet/stash/written"
)

// per matches "8 ends / 10 cm"; named matches "20 epi". The first group is
// the number.
var (
	settPer = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?i)^\s*(.+?)\s*(?:ends?|picks?|threads?|dents?|e|p)?\s*(?:/|\bper\b)\s*([\d.,]*)\s*([a-z"″”]+)\.?\s*$`)
	})
	settNamed = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?i)^\s*(.+?)\s*(epi|ppi|epc|ppc|(?:ends|picks) per (?:inch|cm))\s*$`)
	})
)

// maxSett is 1000 threads to the centimetre, far finer than any hand loom.
const maxSett = 1000 * PerCentimetre

// ParseSett reads a sett: 8/cm, 20epi, 20/in, 20 ppi, 8 ends/cm, 8 picks/cm,
// 80/10cm. The value is exact until it is rounded once, half to even, to a
// thread in 1000 metres. The error is an *Error: no unit, zero or negative,
// finer than 1000/cm.
func ParseSett(s string) (Sett, error) {
	sc := &scanner{in: s}
	threads, per, err := sc.sett()
	if err != nil {
		return 0, err
	}
	if threads.Sign() == 0 {
		return 0, sc.fail(0, "a sett of zero is no cloth", "like 8/cm or 20epi")
	}
	exact := threads.Mul(threads, big.NewRat(1_000_000, 1))
	exact.Quo(exact, per)
	if exact.Cmp(big.NewRat(int64(maxSett), 1)) > 0 {
		return 0, sc.fail(0, "is more than 1000/cm", "check the unit and the decimal point")
	}
	n, _ := written.Round(exact)
	if n == 0 {
		return 0, sc.fail(0, "is less than one thread in 1000 m",
			"check the unit and the decimal point")
	}
	return Sett(n), nil
}

// sett gives a number of threads and the millimetres that they stand in.
func (s *scanner) sett() (threads, per *big.Rat, err error) {
	if m := settNamed().FindStringSubmatchIndex(s.in); m != nil {
		per = unitWords()["in"].size
		if last := s.in[m[5]-1]; last == 'c' || last == 'C' || last == 'm' || last == 'M' {
			per = unitWords()["cm"].size
		}
		threads, err = s.wholeNumber(m[2], m[3])
		return threads, per, err
	}
	m := settPer().FindStringSubmatchIndex(s.in)
	if m == nil {
		return nil, nil, s.noSett()
	}
	if threads, err = s.wholeNumber(m[2], m[3]); err != nil {
		return nil, nil, err
	}
	per, err = s.settLength(m)
	return threads, per, err
}

// settLength reads the "10 cm" of "80/10cm".
func (s *scanner) settLength(m []int) (*big.Rat, error) {
	word := s.in[m[6]:m[7]]
	if kindOfWord(word) != kindLength {
		return nil, s.wrongUnit(m[6], word, kindSett)
	}
	size := unitWords()[lower(word)].size
	if m[4] == m[5] {
		return size, nil
	}
	n, err := s.wholeNumber(m[4], m[5])
	if err != nil {
		return nil, err
	}
	if n.Sign() == 0 {
		return nil, s.fail(m[4], "divides by zero", "")
	}
	return n.Mul(n, size), nil
}

// noSett explains a text that has no sett's shape.
func (s *scanner) noSett() error {
	s.space()
	if s.done() {
		return s.fail(0, "is empty", kinds[kindSett].units)
	}
	if _, err := s.number(); err != nil {
		return err
	}
	after := s.pos
	s.space()
	at := s.pos
	if word := s.word(); word != "" && kindOfWord(word) != kindSett {
		return s.wrongUnit(at, word, kindSett)
	}
	return s.fail(after, "to the centimetre or to the inch?", "write 8/cm or 20epi")
}

// wholeNumber reads in[from:to] as one number and nothing else.
func (s *scanner) wholeNumber(from, to int) (*big.Rat, error) {
	part := &scanner{in: s.in[:to], pos: from}
	n, err := part.number()
	if err != nil {
		return nil, s.reframe(err)
	}
	if part.space(); !part.done() {
		return nil, s.fail(part.pos, "cannot read "+quoteWord(s.in[part.pos:to])+" here", "")
	}
	return n, nil
}

// reframe makes an error of a part speak of the whole line.
func (s *scanner) reframe(err error) error {
	if e, ok := err.(*Error); ok {
		e.Input = s.in
	}
	return err
}

// ratioTail matches what may stand behind a ratio's number.
var ratioTail = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)^\s*(%|percent|per cent|per\s?mille|‰)?\s*$`)
})

// maxRatio is 1000 %, past any crimp, stretch or doubt.
const maxRatio = 10 * Whole

// ParseRatio reads a ratio: 12%, 4.5 %, 0.12. A number without a sign must not
// be above 1, since 12 may be meant as 12 %. The value is exact until it is
// rounded once, half to even, to a part in a million. The error is an *Error.
func ParseRatio(s string) (Ratio, error) {
	sc := &scanner{in: s}
	sc.space()
	if sc.done() {
		return 0, sc.fail(0, "is empty", kinds[kindRatio].units)
	}
	value, err := sc.number()
	if err != nil {
		return 0, err
	}
	if err := sc.ratioUnit(value); err != nil {
		return 0, err
	}
	exact := value.Mul(value, big.NewRat(int64(Whole), 1))
	if exact.Cmp(big.NewRat(int64(maxRatio), 1)) > 0 {
		return 0, sc.fail(0, "is more than 1000%", "check the decimal point")
	}
	n, _ := written.Round(exact)
	return Ratio(n), nil
}

// ratioUnit reads the sign behind the number and scales the number by it.
func (s *scanner) ratioUnit(value *big.Rat) error {
	at := s.pos
	m := ratioTail().FindStringSubmatch(s.in[s.pos:])
	switch {
	case m == nil:
		s.space()
		at = s.pos
		if word := s.word(); word != "" {
			return s.wrongUnit(at, word, kindRatio)
		}
		return s.fail(at, "cannot read "+quoteWord(s.in[at:])+" here", kinds[kindRatio].units)
	case m[1] == "" && value.Cmp(big.NewRat(1, 1)) > 0:
		head := s.in[:at]
		return s.fail(at, "a ratio without a unit is at most 1",
			"for per cent write "+shorten(strings.TrimSpace(head))+"%")
	case m[1] == "":
		return nil
	case m[1] == "‰" || strings.HasSuffix(lower(m[1]), "mille"):
		value.Quo(value, big.NewRat(1000, 1))
	default:
		value.Quo(value, big.NewRat(100, 1))
	}
	return nil
}
