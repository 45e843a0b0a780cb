package stash

import (
	"fmt"
	"time"

	"endsmeet/stash/measure"
)

// Price is an amount of money for a mass of yarn, or for the package.
type Price struct {
	// Milli is the amount in thousandths of the currency.
	Milli int64 `json:"milli"`
	// Per is the mass that the amount buys; zero means the whole package.
	Per measure.Mass `json:"per_mg,omitempty"`
	// Currency is the one that was written, an ISO 4217 code or a sign; empty
	// means that of the settings.
	Currency string `json:"currency,omitempty"`
}

// Amount writes the amount exactly, with two decimals or, where they are not
// enough, four.
func (p Price) Amount() string {
	if p.Milli%10 == 0 {
		return fmt.Sprintf("%d.%02d", p.Milli/1000, p.Milli%1000/10)
	}
	return fmt.Sprintf("%d.%03d0", p.Milli/1000, p.Milli%1000)
}

// Quarantine keeps a package away from the others until somebody lifts it: Until is the day
// to look at it, and lifts nothing by itself.
type Quarantine struct {
	Since  string `json:"since"`
	Until  string `json:"until,omitempty"`
	Reason string `json:"reason,omitempty"`
}

// Over says whether the day has come to look at it.
func (q Quarantine) Over(now time.Time) bool {
	return q.Until != "" && now.Format(time.DateOnly) >= q.Until
}

// Reserve keeps part of a package for a purpose outside any plan.
type Reserve struct {
	Mass measure.Mass `json:"mg"`
	For  string       `json:"for,omitempty"`
}

// CountFact is a yarn's count with where it came from.
type CountFact struct {
	Count   measure.Count  `json:"mtex"`
	Source  measure.Source `json:"source"`
	Written string         `json:"written,omitempty"`
	// Doubt is the weaver's own relative standard uncertainty; zero means
	// the one that the source starts with.
	Doubt measure.Ratio `json:"doubt_ppm,omitempty"`
}

// WarpFit says what part a yarn can play.
type WarpFit string

// The parts that a yarn can play.
const (
	FitWarp     WarpFit = "warp"
	FitSpaced   WarpFit = "spaced"    // every second or third end only
	FitWeftOnly WarpFit = "weft only" // not strong, not smooth or not long enough
	FitDiscard  WarpFit = "discard"
)

// Twist is the direction in which a yarn was last twisted.
type Twist string

// The directions, as the middle stroke of the letter lies (ISO 2:1973).
const (
	TwistS Twist = "s"
	TwistZ Twist = "z"
)

// Stretch is how much a yarn gives under the tension of a warp.
type Stretch string

// The grades of stretch.
const (
	StretchNone    Stretch = "none"
	StretchSlight  Stretch = "slight"
	StretchMarked  Stretch = "marked"
	StretchElastic Stretch = "elastic"
)

// Shrinks is how a yarn behaves in wet finishing.
type Shrinks string

// The classes of shrinkage.
const (
	ShrinksHardly Shrinks = "hardly"
	ShrinksNormal Shrinks = "normal"
	ShrinksMuch   Shrinks = "much"
	ShrinksFelts  Shrinks = "felts"
)

// Answered is a question with a word for an answer; empty is unknown.
type Answered string

// The answers.
const (
	Yes Answered = "yes"
	No  Answered = "no"
	May Answered = "may"
)

// Agitation is how much movement a washing allows.
type Agitation string

// The grades of agitation, gentlest first.
const (
	AgitateNone   Agitation = "none"
	AgitateGentle Agitation = "gentle"
	AgitateNormal Agitation = "normal"
)

// Wash is the hardest washing that a yarn accepts.
type Wash struct {
	// Words is what the weaver wrote.
	Words string `json:"words"`
	// MaxC is the hottest water in degrees Celsius; zero is not known.
	MaxC      int       `json:"max_c,omitempty"`
	Agitation Agitation `json:"agitation,omitempty"`
	Tumble    bool      `json:"tumble,omitempty"`
}
