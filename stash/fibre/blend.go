package fibre

import (
	"slices"

	"endsmeet/stash/measure"
)

// HumidityDoubt gives the relative standard uncertainty of a yarn's mass that
// comes from weighing it in a room of unknown humidity. All fibres of a blend
// are in the same room, so their parts add, each by its share. A fibre that is
// not known counts as the worst that it may be; where shares are not known,
// the worst part counts for all.
func HumidityDoubt(c Content) measure.Ratio {
	worst, sum, shares := measure.Ratio(0), 0.0, true
	for _, p := range c {
		doubt := p.humidity()
		worst = max(worst, doubt)
		shares = shares && p.Share > 0
		sum += p.Share.Float() * doubt.Float()
	}
	switch {
	case len(c) == 0:
		return Unknown.Info().Humidity.High
	case !shares:
		return worst
	}
	return measure.RatioOf(sum)
}

func (p Part) humidity() measure.Ratio {
	own := p.Fibre.Info().Humidity.High
	if p.Doubtful {
		return max(own, Unknown.Info().Humidity.High)
	}
	return own
}

// linenLeads is the share of linen from which a cotton and linen yarn is
// numbered as linen is: cottolin 22/2 is 22 lea. Common practice, no source.
const linenLeads = 30 * measure.Percent

// CountBases lists the count bases that are customary for a content, the
// likeliest first: those of its largest part, then of the others. Empty means
// that nothing is recorded. It is for proposing, never for guessing silently.
func CountBases(c Content) []measure.Base {
	parts := slices.Clone(c)
	slices.SortStableFunc(parts, func(a, b Part) int { return int(b.leads() - a.leads()) })
	var out []measure.Base
	for _, p := range parts {
		for _, base := range p.Fibre.Info().CountBases {
			if !slices.Contains(out, base) {
				out = append(out, base)
			}
		}
	}
	return out
}

// leads gives a part's weight in choosing the base.
func (p Part) leads() measure.Ratio {
	if p.Fibre == "linen" && p.Share >= linenLeads {
		return p.Share + measure.Whole
	}
	return p.Share
}
