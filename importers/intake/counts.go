package intake

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"endsmeet/importers"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// otherCount is a count of a row's yarn that the row says beside its own.
type otherCount struct {
	count measure.Count
	words string // what says it
}

// saidCount matches a count in the words of a row, saidPutUp a length of one ball and what it
// weighs, and saidLength a length that somebody wrote down for all of it.
var (
	saidCount = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?i)\b\d[\d.,]*\s?(?:m/kg|yd/lb|ypp|m/100\s?g)\b`)
	})
	saidPutUp = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?i)\b(\d[\d.,]*\s?(?:m|yds?))\s?(?:/|per|in)\s?(\d[\d.,]*\s?(?:g|oz))\b`)
	})
	saidLength = sync.OnceValue(func() *regexp.Regexp {
		return regexp.MustCompile(`(?i)\b(?:tag|band|label|niddy-noddy|measured|skeins?) (?:says? |said |gives |of |is |at )?(\d[\d.,]*\s?(?:m|yds?))(?: \(| in all| in total|,|;|\.|$)`)
	})
)

// farthest is how many times more or less a length in words may be than the row's count gives
// and still be meant for all of it.
const farthest = 3.2

// otherCounts are the counts that a row says beside its own: of the band, of lengths for all
// of it, and in words.
func otherCounts(r *importers.Record) []otherCount {
	var out []otherCount
	if r.LabelMass != nil && r.LabelLength != nil {
		out = appendCount(out, *r.LabelMass, *r.LabelLength, "the band says "+r.LabelLength.String())
	}
	if r.Net != nil && r.Length != nil && !agrees(r) {
		out = appendCount(out, *r.Net, *r.Length, "the sheet says "+r.Length.String())
	}
	texts := []string{r.Construction}
	for _, n := range r.Notes {
		texts = append(texts, n.Text)
	}
	for _, text := range texts {
		out = append(out, countsIn(text, r)...)
	}
	return out
}

// countsIn are the counts that a text says of a row's yarn.
func countsIn(text string, r *importers.Record) []otherCount {
	var out []otherCount
	for _, words := range saidCount().FindAllString(text, -1) {
		if c, err := measure.ParseCount(words); err == nil {
			out = append(out, otherCount{c.Count, "its words say " + strconv.Quote(words)})
		}
	}
	for _, found := range saidPutUp().FindAllStringSubmatch(text, -1) {
		length, err := measure.ParseLength(found[1])
		mass, bad := measure.ParseMass(found[2])
		if err == nil && bad == nil {
			out = appendCount(out, mass, length, "its words say "+strconv.Quote(found[1]))
		}
	}
	text = saidPutUp().ReplaceAllString(text, "")
	for _, found := range saidLength().FindAllStringSubmatch(text, -1) {
		length, err := measure.ParseLength(found[1])
		if err != nil || r.Net == nil || r.Count.Count == 0 {
			continue
		}
		want := float64(*r.Net) / float64(r.Count.Count) * 1e6
		if times := float64(length) / want; times < farthest && times > 1/farthest {
			out = appendCount(out, *r.Net, length, "its words say "+strconv.Quote(found[1]))
		}
	}
	return out
}

func appendCount(out []otherCount, mass measure.Mass, length measure.Length, words string) []otherCount {
	if mass <= 0 || length <= 0 {
		return out
	}
	count := measure.Count(float64(mass) / float64(length) * 1e6)
	return append(out, otherCount{count, fmt.Sprintf("%s for %s", words, mass)})
}

// contradicted is the count among the others of a row that its own cannot be with, if one.
func contradicted(r *importers.Record, own stash.CountFact) (otherCount, bool) {
	for _, o := range otherCounts(r) {
		if o.count > 0 && own.Count > 0 && !own.Agrees(asLabel(o), nil) {
			return o, true
		}
	}
	return otherCount{}, false
}

func asLabel(o otherCount) stash.CountFact {
	return stash.CountFact{Count: o.count, Source: measure.Label}
}

// askCount asks about a count that something else in the row contradicts.
func (e *Entry) askCount(r *importers.Record) {
	own := countFact(r, writtenCount(r))
	if o, ok := contradicted(r, *own); ok {
		doubt := own.DoubtBetween(asLabel(o), nil)
		e.Questions = append(e.Questions, Question{
			Text: own.Against(o.count, o.words, measure.Metric) + ". Until it is measured its length counts as " +
				strings.ReplaceAll(measure.PlusMinus(doubt.Float()), " ", "\u00a0"),
			How: "set %s " + stash.Quote("count=WEIGHT per 10m, weighed sample")})
	}
}
