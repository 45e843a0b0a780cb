package chance

import "math"

// grid is the places on a line where a root is sought: so many steps in a standard
// deviation, shifted by a part of a step. It is fixed, so the answer does not depend on
// where the search starts.
type grid struct{ steps, shift float64 }

// Where the answers of many lines are averaged, each has a shift of its own, so that
// the steps average out; where there is but one line they are fine.
const (
	coarse = 32
	fine   = 1 << 20
)

// far is where the line ends: beyond it lies 1e-15.
func (g grid) far() int { return 8 * int(g.steps) }

// value is the place of a step.
func (g grid) value(at int) float64 { return (float64(at) + g.shift) / g.steps }

// below is the chance of a place below a root, 0 and 1 at the ends of the line.
func (g grid) below(at int) float64 {
	switch {
	case at <= -g.far():
		return 0
	case at >= g.far():
		return 1
	}
	return below((float64(at) + g.shift - 0.5) / g.steps)
}

// hint is where a search starts: at a running mean of the last roots, with a running
// mean of their distances as its first step.
type hint struct {
	at   int
	move float64
}

// root returns the least step at which f, which is monotone, holds: at most top,
// where it is taken to hold, or never to hold where top is the end of the line;
// the other end where it always holds.
func (g grid) root(f func(t float64) bool, h *hint, top int) int {
	lo, hi, found := g.bracket(f, h, top)
	for !found && hi-lo > 1 {
		mid := lo + (hi-lo)/2
		if f(g.value(mid)) {
			hi = mid
		} else {
			lo = mid
		}
	}
	h.move += (math.Abs(float64(hi-h.at)) - h.move) / 8
	h.at += (hi - h.at) / 8
	return hi
}

// bracket finds lo where f does not hold and hi where it does; found says that hi is
// the answer.
func (g grid) bracket(f func(t float64) bool, h *hint, top int) (lo, hi int, found bool) {
	at, step := min(h.at, top-1), max(int(g.steps)/32, int(h.move))
	if f(g.value(at)) {
		return g.downFrom(f, at, step)
	}
	return g.upFrom(f, at, step, top)
}

func (g grid) downFrom(f func(t float64) bool, hi, step int) (int, int, bool) {
	for ; ; step *= 2 {
		lo := hi - step
		if lo <= -g.far() {
			if f(g.value(-g.far())) {
				return -g.far(), -g.far(), true
			}
			return -g.far(), hi, false
		}
		if !f(g.value(lo)) {
			return lo, hi, false
		}
		hi = lo
	}
}

func (g grid) upFrom(f func(t float64) bool, lo, step, top int) (int, int, bool) {
	for ; ; step *= 2 {
		hi := lo + step
		if hi >= top {
			never := top == g.far() && !f(g.value(top))
			return lo, top, never
		}
		if f(g.value(hi)) {
			return lo, hi, false
		}
		lo = hi
	}
}
