// Package measure holds the quantities that a weaver weighs, counts and
// measures: mass, length, yarn count, sett and ratio. Each is a distinct
// integer-backed type, so that a mix-up does not compile and no rounding
// error builds up in the ledger. Conversions round once, half to even.
//
// # Where things are
//
//	measure.go                            the types and their units
//	quantity.go, settratio.go, scan.go, units.go, errors.go  quantities, read
//	countparse.go, countsize.go, base.go, source.go, countoffer.go, putup.go, samples.go, corrected.go  yarn counts, read (reading.go)
//	format.go, said.go, counted.go, column.go, system.go  written: exact, per cent, nouns, columns
//	convert.go, round.go, part.go, uncertainty.go  reckoned with
package measure

// Mass is a mass in milligrams.
type Mass int64

// Length is a length in millimetres, slack (no tension) unless a name says otherwise.
type Length int64

// Count is a yarn's resultant linear density in millitex, that is mg/km
// (1 tex = 1 g/km = 1000 mtex). Zero means that no count is recorded.
type Count int64

// Sett is threads per 1000 metres: ends in the reed or picks in the cloth
// (8 per cm = 800 000; 20 per inch = 787 402).
type Sett int64

// Ratio is a dimensionless ratio in parts per million (12 % = 120 000).
type Ratio int64

// Units of the integer types.
const (
	Milligram Mass = 1
	Gram      Mass = 1000
	Kilogram  Mass = 1000 * Gram

	Millimetre Length = 1
	Centimetre Length = 10
	Metre      Length = 1000

	Tex Count = 1000

	PerCentimetre Sett = 100_000

	Percent Ratio = 10_000
	Whole   Ratio = 1_000_000
)
