package chance

import (
	"fmt"
	"math"
	"sort"
)

// Measurement is something that a person could measure. It shrinks one error:
// weighing a package its own, weighing an empty the tare, cutting and weighing
// ten metres the count.
type Measurement struct {
	// Name is what a person is told to do ("weigh the blue cone").
	Name string
	// Factor names the shared error; blank where Package's own error is meant.
	Factor string
	// Package is the index of the package whose own error is meant.
	Package int
	// Remaining is the standard uncertainty that stays, as a share of the present one: 0 settles it.
	Remaining float64
}

// Worth says how far a measurement can be expected to move the answer.
type Worth struct {
	Measurement Measurement
	// Move is the expected absolute change of the probability.
	Move float64
	// Settled is the chance that the probability will then lie at 0.95 or above, or at 0.05 or below.
	Settled float64
	// Low and High are the probabilities after an outcome at the lower and the upper end of
	// nine outcomes in ten.
	Low, High float64
}

// NineInTen is the normal deviate that leaves one outcome in twenty beyond it.
const NineInTen = 1.6448536269514722

// WorthOf returns the measurements in falling order of Move, ties in the order
// given, from probabilities to about 1e-3, as a ranking needs. It fails for a problem that makes no sense or a measurement of nothing.
func WorthOf(p Problem, ms []Measurement) ([]Worth, error) {
	now, err := fits(p, true)
	if err != nil {
		return nil, err
	}
	var out []Worth
	for _, m := range ms {
		w := Worth{Measurement: m}
		if err := w.weigh(p, now.Probability); err != nil {
			return nil, err
		}
		out = append(out, w)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Move > out[j].Move })
	return out, nil
}

// weigh fills in what the measurement would do, over its outcomes.
func (w *Worth) weigh(p Problem, now float64) error {
	outcome := func(z float64) (float64, error) {
		after, err := After(p, w.Measurement, z)
		if err != nil {
			return 0, err
		}
		a, err := fits(after, true)
		return a.Probability, err
	}
	r := hermite[1]
	for i, z := range r.z {
		v, err := outcome(z)
		if err != nil {
			return err
		}
		w.Move += r.w[i] * math.Abs(v-now)
		if v >= SureFrom || v <= 1-SureFrom {
			w.Settled += r.w[i]
		}
	}
	var err error
	if w.Low, err = outcome(-NineInTen); err != nil {
		return err
	}
	w.High, err = outcome(NineInTen)
	if w.Low > w.High {
		w.Low, w.High = w.High, w.Low
	}
	return err
}

// After returns the problem as it stands once the measurement has come out z
// standard deviations of its possible outcomes above what is expected now.
func After(p Problem, m Measurement, z float64) (Problem, error) {
	if m.Remaining < 0 || m.Remaining > 1 || math.IsNaN(m.Remaining) {
		return p, fmt.Errorf("chance: measurement %q leaves %g of its error: give 0 to 1", m.Name, m.Remaining)
	}
	if m.Factor == "" && (m.Package < 0 || m.Package >= len(p.Packages)) {
		return p, fmt.Errorf("chance: measurement %q is of package %d of %d", m.Name, m.Package, len(p.Packages))
	}
	known := math.Sqrt(1 - m.Remaining*m.Remaining)
	packages := make([]Package, len(p.Packages))
	for i, k := range p.Packages {
		k.Shared = absolute(k)
		if m.Factor == "" && i == m.Package {
			k.Length += z * known * k.Own
			k.Own *= m.Remaining
		}
		for n := range k.Shared {
			if l := &k.Shared[n]; m.Factor != "" && l.Factor == m.Factor {
				k.Length += z * known * l.Absolute
				l.Absolute *= m.Remaining
			}
		}
		k.Length = max(0, k.Length)
		packages[i] = k
	}
	p.Packages = packages
	return p, nil
}

// absolute returns the package's loadings in millimetres, so that they stay what
// they are when its estimate moves.
func absolute(k Package) []Loading {
	out := make([]Loading, len(k.Shared))
	for i, l := range k.Shared {
		out[i] = Loading{Factor: l.Factor, Absolute: l.Relative*k.Length + l.Absolute}
	}
	return out
}
