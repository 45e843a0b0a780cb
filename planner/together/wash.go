package together

import (
	"fmt"
	"slices"

	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// felting looks for a yarn that felts beside one that does not.
func felting(p pair) []Reason {
	fa, fb := p.ya.Felts(), p.yb.Felts()
	if !fa && !fb {
		return nil
	}
	felter, other := p.ya, p.yb
	if !fa {
		felter, other = p.yb, p.ya
	}
	r := Reason{Check: "felting", Answer: Fine, Source: practice}
	switch {
	case p.ya.Fibre.Has(fibre.Paper) || p.yb.Fibre.Has(fibre.Paper):
		r.Answer, r.Why = No, "paper cannot take the fulling that "+name(felter)+" wants"
	case fa && fb:
		r.Why = "both may felt: wash gently, or full both"
	case felter.Shrinks == "" && !felter.Fibre.NamesFelting() && other.Superwash():
		r.Answer, r.Why = Sample, "what "+name(felter)+" is of is not sure; wool or hair in it may felt, and "+
			name(other)+" is superwash: wash a sample"
	case other.Superwash():
		r.Answer, r.Why = No, name(felter)+feltsWord(felter)+", and "+name(other)+" is superwash: they part company in the first wash"
	case felter.Shrinks == "" && !felter.Fibre.NamesFelting():
		r.Why = "what " + name(felter) + " is of is not sure; wool or hair in it may felt"
	case felter.Shrinks != stash.ShrinksFelts:
		r.Why = name(felter) + " may felt: wash by hand, lukewarm, without movement"
	case p.beside:
		r.Answer, r.Why = Effect,
			name(felter)+feltsWord(felter)+" next to "+name(other)+", which does not: the cloth puckers there"
	default:
		r.Answer, r.Why = Sample,
			name(felter)+feltsWord(felter)+", and "+name(other)+" does not: sample, and wash the sample"
	}
	return []Reason{r}
}

// feltsWord says that a yarn felts, where somebody recorded it, or that it may, by its fibre.
func feltsWord(y stash.YarnFacts) string {
	if y.Shrinks == stash.ShrinksFelts {
		return " felts"
	}
	return " may felt"
}

// Differences of shrinkage that matter between two warps.
const (
	stripeSample = 2 * measure.Percent
	evenSample   = 5 * measure.Percent
	alwaysEffect = 12 * measure.Percent
)

// shrinkage compares how much the yarns shrink. Over a whole piece, warp one and weft the
// other, a difference is commonly borne; side by side it puckers (common practice, no source).
func shrinkage(p pair) []Reason {
	a, okA := loss(p.a, p.ya)
	b, okB := loss(p.b, p.yb)
	if !okA || !okB {
		return unknownLoss(p, okA, okB)
	}
	apart := max(a.ratio, b.ratio) - min(a.ratio, b.ratio)
	r := Reason{Check: "shrinkage", Answer: Fine, Figure: lossWords(a, b) +
		pucker(p.in, a.ratio, b.ratio), Source: sourceOf(a, b)}
	less := name(p.ya)
	if b.ratio < a.ratio {
		less = name(p.yb)
	}
	switch {
	case apart < stripeSample:
		r.Why = "they shrink alike"
	case !p.beside:
		r.Why = less + " shrinks less: fine over the whole piece; do not switch to the other as weft half-way"
	case apart >= alwaysEffect:
		r.Answer, r.Why = Effect, less+" shrinks much less: the cloth puckers"
	case p.in.Stripe > narrowStripe:
		r.Answer, r.Why = Sample,
			less+" shrinks less: stripes of it this wide pucker or stand out; narrow and evenly mixed is milder"
	case p.in.Stripe > 0:
		r.Answer, r.Why = Sample,
			less+" shrinks less: stripes of it may ripple, narrow ones less than wide ones; evenly mixed is milder"
	case apart >= evenSample:
		r.Answer, r.Why = Sample,
			less+" shrinks less: stripes of it pucker or stand out; narrow and evenly mixed is milder"
	default:
		r.Why = less + " shrinks less: fine while the ends are evenly mixed"
	}
	return []Reason{r}
}

// unknownLoss answers where there is no figure for one of the two, or for both.
func unknownLoss(p pair, okA, okB bool) []Reason {
	r := Reason{Check: "shrinkage", Answer: Fine, Source: practice}
	none := "there is no figure for how much " + p.named(!okA, !okB) + " shrinks"
	switch {
	case open(p.ya) || open(p.yb):
		r.Answer, r.Why = Sample, "the fibre of "+p.named(open(p.ya), open(p.yb))+
			" is not known, nor what it does in the wash: wash a sample"
	case p.beside && p.in.Stripe > 0:
		r.Answer, r.Why = Sample, none+", and stripes show a difference: wash a sample"
	default:
		r.Why = none + ": a washed sample tells"
	}
	if !open(p.ya) && !open(p.yb) {
		r.Figure = "plans take it as " + measure.InPercent(planned(p.ya)) + " against " +
			measure.InPercent(planned(p.yb)) + ", relaxing and washing together"
	}
	return []Reason{r}
}

// planned is what a plan takes cloth of a yarn to lose before anybody wove it.
func planned(y stash.YarnFacts) float64 { return learn.WholeLoss(stash.Yarn{YarnFacts: y}) }

// named are the names of those of the two of which something is so.
func (p pair) named(a, b bool) string {
	switch {
	case a && b && name(p.ya) != name(p.yb):
		return name(p.ya) + ", and " + name(p.yb) + ","
	case a:
		return name(p.ya)
	}
	return name(p.yb)
}

func open(y stash.YarnFacts) bool { return y.Fibre.Unknown() && y.Shrinks == "" }

// figure is a shrinkage with where it is from.
type figure struct {
	ratio  measure.Ratio
	source string
}

const handbook = "handbook figures, common practice, no source"

// loss is how much a yarn shrinks: measured, by its recorded class, or by the
// handbook figures of its fibres, weighted by mass.
func loss(u Use, y stash.YarnFacts) (figure, bool) {
	if u.Loss != nil {
		return figure{*u.Loss, "measured on finished pieces"}, true
	}
	if slices.Contains(y.Construction, "chenille") && y.Fibre.Has(fibre.Regenerated) {
		return figure{50 * measure.Percent,
			"a weaver's record of viscose chenille washed by machine; by hand it is less"}, true
	}
	if r, ok := classLoss[y.Shrinks]; ok {
		return figure{r, "its recorded class; " + handbook}, true
	}
	var sum measure.Ratio
	for _, part := range y.Fibre {
		r, ok := fibreLoss(part, y.Superwash())
		if !ok || part.Share == 0 {
			return figure{}, false
		}
		sum += r * (part.Share / measure.Percent) / 100
	}
	return figure{sum, handbook}, len(y.Fibre) > 0
}

// classLoss gives each class a figure for comparison.
var classLoss = map[stash.Shrinks]measure.Ratio{
	stash.ShrinksHardly: 2 * measure.Percent,
	stash.ShrinksNormal: 10 * measure.Percent,
	stash.ShrinksMuch:   20 * measure.Percent,
}

// fibreLoss gives handbook figures: cotton about 10 %, wool about 15 %, very
// elastic yarn about 20 % (teaching); linen about 2 % in washing (a record).
// superwash wool has none: sources for treated wool were not found.
func fibreLoss(p fibre.Part, treated bool) (measure.Ratio, bool) {
	f := p.Fibre.Info()
	switch {
	case p.Doubtful || f.Hazards.Has(fibre.UnknownHazard) || p.Superwash() ||
		treated && f.Class == fibre.Wool:
		return 0, false
	case p.Fibre == "cotton":
		return 10 * measure.Percent, true
	case p.Fibre == "linen":
		return 2 * measure.Percent, true
	case p.Fibre == "wool":
		return 15 * measure.Percent, true
	}
	return 0, false
}

func lossWords(a, b figure) string {
	return measure.InPercent(a.ratio.Float()) + " against " + measure.InPercent(b.ratio.Float())
}

func sourceOf(a, b figure) string {
	if a.source == b.source {
		return a.source
	}
	return a.source + "; " + b.source
}

// Pucker is how much longer one yarn lies than the other after washing, over a
// woven length or width, where they shrink by a and by b: |a - b| of it.
func Pucker(over measure.Length, a, b measure.Ratio) measure.Length {
	apart := max(a, b) - min(a, b)
	return measure.Length((int64(over)*int64(apart) +
		int64(measure.Whole)/2) / int64(measure.Whole))
}

func pucker(in Setting, a, b measure.Ratio) string {
	if in.Over == 0 || a == b {
		return ""
	}
	return fmt.Sprintf(": %s of pucker over %s", Pucker(in.Over, a, b).Cloth(in.Units),
		in.Over.Cloth(in.Units))
}

// washing compares what the yarns bear and what they need.
func washing(p pair) []Reason {
	oil := slices.Contains(p.ya.Hazards, "oil") || slices.Contains(p.yb.Hazards, "oil")
	gentle := p.ya.Care() == fibre.SpongeOnly || p.yb.Care() == fibre.SpongeOnly
	r := Reason{Check: "washing", Answer: Fine, Source: practice}
	switch {
	case oil && gentle && len(p.ya.Fibre) > 0 && len(p.yb.Fibre) > 0:
		r.Answer, r.Why = No, "the oiled one must be scoured, and the other bears no more than a sponge"
	case oil:
		r.Why = "one is in spinning oil: scour it before its weight counts for a label, or with the cloth"
	case p.ya.Wash != nil && p.yb.Wash != nil && p.ya.Wash.MaxC != p.yb.Wash.MaxC:
		r.Why = "wash the cloth as the more delicate one wants"
		r.Figure = fmt.Sprintf("%s against %s", degrees(p.ya.Wash), degrees(p.yb.Wash))
	default:
		return nil
	}
	return []Reason{r}
}

func degrees(w *stash.Wash) string {
	if w.MaxC == 0 {
		return "not recorded"
	}
	return fmt.Sprintf("%d °C", w.MaxC)
}

// shedding warns of fluff on the other yarn.
func shedding(p pair) []Reason {
	return p.each(func(_ Use, y stash.YarnFacts) []Reason {
		if y.Shedding == nil || *y.Shedding < 2 {
			return nil
		}
		r := Reason{Check: "shedding", Answer: Fine, Source: practice,
			Figure: fmt.Sprintf("grade %d of 3", *y.Shedding),
			Why:    name(y) + " sheds on what is next to it, and on whoever weaves it"}
		if *y.Shedding > 2 {
			r.Answer = Sample
		}
		return []Reason{r}
	})
}

// dye warns of dye that runs into the other yarn.
func dye(p pair) []Reason {
	return p.each(func(_ Use, y stash.YarnFacts) []Reason {
		switch y.Bleeds {
		case stash.Yes:
			return []Reason{{Check: "dye", Answer: Sample, Source: practice, Why: name(y) +
				" bleeds: wash the yarn until the water stays clear, and a sample of both"}}
		case stash.May:
			return []Reason{{Check: "dye", Answer: Fine, Source: practice, Why: name(y) +
				" may bleed: wet a strand on white cloth first"}}
		}
		return nil
	})
}
