package making

import (
	"fmt"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/stash"
)

// bindingStripes is what binds where fixed stripes do not fill the width.
const bindingStripes = "stripes"

// unfilled says that fixed stripes, repeated whole times, do not make the ends
// of the width, and what to do; false where they do. Such a plan cannot fit.
func (s Shelf) unfilled(o *Outcome, spec planner.Spec) bool {
	once := stripeEnds(o.Brief)
	ends := o.Needs.Threaded
	if once == 0 || ends%once == 0 {
		return false
	}
	o.Verdict, o.Probability, o.Binding = chance.Short, 0, bindingStripes
	units := s.Settings.Units
	text := fmt.Sprintf("the stripes are %d ends", once)
	if n, err := planner.NeedForEnds(spec, once); err == nil {
		text += " = " + n.FinishedWidth.Cloth(units)
	}
	text += fmt.Sprintf(", the width wants %d: ", ends)
	times := max(1, (ends+once/2)/once)
	if n, err := planner.NeedForEnds(spec, times*once); err == nil {
		text += fmt.Sprintf("--ends %d takes them %s, %s wide; ", times*once, timesWords(times), n.FinishedWidth.Cloth(units))
	}
	o.Notes = append(o.Notes, text+fmt.Sprintf("or give --stripes that add up to %d, or --stripe-rule proportional to share the ends out", ends))
	return true
}

func timesWords(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// stripeEnds is the ends of a brief's fixed stripes, taken once; zero where it
// has none or they follow the width.
func stripeEnds(b stash.BriefFacts) int {
	if len(b.Stripes) == 0 || b.StripeRule != "" && b.StripeRule != stash.StripesFixed {
		return 0
	}
	sum := 0
	for i, stripe := range b.Stripes {
		sum += stripe.Ends
		if b.Symmetric && i < len(b.Stripes)-1 {
			sum += stripe.Ends
		}
	}
	return sum
}
