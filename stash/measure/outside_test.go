package measure_test

import (
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"endsmeet/stash/measure"
	"endsmeet/stash/outside"
)

// unitsRow is one conversion of testdata/published/gnu-units-2.22.tsv.
type unitsRow struct {
	kind, written, from, to string
	value                   float64
}

func unitsRows(t *testing.T) []unitsRow {
	t.Helper()
	text, err := os.ReadFile("../../testdata/published/gnu-units-2.22.tsv")
	if err != nil {
		t.Fatal(err)
	}
	var rows []unitsRow
	for line := range strings.Lines(string(text)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		f := strings.Split(strings.TrimSpace(line), "\t")
		value, err := strconv.ParseFloat(f[4], 64)
		if err != nil {
			t.Fatal(err)
		}
		rows = append(rows, unitsRow{f[0], f[1], f[2], f[3], value})
	}
	if len(rows) < 25 {
		t.Fatalf("only %d conversions", len(rows))
	}
	return rows
}

// read gives a written quantity as the integer that is kept.
func read(t *testing.T, kind, written string) int64 {
	t.Helper()
	var n int64
	var err error
	switch kind {
	case "count":
		var r measure.Reading
		r, err = measure.ParseCount(written)
		n = int64(r.Count)
	case "mass":
		var m measure.Mass
		m, err = measure.ParseMass(written)
		n = int64(m)
	case "length":
		var l measure.Length
		l, err = measure.ParseLength(written)
		n = int64(l)
	case "sett":
		var s measure.Sett
		s, err = measure.ParseSett(written)
		n = int64(s)
	default:
		t.Fatalf("no kind %q", kind)
	}
	if err != nil {
		t.Errorf("%s %q: %v", kind, written, err)
	}
	return n
}

// The oracle is GNU units 2.22, its answers kept in testdata.
func TestConversionsAgreeWithGNUUnits(t *testing.T) {
	for _, row := range unitsRows(t) {
		if got := read(t, row.kind, row.written); got != int64(math.RoundToEven(row.value)) {
			t.Errorf("%s %q is %d, GNU units says %v", row.kind, row.written, got, row.value)
		}
	}
}

// The same against the program itself, where it is installed.
func TestGNUUnitsStillGivesTheKeptValues(t *testing.T) {
	program := outside.Program(t, "units")
	for _, row := range unitsRows(t) {
		out, err := exec.Command(program, "-1", "--terse", "-o", "%.15g", row.from, row.to).Output()
		if err != nil {
			t.Errorf("units %q %q: %v", row.from, row.to, err)
			continue
		}
		got, err := strconv.ParseFloat(strings.TrimSpace(string(out)), 64)
		if err != nil || math.Abs(got-row.value) > 1e-9*row.value {
			t.Errorf("units %q %q gives %s, kept is %v", row.from, row.to, out, row.value)
		}
	}
}

// Printed constants: ASTM D2260-03(2013) Table 1; for the skein, 1536 yd in
// 6 lb from a published table of count systems; for cut and Nm, GNU units.
func TestOneOfEachBaseIsThePublishedConstant(t *testing.T) {
	for _, row := range []struct {
		written string
		tex     float64
	}{
		{"1 Ne", 590.5412474482356}, {"1 NeW", 885.8118711723536}, {"1 lea", 1653.5154928550598},
		{"1 run", 310.0341549103237},
		{"1 cut", 1653.515493}, {"1 skein", 1937.7134681895232}, {"1 Nm", 1000},
		{"100 yd/lb", 4960.546478565179}, {"9 den", 1}, {"10 dtex", 1},
		{"1000 m/kg", 1000}, {"1 silkNe", 590.5412474482356},
	} {
		if got, want := float64(read(t, "count", row.written)),
			row.tex*1000; math.Abs(got-want) > 0.5 {
			t.Errorf("%s is %v mtex, published %v", row.written, got, want)
		}
	}
}

// rounding is the relative error that rounding a count to a mg/km can make,
// and that of the ten figures that the sources print.
func rounding(c measure.Count) float64 { return 0.5/float64(c) + 1e-7 }

