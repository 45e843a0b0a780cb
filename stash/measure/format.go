package measure

import (
	"math/big"
	"strings"

	"endsmeet/stash/written"
)

// String gives the mass exactly, in grams: "412 g", "0.125 g".
func (m Mass) String() string { return written.Decimal(int64(m), 3) + " g" }

// String gives the length exactly, in metres: "1.778 m".
func (l Length) String() string { return written.Decimal(int64(l), 3) + " m" }

// String gives the sett exactly, to the centimetre: "8/cm", "7.87402/cm".
// ParseSett reads it back to the same sett, unless it is not above zero or
// is beyond its limit.
func (s Sett) String() string { return written.Decimal(int64(s), 5) + "/cm" }

// String gives the ratio exactly, in per cent: "12 %", "4.5 %". ParseRatio
// reads it back to the same ratio, unless it is negative or beyond its limit.
func (r Ratio) String() string { return written.Decimal(int64(r), 4) + "%" }

// inverse gives 1 over a unit's size.
func inverse(word string) *big.Rat { return new(big.Rat).Inv(unitWords()[word].size) }

var (
	perOunce  = inverse("oz")
	perInch   = inverse("in")
	perYard   = inverse("yd")
	perMetre  = inverse("m")
	perGram   = inverse("g")
	perKilo   = inverse("kg")
	perCentim = inverse("cm")
)

// Format gives the mass as a person reads it: "850 mg", "412 g", "12.35 kg";
// imperial "0.35 oz", "14.5 oz", "1 lb 3.0 oz". What a scale read to a tenth of
// a gram keeps it; what was worked out has none from a hundred grams on.
func (m Mass) Format(sys System) string {
	n, size := int64(m), magnitude(int64(m))
	switch {
	case sys == Imperial:
		return m.imperial()
	case m == 0:
		return "0 g"
	case size < uint64(Gram):
		return written.Fixed(n, 0) + " mg"
	case size < uint64(100*Gram), size < uint64(Kilogram) && size%100 == 0:
		return trimZeros(scaled(n, perGram, 1)) + " g"
	case size < uint64(10*Kilogram):
		return scaled(n, perGram, 0) + " g"
	}
	return scaled(n, perKilo, 2) + " kg"
}

// Whole gives the mass as a column of a table has it: in whole grams, or in
// tenths of an ounce, which is what a kitchen scale tells.
func (m Mass) Whole(sys System) string {
	if sys == Imperial {
		return scaled(int64(m), perOunce, 1) + " oz"
	}
	return scaled(int64(m), perGram, 0) + " g"
}

// imperial gives ounces, and pounds and ounces from a pound on. The ounces are
// rounded before they are split, so 16.0 oz is never left over.
func (m Mass) imperial() string {
	if m == 0 {
		return "0 oz"
	}
	switch size := magnitude(int64(m)); {
	case size < 15:
		return scaled(int64(m), perOunce, 5) + " oz"
	case size < 284: // 0.01 oz
		return scaled(int64(m), perOunce, 3) + " oz"
	case size < 28_350:
		return scaled(int64(m), perOunce, 2) + " oz"
	}
	tenths := new(big.Rat).Mul(new(big.Rat).SetInt64(int64(m)), perOunce)
	rounded, _ := written.Round(tenths.Mul(tenths, big.NewRat(10, 1)))
	size := int64(magnitude(rounded))
	sign := ""
	if rounded < 0 {
		sign = "-"
	}
	if size < 160 {
		return sign + written.Fixed(size, 1) + " oz"
	}
	return sign + written.Fixed(size/160, 0) + " lb " + written.Fixed(size%160, 1) + " oz"
}

// Cloth gives the length as one measures cloth, to the millimetre or to an
// eighth of an inch: "160 cm", "27.5 cm", "63 in", "10 7/8 in".
func (l Length) Cloth(sys System) string {
	if sys == Imperial {
		return l.inches(8) + " in"
	}
	return trimZeros(scaled(int64(l), perCentim, 1)) + " cm"
}

// Planned gives the length of cloth as a plan can know it: to the millimetre or
// an eighth of an inch below a metre or a hundred inches, and whole from there.
func (l Length) Planned(sys System) string {
	switch {
	case sys == Imperial && magnitude(int64(l)) >= 2540:
		return l.inches(1) + " in"
	case sys == Metric && magnitude(int64(l)) >= 1000:
		return scaled(int64(l), perCentim, 0) + " cm"
	}
	return l.Cloth(sys)
}

// inches gives whole inches and a fraction in its lowest terms, of the parts
// that an inch has: "10 7/8", "3/4", "-1 1/2".
func (l Length) inches(parts int64) string {
	r := new(big.Rat).Mul(new(big.Rat).SetInt64(int64(l)), perInch)
	n, _ := written.Round(r.Mul(r, new(big.Rat).SetInt64(parts)))
	sign := ""
	if n < 0 {
		sign = "-"
	}
	size := int64(magnitude(n))
	whole, part := written.Fixed(size/parts, 0), big.NewRat(size%parts, parts)
	switch {
	case part.Sign() == 0:
		return sign + whole
	case size < parts:
		return sign + part.String()
	}
	return sign + whole + " " + part.String()
}

// Yarn gives the length as one measures yarn, with three figures or all whole
// ones: "4.58 m", "70.4 m", "73 m", "2621 m"; imperial in yards.
func (l Length) Yarn(sys System) string {
	factor, word := perMetre, " m"
	if sys == Imperial {
		factor, word = perYard, " yd"
	}
	places := 0
	switch size := magnitude(int64(l)); {
	case size < 10_000:
		places = 2
	case size < 100_000:
		places = 1
	}
	return trimZeros(scaled(int64(l), factor, places)) + word
}

// Format gives the sett as a person reads it, with up to two decimals:
// "8/cm", "7.5/cm", "20/in".
func (s Sett) Format(sys System) string {
	if sys == Imperial {
		return trimZeros(scaled(int64(s), big.NewRat(254, 10_000_000), 2)) + "/in"
	}
	return trimZeros(scaled(int64(s), big.NewRat(1, int64(PerCentimetre)), 2)) + "/cm"
}

func lower(s string) string { return strings.ToLower(s) }

// Exact is what ParseMass reads back to the same mass, unless it is negative or
// beyond its limit: a nought behind three digits says that they are no thousands.
func (m Mass) Exact() string { return oneWay(int64(m)) + " g" }

// Exact is what ParseLength reads back to the same length.
func (l Length) Exact() string { return oneWay(int64(l)) + " m" }

func oneWay(n int64) string {
	text := written.Decimal(n, 3)
	if strings.Contains(text, ".") && written.Evidence(text) == written.StyleUnknown {
		text += "0"
	}
	return text
}
