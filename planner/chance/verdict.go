package chance

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
	// Verdict is Unknown where packages of unknown length would be needed.
	Verdict Verdict
	// Unmeasured lists the packages of unknown length that stand in a demand.
	Unmeasured []string
}

// Fits returns the probability that the packages cover all demands, to within
// 1e-4 (see the tests), and where more than eight packages, or several colours, serve
// warp and then weft and the weft is about as short as the warp, to within 1e-3.
// Packages of unknown length count as empty: only where
// the others are sure to suffice is the verdict anything but Unknown.
func Fits(p Problem) (Answer, error) { return fits(p, false) }

// fits is Fits, or where rough will do, such as for ranking, the same to about
// 1e-3 and many times as fast.
func fits(p Problem, rough bool) (Answer, error) {
	if err := p.check(); err != nil {
		return Answer{}, err
	}
	known, missing := withoutUnknown(p)
	m := newModel(&known)
	if rough {
		m.rough, m.tol = true, roughTolerance
	}
	prob := m.probability()
	a := Answer{Probability: prob, Verdict: VerdictOf(prob), Unmeasured: missing}
	if len(missing) > 0 && a.Verdict != Sure {
		a.Verdict = Unknown
	}
	return a, nil
}

// withoutUnknown returns the problem with packages of unknown length emptied, and
// the names of those that some demand relies on.
func withoutUnknown(p Problem) (Problem, []string) {
	used := make([]bool, len(p.Packages))
	for _, w := range p.Warp {
		for _, i := range w.Packages {
			used[i] = true
		}
	}
	for _, w := range p.Weft {
		for _, i := range w.Packages {
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
