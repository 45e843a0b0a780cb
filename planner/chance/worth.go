package chance

import (
	"fmt"
	"math"
	"sort"
	"sync"

	"gonum.org/v1/gonum/integrate/quad"
)

// Measurement is something that a person could measure. It shrinks one error:
// weighing a package its own, weighing an empty the tare, cutting and weighing
// ten metres the count, weaving a sample a loss.
type Measurement struct {
	// Name is what a person is told to do ("weigh the blue cone").
	Name string
	// Factor names the shared error; blank where Package's own error is meant.
	Factor string
	// Package is the index of the package whose own error is meant.
	Package int
	// Remaining is the standard uncertainty that stays, as a share of the present one: 0
	// settles it.
	Remaining float64
}

// Worth says how far a measurement can be expected to move the answer.
type Worth struct {
	Measurement Measurement
	// Move is the expected absolute change of the probability.
	Move float64
}

// NineInTen is the normal deviate that leaves one outcome in twenty beyond it.
const NineInTen = 1.6448536269514722

// weighedUp is how many measurements are worked out, fewer where there are many
// packages: those whose errors have the greatest part in what may run short.
const weighedUp = 4

func (p *Problem) weighedUp() int {
	if len(p.Packages) > manyFrom {
		return weighedUp / 2
	}
	return weighedUp
}

// WorthOf returns the measurements that matter most in falling order of Move, ties in
// the order given, from probabilities to about 0.01 with the same points for all, as a
// ranking needs. It fails for a problem that makes no sense or a measurement of nothing.
func WorthOf(p Problem, ms []Measurement) ([]Worth, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	for _, m := range ms {
		if err := m.check(&p); err != nil {
			return nil, err
		}
	}
	known, _ := withoutUnknown(p)
	now := newModel(&known).evaluate(quick)
	effort := quick
	effort.way = now.way
	var out []Worth
	for _, m := range mattering(known, ms) {
		w := Worth{Measurement: m}
		if err := w.weigh(known, now.p, effort); err != nil {
			return nil, err
		}
		out = append(out, w)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Move > out[j].Move })
	return out, nil
}

// mattering keeps the measurements whose errors have the greatest part in the demands
// that may run short.
func mattering(p Problem, ms []Measurement) []Measurement {
	m := newModel(&p)
	part := make(map[Measurement]float64, len(ms))
	for _, d := range m.demands {
		g, _ := m.gradient(d)
		size := norm(g)
		for _, one := range ms {
			if size > 0 {
				moved := p.moved(d, one) / size
				part[one] += (below(-d.beta) +
					1e-6) * (1 - one.Remaining*one.Remaining) * moved * moved
			}
		}
	}
	out := append([]Measurement(nil), ms...)
	sort.SliceStable(out, func(i, j int) bool { return part[out[i]] > part[out[j]] })
	return out[:min(p.weighedUp(), len(out))]
}

// moved is how far one standard deviation of a measurement's error moves the margin
// of a demand, in mm.
func (p *Problem) moved(d *demand, m Measurement) float64 {
	var pool []int
	var sum float64
	if d.weft >= 0 {
		pool = p.Weft[d.weft].Packages
		sum = -p.Weft[d.weft].Need.error(m.Factor)
	} else {
		pool = p.Warp[d.id].Packages
		sum = -p.WarpEnd.error(m.Factor) * float64(d.ends*p.unit())
	}
	for _, i := range pool {
		switch k := &p.Packages[i]; {
		case m.Factor == "" && i == m.Package:
			sum += k.Own
		case m.Factor != "":
			sum += loadingOn(k.Shared, m.Factor, k.Length)
		}
	}
	return sum
}

// error is the loading of a need on a factor, in mm.
func (n *Need) error(factor string) float64 { return loadingOn(n.Shared, factor, n.Length) }

