package verdict

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"endsmeet/planner/chance"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Size is how a size came out: how sure it is, what runs out first, and what
// would help most.
type Size struct {
	Verdict     chance.Verdict
	Probability float64
	// RunsOut is what runs out first, empty where nothing does.
	RunsOut string
	// Why says it in full where one word does not: stripes, dye lots, what must be
	// measured. Do is the one thing to do.
	Why, Do string
	// Close is how far the probability may be off where that is as far as from the
	// threshold of the verdict, or further than is usual; 0 elsewhere.
	Close float64
}

const enoughLabel = "Enough yarn"

// enough puts how a size came out on the ladder. A yes that finished pieces may contradict,
// of which something is still asked, is none.
func (s Size) enough(waiting []string) Answer {
	asked := askedOf(waiting)
	switch s.Verdict {
	case chance.Sure:
		if len(asked) > 0 {
			asked[0].Why = s.odds() + " by what is known; but " + asked[0].Why
		}
		return answer(Enough, enoughLabel, s.sure(), asked)
	case chance.Likely:
		return answer(Enough, enoughLabel, "",
			append([]Reason{{Check, "chance", fmt.Sprintf("%s (%s); %s", s.likely(), s.odds(),
				s.why(strings.TrimPrefix(s.first(), "; "))), s.Do}}, asked...))
	case chance.Unknown:
		return answer(Enough, enoughLabel, "",
			[]Reason{{Unknown, "length", s.why("something must be measured first"), s.Do}})
	}
	why := s.why(strings.TrimPrefix(s.first(), "; "))
	if s.Why == "" || s.Probability > 0 {
		why += " (" + s.odds() + ")"
	}
	return answer(Enough, enoughLabel, "", []Reason{{No, "short", why, s.Do}})
}

// askedOf is the reason that a size is not sure while a piece waits for an answer.
func askedOf(waiting []string) []Reason {
	if len(waiting) == 0 {
		return nil
	}
	return []Reason{{Check, "asked", fmt.Sprintf(
		"a measure of %s is asked about, and nothing is learned from it yet", stash.Clean(waiting[0])),
		"Is it right? " + stash.Command("finish --learn yes", waiting[0]) + ", or --learn no."}}
}

// evenTo is how far from one in two a chance is still called even.
const evenTo = 0.6

// likely is how likely a size is that is not sure: little more than one in two is a toss-up.
func (s Size) likely() string {
	if s.Probability < evenTo {
		return "about an even chance"
	}
	return "likely"
}

func (s Size) sure() string {
	if s.Probability >= chance.AlmostCertain {
		return fmt.Sprintf("yes, almost certain (%s).", s.odds())
	}
	return fmt.Sprintf("yes (%s).", s.odds())
}

func (s Size) why(other string) string {
	if s.Why != "" {
		return s.Why
	}
	return other
}

// first says what runs out first.
func (s Size) first() string {
	switch s.RunsOut {
	case "", "nothing":
		return "; the middle figures suffice, the doubts of the yarn do not leave enough"
	case "warp", "weft", "yarn", "hemstitching":
		return "; the " + s.RunsOut + " runs out first"
	}
	return "; " + s.RunsOut + " runs out first"
}

// sizeOfAnother is how another piece of the size of the first came out.
func sizeOfAnother(a making.Second, units measure.System) *Size {
	s := &Size{Verdict: a.Verdict, Probability: a.Probability, RunsOut: a.Binding, Why: a.Why}
	switch rec := a.Recommended; {
	case a.Verdict == chance.Unknown && len(a.UnknownLengths) > 0:
		s.Why, s.Do = "the length of an item must be known first", a.UnknownLengths[0]
	case a.Verdict != chance.Sure && rec != nil:
		s.Do = fmt.Sprintf("You can rely on %s × %s.", rec.Point.Width.Planned(units),
			rec.Length.Planned(units))
	}
	return s
}

