package measure

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strings"
	"sync"
)

// besideSample matches what stands between a count and a sample of the yarn.
var besideSample = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\s*(?:[,;(]|\bbut\b|\band\b)\s*(?:(?:a )?(?:weighed )?samples?\b(?: of)?:?\s*)?`)
})

// corrected reads a count with samples of the yarn, in either order: "20/2 Nm, 1 m =
// 0.101 g". What was weighed is the count; the number tells the plies, and its base may be
// the one that agrees. It is not ok where the text is no such pair.
func corrected(text string) (r Reading, ok bool, err error) {
	for _, at := range besideSample().FindAllStringIndex(text, -1) {
		front, back := text[:at[0]], strings.TrimRight(text[at[1]:], " )")
		for _, pair := range [][2]string{{front, back}, {back, front}} {
			sample, err := parseCount(pair[1])
			if err != nil || sample.Source != WeighedSample {
				continue
			}
			if named, readable := readingsOf(pair[0]); readable {
				r, err = sample.correcting(named, text)
				return r, true, err
			}
		}
	}
	return Reading{}, false, nil
}

// readingsOf are all that a count without a sample may mean.
func readingsOf(text string) ([]Reading, bool) {
	r, err := parseCount(text)
	var base *BaseNeeded
	var order *OrderNeeded
	switch {
	case errors.As(err, &base):
		return base.Alternatives, true
	case errors.As(err, &order):
		return order.Alternatives, true
	}
	return []Reading{r}, err == nil && r.Source != WeighedSample
}

// contradictAt is how many standard uncertainties a sample may lie from the count that it
// corrects.
const contradictAt = 3

// correcting gives the sample the plies of the count that it agrees with best. A sample
// that agrees with none is refused: one of the two was misread.
func (r Reading) correcting(named []Reading, text string) (Reading, error) {
	best := math.Inf(1)
	for _, n := range named {
		log := math.Abs(math.Log(float64(r.Count) / float64(n.Count)))
		if off := log / math.Hypot(n.Doubt.Float(), r.Doubt.Float()); off < best {
			best, r.Plies = off, n.Plies
		}
	}
	if best > contradictAt {
		said := named[0].Written + " is " + named[0].Count.Format(Metric)
		if len(named) > 1 {
			said = "none of the bases gives that"
		}
		return Reading{}, &Error{Input: text, Problem: fmt.Sprintf(
			"the sample gives %s, and %s", r.Count.Format(Metric), said),
			Hint: "write only the one that is right"}
	}
	r.Written = text
	return r, nil
}
