package show

import (
	"fmt"
	"math"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func priceWords(p *stash.Price) string {
	if p == nil {
		return ""
	}
	text := strings.TrimSpace(fmt.Sprintf("%d.%02d", p.Milli/1000, p.Milli%1000/10) + " " +
		p.Currency)
	if p.Per == 0 {
		return text + " each"
	}
	return text + " per " + p.Per.Format(measure.Metric)
}

func tareWords(t *stash.Tare, units measure.System) string {
	switch {
	case t == nil || t.Mass == 0 && t.Source == stash.TareWeighed:
		return ""
	case t.Spread > 0:
		return fmt.Sprintf("%s, %s, give or take %s", t.Mass.Format(units), t.Source,
			t.Spread.Format(units))
	}
	return t.Mass.Format(units) + ", " + string(t.Source)
}

// MassWords is a mass, or that it is not known.
func MassWords(m *measure.Mass, units measure.System) string {
	if m == nil {
		return "not known"
	}
	return m.Format(units)
}

// doubtWords says what makes the length uncertain, the greatest first.
func doubtWords(it Item, units measure.System) string {
	a := it.Amount
	if !a.LengthKnown || a.Net <= 0 {
		return ""
	}
	var parts []string
	add := func(name string, share float64) {
		if share >= 0.002 {
			parts = append(parts, name+" "+measure.InPercent(share))
		}
	}
	add("count", a.Count.Float())
	add("tare", float64(a.Tare)/float64(a.Net))
	add("room", a.Room.Float())
	add("scale", math.Sqrt(max(0, math.Pow(float64(a.Reading), 2)-math.Pow(float64(a.Said), 2)))/
		float64(a.Net))
	add("as you say", float64(a.Said)/float64(a.Net))
	return strings.Join(parts, ", ")
}

func quarantineWords(q *stash.Quarantine) string {
	if q == nil {
		return ""
	}
	until := "until lifted"
	if q.Until != "" {
		until = "until " + q.Until
	}
	return strings.TrimSpace("since " + q.Since + " " + until + " " + q.Reason)
}

func reserveWords(r *stash.Reserve, units measure.System) string {
	if r == nil {
		return ""
	}
	if r.For == "" {
		return r.Mass.Format(units)
	}
	return r.Mass.Format(units) + " for " + r.For
}

func lengthWords(l, strand measure.Length, units measure.System) string {
	switch {
	case strand == 0:
		return ""
	case l == 0:
		return "not recorded: taken as " + strand.Cloth(units) + ", what usually stays on the loom"
	}
	return l.Cloth(units) + " at most in one piece"
}

// FibreWords is a content in a line.
func FibreWords(y stash.Yarn) string {
	if len(y.Fibre) == 0 {
		return "not recorded"
	}
	return y.Fibre.String()
}

// CountWords is a count with its source.
func CountWords(c *stash.CountFact, units measure.System) string {
	if c == nil || c.Count == 0 {
		return ""
	}
	text := c.Count.Format(units)
	if c.Written != "" {
		text = c.Written + ", " + text
	}
	return text + " (" + c.Source.String() + ")"
}

// SheddingWords says how a yarn sheds.
func SheddingWords(s *int) string {
	if s == nil {
		return ""
	}
	return []string{"0, none seen", "1, a little", "2, sheds",
		"3, sheds all over"}[min(max(*s, 0), 3)]
}

// WashWords says how a yarn is washed.
func WashWords(w *stash.Wash) string {
	if w == nil {
		return ""
	}
	return stash.Degrees(w.Words)
}
