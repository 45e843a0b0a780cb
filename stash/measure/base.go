package measure

import (
	"math"
	"math/big"
	"strings"
	"sync"
)

// Base is the system in which a yarn count is written. The zero value is
// BaseUnknown.
type Base int

// The bases of a count. Those from BaseNm to BaseSilk count length for a mass,
// so that a larger number is a finer yarn; BaseTex, BaseDtex and BaseDenier
// count mass for a length.
const (
	BaseUnknown  Base = iota
	BaseTex           // g/km
	BaseDtex          // g/10 km
	BaseDenier        // g/9 km
	BaseNm            // km/kg
	BaseNe            // 840 yd/lb
	BaseNeW           // 560 yd/lb
	BaseLea           // 300 yd/lb
	BaseRun           // 1600 yd/lb
	BaseCut           // 300 yd/lb
	BaseSkein         // 256 yd/lb
	BaseSilk          // 840 yd/lb of the folded yarn
	BaseYdPerLb       // yards per pound
	BaseMPerKg        // metres per kilogram
	BaseMPer100g      // metres in 100 grams
	BaseLabel         // length and weight as sold
	BaseWraps         // wraps per inch
)

// baseRow is what is known of one base.
type baseRow struct {
	unit       string // the unit word, which is also its text form
	name       string
	definition string
	spellings  string // other words, split at the comma
	// perUnit is the exact number of mg/km at 1 in the base: count =
	// perUnit·n when direct, perUnit/n otherwise. Nil where the base has no
	// fixed size.
	perUnit *big.Rat
	direct  bool
	folds   bool // numbers of singles and folds are written: 8/2
	squared bool // the length of a mass goes with the square of the number
}

// mtexAtYdPerLb is mg/km at 1 yd/lb, exactly: a pound over a yard
// (496 054.6478… tex, ASTM D2260 Table 1 prints 496 055).
var mtexAtYdPerLb = new(big.Rat).Quo(big.NewRat(45_359_237, 100), big.NewRat(9144, 10_000_000))

func perYards(n int64) *big.Rat { return new(big.Rat).Quo(mtexAtYdPerLb, big.NewRat(n, 1)) }

// bases is the table of count systems. Sizes of Ne, NeW, lea, run and yd/lb:
// ASTM D2260-03(2013) Table 1. Cut: GNU units. Yorkshire skein: 1536 yd in
// 6 lb, a published table of count systems. Spun silk, which counts the folded
// yarn: Taylor, Cotton Weaving and Designing, 6th ed.; Brooks, Cotton
// Manufacturing. Wraps: a thread twice as
// thick weighs four times as much, so yd/lb goes with the square of the wraps
// (the relation of diameter and count, Ashenhurst; package cloth). Wound by hand, soft yarn of
// 12 wraps has about 1100 yd/lb (from memory): 7.6 for the square, easily 30 % out.
var bases = [...]baseRow{
	BaseUnknown: {},
	BaseTex: {"tex", "tex", "grams in 1000 m (ASTM D2260)", "", big.NewRat(1000, 1), true,
		false, false},
	BaseDtex: {"dtex", "decitex", "grams in 10 000 m (ASTM D2260)", "decitex",
		big.NewRat(100, 1), true, false, false},
	BaseDenier: {"den", "denier", "grams in 9000 m (ASTM D2260)", "denier,deniers",
		big.NewRat(1000, 9), true, false, false},
	BaseNm: {"Nm", "metric count", "metres in a gram (GNU units, metricyarncount)",
		"metric,metric count", big.NewRat(1_000_000, 1), false, true, false},
	BaseNe: {"Ne", "English cotton count", "hanks of 840 yd in a pound (ASTM D2260)",
		"nec,cotton count,cc", perYards(840), false, true, false},
	BaseNeW: {"NeW", "worsted count", "hanks of 560 yd in a pound (ASTM D2260)",
		"worsted,worsted count,wc", perYards(560), false, true, false},
	BaseLea: {"lea", "linen lea", "leas of 300 yd in a pound (ASTM D2260)",
		"leas,nel,linen lea,linen count", perYards(300), false, true, false},
	BaseRun: {"run", "woollen run", "runs of 1600 yd in a pound (ASTM D2260)", "runs,woollen run",
		perYards(1600), false, true, false},
	BaseCut: {"cut", "woollen cut", "cuts of 300 yd in a pound (GNU units, yarncut)",
		"cuts,woollen cut", perYards(300), false, true, false},
	BaseSkein: {"skein", "Yorkshire skein",
		"skeins of 256 yd in a pound, 1536 yd in 6 lb (published table of count systems)",
		"skeins,yorkshire skein,yorkshire skeins,yorkshire", perYards(256), false, true, false},
	BaseSilk: {"silkNe", "spun silk count",
		"hanks of 840 yd of the folded yarn in a pound; the folds do not divide it (Taylor; Brooks)",
		"spun silk,spun silk count", perYards(840), false, true, false},
	BaseYdPerLb: {"yd/lb", "yards per pound", "yards in a pound (ASTM D2260)",
		"ypp,yards per pound", perYards(1), false, false, false},
	BaseMPerKg: {"m/kg", "metres per kilogram", "metres in a kilogram",
		"metres per kilo,metres per kilogram", big.NewRat(1_000_000_000, 1), false, false, false},
	BaseMPer100g: {"m/100g", "metres in 100 grams", "metres in 100 g, as ball bands give it", "",
		big.NewRat(100_000_000, 1), false, false, false},
	BaseLabel: {"label", "label", "length and weight as sold", "", nil, false, false, false},
	BaseWraps: {unit: "wpi", name: "wraps per inch",
		definition: "wraps in an inch, 7.6 yd/lb for their square (1100 at 12, from memory; easily 30% out)",
		spellings:  "wraps per inch,wraps/in,wraps/inch,wraps",
		perUnit:    new(big.Rat).Quo(mtexAtYdPerLb, big.NewRat(76, 10)), squared: true},
}