// Yards in a pound, printed by the sources that stand beside each row.
func TestYardsPerPoundArePublished(t *testing.T) {
	for _, row := range []struct {
		written string
		want    float64
		source  string
	}{
		{"8/2 Ne", 3360, "GNU units"}, {"2/8 Ne", 3360, "GNU units"},
		{"5/2 Ne", 2100, "840·5/2; one printed 2400 is a misprint"},
		{"10/2 Ne", 4200, "GNU units"}, {"16/2 Ne", 6720, "GNU units"},
		{"20/2 Ne", 8400, "GNU units"}, {"Ne 3 x2", 1260, "GNU units"},
		{"2/8 NeW", 2240, "GNU units"}, {"2/18 NeW", 5040, "GNU units"},
		{"2/20 NeW", 5600, "GNU units"}, {"16/1 lea", 4800, "GNU units"},
		{"16/2 lea", 2400, "GNU units"}, {"8/2 Nm", 1984.218591, "GNU units"},
		{"16/2 Nm", 3968.437183, "GNU units"},
		{"28/2 Nm", 6944.76507, "GNU units"}, {"60/2 Nm", 14881.63944, "GNU units"},
		{"125 m / 50 g", 1240.13662, "GNU units"},
		{"6 run", 9600, "ASTM D2260, 1600 yd/lb"},
		{"2/40 Ne", 840 * 20, "Taylor: 2-40's are 20 hanks"}, {"2/80 Ne", 840 * 40, "Brooks"},
		{"3/300 Ne", 840 * 100, "Brooks"},
		{"40/2 silkNe", 840 * 40, "Taylor: spun silk counts the folded yarn"},
		{"30/2 silkNe", 840 * 30, "Brooks"}, {"2/30 Ne", 840 * 15, "Brooks"},
	} {
		r, err := measure.ParseCount(row.written)
		if got := r.Count.In(measure.BaseYdPerLb); err != nil ||
			math.Abs(got/row.want-1) > rounding(r.Count) {
			t.Errorf("%s is %v yd/lb, %v; %s: %v", row.written, got, err, row.source, row.want)
		}
	}
}

// Unequal folds, printed answers: Taylor for 60 and 40; Brooks for the next
// two; an examination paper for 24 and 40; GNU units for the last two. A page
// that prints 10 for 20, 15 and 12 is wrong: the sum of reciprocals gives 5.
func TestUnequalFolds(t *testing.T) {
	for _, row := range []struct {
		written string
		ne      float64
	}{
		{"60+40 Ne", 24}, {"40+20 Ne", 40.0 / 3}, {"40+80+120 Ne", 21.8181818}, {"Ne 24 + 40", 15},
		{"20 + 15 + 12 Ne", 5},
		{"20+30 Ne", 12}, {"20 Ne + 20 NeW", 8},
	} {
		r, err := measure.ParseCount(row.written)
		if got := r.Count.In(measure.BaseNe); err != nil ||
			math.Abs(got/row.ne-1) > rounding(r.Count) {
			t.Errorf("%s is Ne %v, %v; printed %v", row.written, got, err, row.ne)
		}
	}
}