// loadingOn is the sum of the loadings on a factor, in mm.
func loadingOn(shared []Loading, factor string, length float64) float64 {
	sum := 0.0
	for _, l := range shared {
		if factor != "" && l.Factor == factor {
			sum += l.of(length)
		}
	}
	return sum
}

// outcomes are the nodes and weights of a Gauss–Hermite rule for a standard normal.
var outcomes = sync.OnceValue(func() (r struct{ z, w []float64 }) {
	r.z, r.w = make([]float64, 5), make([]float64, 5)
	quad.Hermite{}.FixedLocations(r.z, r.w, math.Inf(-1), math.Inf(1))
	for i := range r.z {
		r.z[i] *= math.Sqrt2
		r.w[i] /= math.Sqrt(math.Pi)
	}
	return r
})

// weigh fills in what the measurement would do, over its outcomes().
func (w *Worth) weigh(p Problem, now float64, e effort) error {
	for i, z := range outcomes().z {
		after, err := After(p, w.Measurement, z)
		if err != nil {
			return err
		}
		a, err := fits(after, e)
		if err != nil {
			return err
		}
		w.Move += outcomes().w[i] * math.Abs(a.Probability-now)
	}
	return nil
}

// check refuses a measurement of nothing.
func (m Measurement) check(p *Problem) error {
	if m.Remaining < 0 || m.Remaining > 1 || math.IsNaN(m.Remaining) {
		return fmt.Errorf("chance: measurement %q leaves %g of its error: give 0 to 1", m.Name,
			m.Remaining)
	}
	if m.Factor == "" && (m.Package < 0 || m.Package >= len(p.Packages)) {
		return fmt.Errorf("chance: measurement %q is of package %d of %d", m.Name, m.Package,
			len(p.Packages))
	}
	return nil
}

// After returns the problem as it stands once the measurement has come out z
// standard deviations of its possible outcomes above what is expected now.
func After(p Problem, m Measurement, z float64) (Problem, error) {
	if err := m.check(&p); err != nil {
		return p, err
	}
	known := math.Sqrt(1 - m.Remaining*m.Remaining)
	packages := make([]Package, len(p.Packages))
	for i, k := range p.Packages {
		if m.Factor == "" && i == m.Package {
			k.Length += z * known * k.Own
			k.Own *= m.Remaining
		}
		moved, shared := m.shrinkShared(k.Shared, k.Length)
		k.Length, k.Shared = max(0, k.Length+z*known*moved), shared
		packages[i] = k
	}
	p.Packages = packages
	p.WarpEnd = p.WarpEnd.after(m, z*known)
	p.Weft = append([]WeftPool(nil), p.Weft...)
	for w := range p.Weft {
		p.Weft[w].Need = p.Weft[w].Need.after(m, z*known)
	}
	return p, nil
}

// shrinkShared shrinks the loadings on the error that is measured, all in millimetres, so
// that they stay what they are when the estimate moves, and returns what they were.
func (m Measurement) shrinkShared(shared []Loading, length float64) (float64, []Loading) {
	moved := loadingOn(shared, m.Factor, length)
	out := make([]Loading, len(shared))
	for i, l := range shared {
		out[i] = Loading{Factor: l.Factor, Absolute: l.of(length)}
		if m.Factor != "" && l.Factor == m.Factor {
			out[i].Absolute *= m.Remaining
		}
	}
	return moved, out
}

// after is the need once the measurement has come out by standard deviations above.
func (n Need) after(m Measurement, by float64) Need {
	moved := n.error(m.Factor)
	if n.Length <= 0 || moved == 0 {
		return n
	}
	grown := math.Exp(by * moved / n.Length)
	out := Need{Length: n.Length * grown}
	for _, l := range n.Shared {
		l = Loading{Factor: l.Factor, Relative: l.of(n.Length) / n.Length}
		if l.Factor == m.Factor {
			l.Relative *= m.Remaining
		}
		out.Shared = append(out.Shared, l)
	}
	return out
}