// sizeOfLoom is how a piece on the loom comes out: whether its warp reaches and its
// weft is enough for the size planned. Its probability is that of both, which hang on
// different errors; each is planned to 19 in 20, and the verdict is that of the weaker.
func sizeOfLoom(sh making.Shelf, p stash.Piece, r making.Rest, whom Whom) *Size {
	units, buys := sh.Settings.Units, ToBuy(sh, r.Buys, whom)
	s := &Size{Probability: r.Both(), RunsOut: "warp"}
	s.Verdict = chance.VerdictOf(min(1-r.Short, 1-r.WeftShort))
	if r.WeftShort > r.Short {
		s.RunsOut = "weft"
	}
	if r.Unwound > 0 {
		s.Probability, s.Verdict, s.RunsOut = 0, chance.Short, "warp"
	}
	out := s.RunsOut
	if r.One && (out == "weft" || r.Unwound > 0) {
		s.RunsOut = "yarn"
	}
	switch {
	case r.Unwound > 0:
		s.Do = fmt.Sprintf("There was no yarn for %d of the ends", r.Unwound)
		if len(buys) > 0 {
			s.Do += "; as planned it is " + strings.TrimSuffix(short(buys, forSure, units), ".")
		}
		s.Do += "."
	case len(r.WeftUnknown) > 0 && r.Short < 1-chance.LikelyFrom:
		s.Verdict, s.Why, s.Do = chance.Unknown, "how much weft there is is not known",
			"Weigh "+strings.Join(r.WeftUnknown, " and ")+"."
	case s.Verdict != chance.Sure && out == "weft":
		switch s.Do = "Weigh the weft that is left."; {
		case len(buys) > 0 && r.WeftPace > 0:
			s.Do = Capital(short(buys, forSure, units))
		case len(buys) > 0:
			s.Do = "Weigh the weft that is left; as planned it is " + short(buys, forSure, units)
		}
	case s.Verdict != chance.Sure && r.FinishedSure > 0:
		s.Do = "Finish shorter: " + r.ReachedBy(p.Plan.Length, units) + "."
	}
	return s
}

// sizeOf is how a plan came out.
func sizeOf(sh making.Shelf, o making.Outcome, whom Whom) *Size {
	units, buys := sh.Settings.Units, ToBuy(sh, o.Buys, whom)
	s := &Size{Verdict: o.Verdict, Probability: o.Probability, RunsOut: o.Binding, Why: o.Why,
		Do: o.Do, Close: closeBy(o)}
	switch {
	case o.Verdict == chance.Unknown && len(o.UnknownLengths) > 0:
		s.Why, s.Do = "the length of an item must be known first", o.UnknownLengths[0]
	case o.None && len(buys) > 0:
		s.Do = strings.TrimSpace(s.Do + " " + Capital(short(buys, "", units)))
	case s.Do != "":
	case o.Greatest != nil && len(buys) > 0:
		s.Do = fmt.Sprintf("At this width a length of %s has an even chance; %s%s", o.Greatest.Length.Planned(units),
			short(buys, forSure, units), largest(o))
	case o.Greatest != nil:
		s.Do = fmt.Sprintf("At this width a length of %s has an even chance.%s",
			o.Greatest.Length.Planned(units), largest(o))
	case len(buys) > 0:
		s.Do = Capital(short(buys, forSure, units))
	case o.Worth != nil:
		s.Do = "To be surer: " + o.Worth.Measurement.Name + "."
	}
	return s
}

// largest says how the greatest size to rely on is found; nothing where that was asked for, or
// nothing is named.
func largest(o making.Outcome) string {
	if o.Project.Name == "" || o.Project.Length == 0 {
		return ""
	}
	return " " + stash.Command("plan --largest", o.Project.Name) + " finds the largest to rely on."
}

// forSure says how sure more yarn would make a size.
const forSure = " for 19 chances in 20"

// short is how much more yarn would make a size so sure, and what to buy for it: nothing that
// something speaks against.
func short(all []making.Buy, sure string, units measure.System) string {
	var parts, sold []string
	for i, b := range all {
		part := b.Amount(units) + " of the " + string(b.Role)
		if slices.ContainsFunc(all, func(o making.Buy) bool { return o.Role == b.Role && o != all[i] }) {
			part += " " + cmp.Or(b.Colour, b.Name)
		}
		parts = append(parts, part)
		if b.Against != "" {
			part += " (which is not to be bought for it: " + b.Against + ")"
		}
		if b.Packages > 0 && b.Against == "" {
			n := "one"
			if b.Packages > 1 {
				n = fmt.Sprint(b.Packages)
			}
			one := fmt.Sprintf("%s more %s of %s", n, b.PutUp.Format(units), b.Name)
			if b.Lot != "" {
				one += ", dye lot " + b.Lot
			}
			sold = append(sold, one)
		}
	}
	text := "short by " + strings.Join(parts, " and ") + sure
	if len(sold) > 0 {
		text += ": " + strings.Join(sold, " and ")
	}
	return text + "."
}

// closeBy is the bound of a probability that lies within it of a threshold, or that is
// worked out less well than others since the work was used up.
func closeBy(o making.Outcome) float64 {
	if !o.Close && o.Bound <= chance.UsualBound {
		return 0
	}
	return o.Bound
}

// odds are the chances in words, and how good the sum is where the verdict is close.
func (s Size) odds() string {
	if s.Close == 0 {
		return Odds(s.Probability)
	}
	return fmt.Sprintf("%s, worked out to %.2f in 100", Odds(s.Probability), 100*s.Close)
}
