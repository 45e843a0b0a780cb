package planner

import (
	"math"
	"slices"
	"testing"

	"endsmeet/stash/measure"
	"pgregory.net/rapid"
)

// sleyTable is the ends in an inch, or in 10 cm, that each order gives in each reed, as a
// shop's chart prints them to its rounding (seen) and the formula gives them.
var sleyTable = []struct {
	order []int
	inch  map[int]float64 // dents in an inch: ends in an inch
	metre map[int]float64 // dents in 10 cm: ends in 10 cm
}{
	{[]int{0, 1}, map[int]float64{5: 2.5, 8: 4, 12: 6, 15: 7.5}, map[int]float64{20: 10, 50: 25}},
	{[]int{0, 1, 1}, map[int]float64{5: 3.33, 8: 5.33, 12: 8}, map[int]float64{30: 20, 40: 26.7}},
	{[]int{1}, map[int]float64{5: 5, 10: 10, 15: 15}, map[int]float64{20: 20, 50: 50}},
	{[]int{1, 1, 1, 2}, map[int]float64{6: 7.5, 8: 10, 10: 12.5}, map[int]float64{20: 25, 40: 50}},
	{[]int{1, 1, 2}, map[int]float64{5: 6.67, 12: 16}, map[int]float64{30: 40}},
	{[]int{1, 2}, map[int]float64{8: 12, 10: 15, 12: 18}, map[int]float64{40: 60, 50: 75}},
	{[]int{1, 2, 2}, map[int]float64{6: 10, 12: 20}, map[int]float64{20: 33.3, 30: 50}},
	{[]int{1, 2, 2, 2}, map[int]float64{8: 14, 12: 21}, map[int]float64{40: 70}},
	{[]int{2}, map[int]float64{8: 16, 12: 24, 15: 30}, map[int]float64{40: 80}},
	{[]int{2, 2, 2, 3}, map[int]float64{8: 18, 12: 27}, map[int]float64{40: 90}},
	{[]int{2, 2, 3}, map[int]float64{12: 28}, map[int]float64{30: 70}},
	{[]int{2, 3}, map[int]float64{8: 20, 10: 25}, map[int]float64{20: 50}},
	{[]int{2, 3, 3}, map[int]float64{12: 32}, map[int]float64{30: 80}},
	{[]int{2, 3, 3, 3}, map[int]float64{8: 22}, map[int]float64{40: 110}},
	{[]int{3}, map[int]float64{5: 15, 8: 24}, map[int]float64{20: 60}},
}

func TestSleyingOrdersAreThoseOfTheTable(t *testing.T) {
	seen := 0
	for _, row := range sleyTable {
		for unit, of := range map[float64]map[int]float64{2.54: row.inch, 10: row.metre} {
			for dents, ends := range of {
				reed := measure.Sett(math.Round(float64(dents) / unit * float64(measure.PerCentimetre)))
				sett := measure.Sett(math.Round(ends / unit * float64(measure.PerCentimetre)))
				s, ok := SleyIn([]measure.Sett{reed}, sett, 100)
				if !ok || !s.Exact || !slices.Equal(s.Order, row.order) {
					t.Errorf("%g ends in a reed of %d: %s, %v, want %v", ends, dents, s, s.Exact,
						row.order)
				}
				seen++
			}
		}
	}
	if seen < 50 {
		t.Errorf("only %d of the table were looked at", seen)
	}
}

// Orders that handbooks print: 10 in 8 is 1-1-1-2, 10 in 6 is 1-2-2, 16 in 12 is 2-1-1
// from another dent on, 16 in 10 has 16 ends in 10 dents.
func TestPrintedSleyingOrders(t *testing.T) {
	for _, c := range []struct {
		ends, dents int
		want        string
	}{{10, 8, "1-1-1-2"}, {10, 6, "1-2-2"}, {16, 12, "1-1-2"}, {16, 10, "1-2-1-2-2"},
		{20, 12, "1-2-2"}} {
		if s, _ := SleyIn([]measure.Sett{inchReed(c.dents)}, inchReed(c.ends),
			400); s.String() != c.want {
			t.Errorf("%d in %d: %s, want %s", c.ends, c.dents, s, c.want)
		}
	}
	// 12 in 10 is called 12 1/2, 1-1-1-2, where the nearest will do; to be exact it closes
	// after five dents.
	if s, _ := SleyIn([]measure.Sett{inchReed(10)}, inchReed(12), 400); s.String() != "1-1-1-1-2" {
		t.Errorf("12 in 10: %s", s)
	}
}

// Never four beside one: whole ends are as even as they can be, and all dents together
// hold the ends.
func TestSleyingIsEvenAndHoldsEveryEnd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		reeds := rapid.SliceOfN(rapid.SampledFrom(UsualReeds), 1, 4).Draw(t, "reeds")
		sett := measure.Sett(rapid.IntRange(50_000, 1_500_000).Draw(t, "sett"))
		ends := rapid.IntRange(1, 2000).Draw(t, "ends")
		s, ok := SleyIn(reeds, sett, ends)
		if !ok {
			return // closer than four in every dent
		}
		if slices.Max(s.Order)-slices.Min(s.Order) > 1 {
			t.Fatalf("%s is uneven", s)
		}
		held, before := 0, 0
		for i := range s.Dents {
			before = held
			held += s.Order[i%len(s.Order)]
		}
		if held < ends || before >= ends {
			t.Fatalf("%d ends in %d dents of %s", ends, s.Dents, s)
		}
		for _, reed := range reeds {
			for n := 1; n <= 4; n++ {
				if nearer := math.Abs(float64(reed*measure.Sett(n))/float64(sett)-1) +
					0.006; !s.Exact && nearer < math.Abs(float64(s.Sett)/float64(sett)-1) {
					t.Fatalf("%s in %d is further from %d than %d in each dent of %d", s, s.Reed,
						sett, n, reed)
				}
			}
		}
	})
}

func TestAMixLiesEvenly(t *testing.T) {
	for _, c := range []struct{ parts, want []int }{
		{[]int{1, 1}, []int{0, 1}}, {[]int{2, 1}, []int{0, 1, 0}}, {[]int{8, 4}, []int{0, 1, 0}},
		{[]int{3, 1}, []int{0, 1, 0, 0}}, {[]int{1, 1, 1}, []int{0, 1, 2}}, {[]int{92, 91}, nil},
	} {
		if got := Evenly(c.parts); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.parts, got, c.want)
		}
	}
}