// From one base to another: ASTM D2260 examples 1 and 2 and its factors;
// Brooks for cotton 20; GNU units for the others.
func TestCountsBetweenBases(t *testing.T) {
	for _, row := range []struct {
		written string
		to      measure.Base
		want    float64
	}{
		{"10 Ne", measure.BaseNeW, 15}, {"30 tex", measure.BaseNe, 19.68471},
		{"20 Ne", measure.BaseNeW, 30}, {"20 Ne", measure.BaseLea, 56},
		{"20 Ne", measure.BaseSilk, 20}, {"1 Ne", measure.BaseLea, 2.8},
		{"1 NeW", measure.BaseLea, 1.8666667}, {"1 Ne", measure.BaseRun, 0.525},
		{"1 NeW", measure.BaseRun, 0.35}, {"1 lea", measure.BaseRun, 0.1875},
		{"1 Ne", measure.BaseNm, 1.693361817},
		{"1 NeW", measure.BaseNm, 1.128907878}, {"1 lea", measure.BaseNm, 0.6047720776},
		{"1 run", measure.BaseNm, 3.225451081},
		{"1 skein", measure.BaseNm, 0.5160721729}, {"34 tex", measure.BaseNe, 17.36886022},
		{"8/2 Nm", measure.BaseNeW, 3.543247485},
		{"100 g / 200 m", measure.BaseNm, 2}, {"2/8 NeW", measure.BaseTex, 221.4529678},
		{"8/2 Ne", measure.BaseMPerKg, 6773.447269},
		{"1 Ne", measure.BaseDenier, 5314.871227}, {"1 NeW", measure.BaseDenier, 7972.306841},
		{"12 wpi", measure.BaseWraps, 12},
		{"8/2 Ne", measure.BaseTex, 147.6353119}, {"2/18 NeW", measure.BaseTex, 98.42354124},
		{"16/2 lea", measure.BaseMPerKg, 4838.176621},
		{"16/2 Ne", measure.BaseMPerKg, 13546.894536}, {"50 g / 125 m", measure.BaseTex, 400},
		{"6 run", measure.BaseTex, 51.67235915},
		{"1000 m/kg", measure.BaseYdPerLb, 496.0546479}, {"1 Nm", measure.BaseNe, 0.5905412474},
		{"1 Nm", measure.BaseLea, 1.653515493},
	} {
		r, err := measure.ParseCount(row.written)
		if got := r.Count.In(row.to); err != nil || math.Abs(got/row.want-1) > rounding(r.Count) {
			t.Errorf("%s is %v %v, %v; published %v", row.written, got, row.to, err, row.want)
		}
	}
}

// Count traps of the practice notes: metres for each kilogram.
func TestCountTraps(t *testing.T) {
	for written, want := range map[string]float64{
		"8/2 Ne": 6773, "2/8 Ne": 6773, "2/8 Nm": 4000, "2/8 NeW": 4516, "22/2 lea": 6652,
		"22/2 Ne": 18627, "20/2 Nm": 10000,
		"20/2 Ne": 16934, "16/1 lea": 9676,
	} {
		r, err := measure.ParseCount(written)
		if got := r.Count.In(measure.BaseMPerKg); err != nil || math.Abs(got-want) > 0.6 {
			t.Errorf("%s is %v m/kg, %v, want %v", written, got, err, want)
		}
	}
}

// Taylor, p. 429: 120 yd of cotton that weigh 20 grains are 50's; Brooks: 25
// grains are 40's.
func TestCottonFromAWeighedLea(t *testing.T) {
	for grains, want := range map[string]float64{"20": 50, "25": 40} {
		r, err := measure.ParseCount("sample 120 yd / " + grains + " grains")
		if got := r.Count.In(measure.BaseNe); err != nil || math.Abs(got/want-1) > 1e-4 ||
			r.Source != measure.WeighedSample {
			t.Errorf("120 yd in %s grains is Ne %v from %v, %v; printed %v", grains, got, r.Source,
				err, want)
		}
	}
}

// Brooks: 9240 yd of 44's weft are 11 hanks and weigh a quarter of a pound.
// Danish weaving circle: 1760 m of 16/2 cotton weigh 130 g.
func TestMassesOfPrintedLengths(t *testing.T) {
	for _, row := range []struct {
		count, length string
		grams, within float64
	}{
		{"44 Ne", "9240 yd", 453.59237 / 4, 0.005}, {"16/2 Ne", "1760 m", 130, 0.5},
	} {
		r, err := measure.ParseCount(row.count)
		if err != nil {
			t.Fatal(err)
		}
		m, ok := measure.MassOf(measure.Length(read(t, "length", row.length)), r.Count)
		if got := float64(m) / 1000; !ok || math.Abs(got-row.grams) > row.within {
			t.Errorf("%s of %s weigh %v g, printed %v", row.length, row.count, got, row.grams)
		}
	}
}
