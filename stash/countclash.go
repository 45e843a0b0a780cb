package stash

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"slices"
	"sync"

	"endsmeet/stash/measure"
)

// clashAt is how many standard uncertainties two counts of one yarn may lie apart
// before one of them is asked about.
const clashAt = 3

// Clash says how a count contradicts the one that is recorded, as a sentence: they lie
// further apart than where they come from allows. Empty where they may both be right.
func (c CountFact) Clash(recorded CountFact, doubts measure.Doubts, units measure.System) string {
	if c.Count <= 0 || recorded.Count <= 0 {
		return ""
	}
	apart, sigmas := c.apart(recorded, doubts)
	if sigmas <= clashAt {
		return ""
	}
	more, by := "more", math.Expm1(apart)
	if by < 0 {
		more, by = "less", -by
	}
	return fmt.Sprintf("That is %s, %.0f%% %s length than the recorded count gives: %s, %s.",
		c.Count.Format(units), 100*by, more, recorded.Count.Format(units), recorded.Source)
}

// agreeAt is how many standard uncertainties two counts of one yarn may lie apart to
// agree.
const agreeAt = 2

// Agrees says whether a count can be that of yarn with another, by where both come from.
func (c CountFact) Agrees(other CountFact, doubts measure.Doubts) bool {
	if c.Count <= 0 || other.Count <= 0 {
		return false
	}
	_, sigmas := c.apart(other, doubts)
	return sigmas <= agreeAt
}

// Measured says that somebody measured the count, who did not read or guess it.
func (c CountFact) Measured() bool {
	return c.Source == measure.WeighedSample || c.Source == measure.Balance ||
		c.Source == measure.Handspun
}

// pairWritten finds a count of two numbers in a text.
var pairWritten = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`\b\d{1,3}/\d{1,2}\b`)
})

// Named gives, of the numbers that stand in a text without their base, "20/2", the counts
// that agree with this one.
func (c CountFact) Named(text string, doubts measure.Doubts) (out []measure.Reading) {
	for _, pair := range pairWritten().FindAllString(text, -1) {
		_, err := measure.ParseCount(pair)
		needed, ok := NeedsBase(err)
		for i := 0; ok && i < len(needed.Alternatives); i++ {
			r := needed.Alternatives[i]
			if (CountFact{Count: r.Count, Source: r.Source}).Agrees(c, doubts) {
				out = append(out, r)
			}
		}
	}
	return out
}

// apart is the logarithm of how many times another count is as heavy, and how many
// standard uncertainties that is.
func (c CountFact) apart(other CountFact, doubts measure.Doubts) (log, sigmas float64) {
	log = math.Log(float64(other.Count) / float64(c.Count))
	return log, math.Abs(log) / math.Hypot(c.doubt(doubts).Float(), other.doubt(doubts).Float())
}

// doubt is the relative standard uncertainty of a count: its own, else that of its source.
func (c CountFact) doubt(doubts measure.Doubts) measure.Ratio {
	if c.Doubt != 0 {
		return c.Doubt
	}
	return doubts.Of(c.Source)
}

// CountDoubt is the relative standard uncertainty of the yarn's count: its own, else what
// its source gives; zero where no count is recorded.
func (y YarnFacts) CountDoubt(doubts measure.Doubts) measure.Ratio {
	switch {
	case y.Count == nil:
		return 0
	case y.Count.Doubt != 0:
		return y.Count.Doubt
	}
	return y.DoubtFrom(y.Count.Source, doubts)
}

// DoubtFrom is the doubt that a source would leave of the yarn's count. Handspun is nowhere
// alike, so no strand, band or balance tells more of it than a skein that was measured.
func (y YarnFacts) DoubtFrom(source measure.Source, doubts measure.Doubts) measure.Ratio {
	doubt := doubts.Of(source)
	if slices.Contains(y.Construction, "handspun") {
		doubt = max(doubt, doubts.Of(measure.Handspun))
	}
	return doubt
}

// CountClash says how a count among fields contradicts the recorded one; empty where it does
// not, or settles which of several that were recorded is right.
func (y Yarn) CountClash(fields Fields, doubts measure.Doubts, units measure.System) string {
	var count CountFact
	if fields["count"] == nil || y.Count == nil || json.Unmarshal(fields["count"], &count) != nil {
		return ""
	}
	for _, one := range y.Disputed["count"] {
		if SameFact("count", one, fields["count"]) {
			return ""
		}
	}
	recorded := *y.Count
	recorded.Doubt = y.CountDoubt(doubts)
	count.Doubt = cmp.Or(count.Doubt, y.DoubtFrom(count.Source, doubts))
	return count.Clash(recorded, doubts, units)
}
