package chance

import "math"

// Verdict puts a probability into a word.
type Verdict string

// The four verdicts. Unknown is never a kind of yes.
const (
	Sure    Verdict = "sure"
	Likely  Verdict = "likely"
	Short   Verdict = "short"
	Unknown Verdict = "unknown"
)

// The least probabilities of Sure and Likely.
const (
	SureFrom   = 0.95
	LikelyFrom = 0.50
)

// AlmostCertain is from where a yes is called almost certain, AsGoodAsCertain from where
// no nearer number is told.
const (
	AlmostCertain   = 0.99
	AsGoodAsCertain = 0.999
)

// VerdictOf returns the word for a probability: Sure from 0.95, Likely from 0.50, Short below.
func VerdictOf(p float64) Verdict {
	switch {
	case p >= SureFrom:
		return Sure
	case p >= LikelyFrom:
		return Likely
	default:
		return Short
	}
}

// Answer is the outcome of Fits.
type Answer struct {
	// Probability that every demand is covered. With packages of unknown length it
	// counts those as nothing, and so is a lower bound.
	Probability float64
	// Bound is how far from the truth the probability may be worked out (99.7 %).
	Bound float64
	// Verdict is Unknown where packages of unknown length would be needed.
	Verdict Verdict
	// Close says that the bound reaches across the threshold of the verdict, which is
	// then settled by Probability as it stands.
	Close bool
	// Weakest is the demand that is likeliest to run short: its place among the warp
	// pools and then the weft pools.
	Weakest int
	// Unmeasured lists the packages of unknown length that stand in a demand.
	Unmeasured []string
}

// Fits returns the probability that the packages cover all demands with its bound:
// 0.0005 where a verdict hangs on it, else 0.002, and more only where the work is used
// up, which Bound then says.
// Packages of unknown length count as empty: only where
// the others are sure to suffice is the verdict anything but Unknown.
func Fits(p Problem) (Answer, error) { return fits(p, careful) }

// Nearly is Fits with a tenth of its work, for those who ask at several sizes.
func Nearly(p Problem) (Answer, error) { return fits(p, steady) }

// fits is Fits with so much effort.
func fits(p Problem, e effort) (Answer, error) {
	if err := p.check(); err != nil {
		return Answer{}, err
	}
	known, missing := withoutUnknown(p)
	out := newModel(&known).evaluate(e)
	return answer(out, missing), nil
}

// answer puts an estimate into words.
func answer(out estimate, missing []string) Answer {
	a := Answer{Probability: out.p, Bound: out.err, Verdict: VerdictOf(out.p), Weakest: out.weakest,
		Unmeasured: missing}
	for _, from := range []float64{SureFrom, LikelyFrom} {
		a.Close = a.Close || math.Abs(out.p-from) <= out.err
	}
	if len(missing) > 0 && a.Verdict != Sure {
		a.Verdict = Unknown
	}
	return a
}

// withoutUnknown returns the problem with packages of unknown length emptied, and
// the names of those that some demand relies on.
func withoutUnknown(p Problem) (Problem, []string) {
	used := make([]bool, len(p.Packages))
	for d := range len(p.Warp) + len(p.Weft) {
		for _, i := range p.Pool(d) {
			used[i] = true
		}
	}
	var missing []string
	packages := append([]Package(nil), p.Packages...)
	for i, k := range packages {
		if !k.Unknown {
			continue
		}
		packages[i] = Package{ID: k.ID}
		if used[i] {
			missing = append(missing, k.ID)
		}
	}
	p.Packages = packages
	return p, missing
}
