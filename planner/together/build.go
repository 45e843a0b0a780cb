package together

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// Ratios of grist. Ends side by side show a difference sooner than a weft that
// crosses them.
const (
	warpSample = 1.5
	warpEffect = 3.0
	weftSample = 3.0
)

// narrowStripe is up to how wide stripes are set together as if their ends were mixed; wider
// ones are cloths of their own beside each other (common practice, no source).
const narrowStripe = 25 * measure.Millimetre

// grist compares the counts.
func grist(p pair) []Reason {
	a, b := p.ya.Tex(), p.yb.Tex()
	if a == 0 || b == 0 {
		return []Reason{{Check: "thickness", Answer: Sample,
			Why: "the count of one of them is not recorded: weigh a metre, or wrap both"}}
	}
	ratio := float64(max(a, b)) / float64(min(a, b))
	r := Reason{Check: "thickness", Answer: Fine, Why: "they are near enough in thickness", Source: practice,
		Figure: fmt.Sprintf("%s against %s, ratio %.2f", a.Format(p.in.Units),
			b.Format(p.in.Units), ratio)}
	switch {
	case p.beside && ratio > warpEffect:
		r.Answer, r.Why = Effect, "the thick ends stand out of the cloth"
	case p.beside && ratio > warpSample && p.in.Stripe > narrowStripe:
		r.Answer, r.Why = Sample, "stripes of unlike thickness wider than "+narrowStripe.Cloth(p.in.Units)+
			": sley each at a sett of its own; at one sett the thin ones are open, the thick ones stiff, and the cloth puckers where they meet"
	case p.beside && ratio > warpSample && p.in.Stripe > 0:
		r.Answer, r.Why = Sample,
			"narrow stripes of unlike thickness: sett by the mean of their setts; the thick ones stand out a little"
	case p.beside && ratio > warpSample:
		r.Answer, r.Why = Sample,
			"yarns of unlike thickness next to each other: sett by the mean of their setts, and mix them evenly"
	case !p.beside && ratio > weftSample:
		r.Answer, r.Why = Sample, "one covers the other: sample for the picks"
	}
	return []Reason{r}
}

// strength asks whether each bears its part.
func strength(p pair) []Reason {
	return p.each(func(u Use, y stash.YarnFacts) []Reason {
		return slices.Concat(bears(u, y), worms(u, y, p.in.Units))
	})
}

func bears(u Use, y stash.YarnFacts) []Reason {
	r := Reason{Check: "strength", Source: practice}
	switch {
	case y.Fit == stash.FitDiscard:
		r.Answer, r.Why = No, name(y)+" is not fit to be woven"
	case !u.warp():
		return nil
	case y.Fit == stash.FitWeftOnly:
		r.Answer, r.Why = No, name(y)+" is fit for weft only"
	case sticky(y) && u.Every < 2:
		r.Answer, r.Why = Sample,
			name(y)+" is hairy and sticks in the warp: every second or third end only"
	case y.Fit == "" && warpDoubt(y) != "":
		r.Answer, r.Why = Sample, "of "+name(y)+" as warp is noted \""+warpDoubt(y)+"\": tug it first"
	case y.Fit == "":
		r.Answer, r.Why = Fine, "whether "+name(y)+" bears the tension of a warp is not recorded: tug it first"
	default:
		return nil
	}
	return []Reason{r}
}

// warpDoubt is what a note says of the yarn as warp, "warp: with support" say, where that is
// no plain yes.
func warpDoubt(y stash.YarnFacts) string {
	for clause := range strings.SplitSeq(y.Note, ";") {
		label, said, _ := strings.Cut(strings.TrimSpace(clause), ": ")
		if strings.EqualFold(label, "warp") && !strings.EqualFold(said, "yes") {
			return stash.Clean(said)
		}
	}
	return ""
}

// sticky says whether ends of the yarn cling to each other: it is recorded as
// fit for every second or third end, or it is brushed or mohair.
func sticky(y stash.YarnFacts) bool {
	return y.Fit == stash.FitSpaced || y.Fit == "" && (slices.Contains(y.Construction, "brushed") ||
		has(y, "mohair"))
}

func has(y stash.YarnFacts, id fibre.ID) bool {
	return slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool { return p.Fibre == id })
}

// worms warns of chenille in an open sett. Open is below half of the wraps,
// which is the sett of plain weave (teaching); the wraps are taken as
// 0.9 √(yd/lb), which is generous (makers' figure).
func worms(u Use, y stash.YarnFacts, units measure.System) []Reason {
	if !slices.Contains(y.Construction, "chenille") {
		return nil
	}
	r := Reason{Check: "sett", Answer: Sample, Source: "teaching: plain weave at half of the wraps",
		Why: name(y) + " is chenille: in an open sett its loops work out of the cloth (worming) and it sheds; sett it close"}
	half := measure.Sett(0.45*math.Sqrt(y.Tex().In(measure.BaseYdPerLb))/25.4*1e6 + 0.5)
	if u.Sett == 0 || half == 0 {
		return []Reason{r}
	}
	r.Figure = fmt.Sprintf("%s, half of the wraps is %s", u.Sett.Format(units), half.Format(units))
	if u.Sett >= half {
		r.Answer, r.Why = Fine, name(y)+" is chenille, set close enough not to worm"
	}
	return []Reason{r}
}

// stretch compares how much the yarns give. Two warps under one tension must
// give alike; an elastic weft draws the cloth in.
func stretch(p pair) []Reason {
	a, okA := p.ya.Gives()
	b, okB := p.yb.Gives()
	if !okA || !okB {
		return []Reason{{Check: "stretch", Answer: Sample,
			Why: "how much one of them stretches is not recorded, and its fibre does not tell"}}
	}
	r := Reason{Check: "stretch", Source: practice, Figure: fmt.Sprintf("%s against %s", a, b)}
	steps := slices.Index(stash.Stretches, a) - slices.Index(stash.Stretches, b)
	elastic := a == stash.StretchElastic || b == stash.StretchElastic
	switch {
	case steps == 0 && !elastic:
		return nil
	case elastic && steps != 0:
		r.Answer, r.Why = Effect, "the elastic one draws the cloth in where it is"
	case elastic:
		r.Answer, r.Why = Sample,
			"both are elastic: the cloth draws in, and the tape says little under tension"
	case p.bothWarp && max(steps, -steps) > 1:
		r.Answer, r.Why = Sample,
			"one gives under tension and the other does not: stripes go slack or tight; wind them on separate rods"
	default:
		return nil
	}
	return []Reason{r}
}