// Bases lists every known base.
func Bases() []Base {
	var all []Base
	for b := BaseTex; b.valid(); b++ {
		all = append(all, b)
	}
	return all
}

func (b Base) valid() bool { return b > BaseUnknown && int(b) < len(bases) }

func (b Base) row() baseRow {
	if !b.valid() {
		return baseRow{}
	}
	return bases[b]
}

// String gives the unit word that ParseCount reads: "Ne", "tex", "yd/lb".
func (b Base) String() string {
	if !b.valid() {
		return "unknown"
	}
	return b.row().unit
}

// Name gives the full name: "English cotton count".
func (b Base) Name() string { return b.row().name }

// Definition says what one unit of the base is, with its source.
func (b Base) Definition() string { return b.row().definition }

// folded says whether counts in this base are written with a number of folds,
// as 8/2 is.
func (b Base) folded() bool { return b.row().folds }

// MarshalText writes the base's unit word; BaseUnknown is empty.
func (b Base) MarshalText() ([]byte, error) { return []byte(b.row().unit), nil }

// UnmarshalText reads any spelling of a base, in any letter case. An unknown
// word is an *Error that lists the unit words.
func (b *Base) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*b = BaseUnknown
		return nil
	}
	found, ok := baseNamed(string(text))
	if !ok {
		return &Error{Input: string(text), Problem: "no such count base", Hint: "one of: " +
			baseWords()}
	}
	*b = found
	return nil
}

// baseNamed finds a base by any of its spellings.
func baseNamed(word string) (Base, bool) {
	b, ok := baseSpellings()[strings.Join(strings.Fields(lower(word)), " ")]
	return b, ok
}

var baseSpellings = sync.OnceValue(spellBases)

func spellBases() map[string]Base {
	words := map[string]Base{}
	for _, b := range Bases() {
		words[lower(b.row().unit)] = b
		for w := range strings.SplitSeq(b.row().spellings, ",") {
			if w != "" {
				words[w] = b
			}
		}
	}
	return words
}

func baseWords() string {
	var words []string
	for _, b := range Bases() {
		words = append(words, b.String())
	}
	return strings.Join(words, " ")
}

// of gives the exact count, in mg/km, of a number n above zero in this base,
// with so many folds.
func (b Base) of(n *big.Rat, plies int) *big.Rat {
	row, out := b.row(), new(big.Rat)
	if row.squared {
		n = new(big.Rat).Mul(n, n)
	}
	if row.direct {
		out.Mul(row.perUnit, n)
	} else {
		out.Quo(row.perUnit, n)
	}
	if plies > 1 && b != BaseSilk {
		out.Mul(out, big.NewRat(int64(plies), 1))
	}
	return out
}

// In gives the count as a number in a base, of the whole yarn: 147 635 mtex is
// 4 in BaseNe. It is zero when the count is unknown or the base has no fixed
// size (BaseLabel).
func (c Count) In(b Base) float64 {
	if c <= 0 || b.row().perUnit == nil {
		return 0
	}
	one, _ := b.row().perUnit.Float64()
	if b.row().direct {
		return float64(c) / one
	}
	if b.row().squared {
		return math.Sqrt(one / float64(c))
	}
	return one / float64(c)
}
