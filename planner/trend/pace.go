package trend

import (
	"fmt"
	"math"

	"endsmeet/stash/measure"
)

// paceMonths is how far back the pace looks, leastMonths from how many on there
// is one to speak of.
const (
	paceMonths  = 12
	leastMonths = 6
)

// Pace is how much came and went a year, over the last full months.
type Pace struct {
	// Months is how many full months it is of; fewer than leastMonths are too few to tell.
	Months int
	// In, Used and Out are for a year: what came, what was woven, all that left.
	In, Used, Out measure.Mass
	// Held is what is on the shelf now.
	Held measure.Mass
}

// paceOf reads the pace from the full months before the one that is running.
func paceOf(months []Month) Pace {
	if len(months) == 0 {
		return Pace{}
	}
	p := Pace{Held: months[len(months)-1].Held}
	full := months[max(0, len(months)-1-paceMonths) : len(months)-1]
	p.Months = len(full)
	for _, m := range full {
		p.In, p.Used, p.Out = p.In+m.In, p.Used+m.Used, p.Out+m.Out()
	}
	if p.Months > 0 {
		months := measure.Mass(p.Months)
		p.In, p.Used, p.Out = p.In*12/months, p.Used*12/months, p.Out*12/months
	}
	return p
}

// Known says whether there are enough months to speak of a pace.
func (p Pace) Known() bool { return p.Months >= leastMonths }

// Empty is in how many years the shelf is empty at this pace; false where it never is.
func (p Pace) Empty() (years float64, ever bool) { return lasts(p.Held, p.Out-p.In) }

// WithoutNew is Empty if nothing more comes in.
func (p Pace) WithoutNew() (years float64, ever bool) { return lasts(p.Held, p.Out) }

func lasts(held, rate measure.Mass) (float64, bool) {
	if held <= 0 || rate <= 0 {
		return 0, false
	}
	return float64(held) / float64(rate), true
}

// Words says what the pace comes to.
func (p Pace) Words() string {
	if !p.Known() {
		return fmt.Sprintf("Too early to speak of a pace: fewer than %d full months are recorded.", leastMonths)
	}
	bare, leaves := p.WithoutNew()
	if !leaves {
		return fmt.Sprintf("Nothing left the shelf in the last %d full months: at this pace it never empties.", p.Months)
	}
	if years, ever := p.Empty(); ever {
		return fmt.Sprintf("This pace empties the shelf in %s; without new yarn, in %s.",
			inYears(years), inYears(bare))
	}
	return fmt.Sprintf("More comes in than goes out: at this pace the shelf never empties. Without new yarn it would in %s.", inYears(bare))
}

// inYears is a number of years in words, no finer than a pace can tell.
func inYears(y float64) string {
	switch {
	case y < 0.95:
		months := math.Max(1, math.Round(y*12))
		if months == 1 {
			return "about a month"
		}
		return fmt.Sprintf("about %.0f months", months)
	case y < 1.5:
		return "about a year"
	case y > 100:
		return "more than 100 years"
	}
	return fmt.Sprintf("about %.0f years", math.Round(y))
}
