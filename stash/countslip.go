package stash

import (
	"fmt"
	"math"
	"strings"

	"endsmeet/stash/measure"
)

// slips are how many times another length for weight is as long after a slip of the unit,
// the base or the decimal point. Lengths of the bases: trade tables; that people slip so:
// practitioners' reports.
var slips = []struct {
	times float64
	words string
}{
	{2.0159, "yards a pound may have been read as metres a kilogram, or the other way"},
	{1 / 0.9144, "yards may have been read as metres, or the other way"},
	{2.2046, "pounds may have been read as kilograms, or the other way"},
	{28.3495, "ounces may have been read as grams, or the other way"},
	{10, "the decimal point may be in the wrong place"},
	{100, "the decimal point may be in the wrong place"},
	{840 / 496.06, "one may be on the cotton base and the other metric"},
	{840.0 / 560, "one may be on the cotton base and the other on the worsted one"},
	{840.0 / 300, "one may be on the cotton base and the other on that of linen"},
	{2, "one may count the plies and the other not"},
	{3, "one may count the plies and the other not"},
	{4, "one may count the plies and the other not"},
}

// nearSlip is how near a ratio must come to that of a slip.
const nearSlip = 0.02

// LikelySlip says by which slip two counts of one yarn may differ so much; where none fits,
// what is usual else.
func LikelySlip(a, b measure.Count) string {
	times := math.Abs(math.Log(float64(a) / float64(b)))
	for _, s := range slips {
		if math.Abs(times-math.Log(s.times)) < nearSlip {
			return s.words
		}
	}
	return "digits may be swapped, a length taken before washing, or a label of another yarn"
}

// DoubtBetween is the relative standard uncertainty of a count while another contradicts it:
// the right one may be anywhere between them (JCGM 100:2008, 4.3.7), and each is doubted.
func (c CountFact) DoubtBetween(other CountFact, doubts measure.Doubts) measure.Ratio {
	log, _ := c.apart(other, doubts)
	u := math.Hypot(c.doubt(doubts).Float(), log/math.Sqrt(3))
	return measure.Ratio(math.Round(min(u, 0.99)*1000)) * (measure.Whole / 1000)
}

// Against says how a count contradicts another, of which words say where it is from, with
// both figures and the likely slip.
func (c CountFact) Against(other measure.Count, words string, units measure.System) string {
	by := math.Expm1(math.Abs(math.Log(float64(other) / float64(c.Count))))
	slip := LikelySlip(c.Count, other)
	for _, base := range []measure.Base{measure.BaseYdPerLb, measure.BaseMPerKg} {
		if number := fmt.Sprintf("%.0f", c.Count.In(base)); strings.Contains(words, `"`+number+" ") {
			slip = number + " is its count in " + base.String() + " too: one may be copied from the other"
		}
	}
	return fmt.Sprintf("its count is %s (%s), and %s, which is %s: %.0f%% apart; %s",
		c.Count.Format(units), c.Source, words, other.Format(units), 100*by, slip)
}
