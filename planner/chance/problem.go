package chance

import (
	"fmt"
	"math"
)

// Loading ties a package or a need to an error that it shares with others.
type Loading struct {
	// Factor names the shared error: "count of Y01", "humidity, wool", "shrinkage".
	Factor string
	// Relative is the standard uncertainty as a share of the length.
	Relative float64
	// Absolute is the standard uncertainty in millimetres of length; it adds to Relative.
	Absolute float64
}

// Package is one physical unit of yarn as far as its length goes.
type Package struct {
	// ID names the package in answers.
	ID string
	// Length is the estimated usable length in millimetres.
	Length float64
	// Own is the standard uncertainty in millimetres that no other package shares.
	Own float64
	// Shared lists the errors that it has in common with other packages.
	Shared []Loading
	// Unknown marks a package whose length nobody knows; Length is then ignored.
	Unknown bool
	// Knots counts knots at unknown places, all places equally likely: the warp is cut there.
	Knots int
	// Shares gives the lengths that the package lies in, as shares of the whole; nil for
	// one length.
	Shares []float64
	// Longest is the greatest length in millimetres of one unbroken strand (thrums); 0
	// for no limit.
	Longest float64

	crowd int     // how many packages this one stands for; 0 for one
	rest  float64 // of a crowd: what cutting them leaves on the mean, in units
}

// WarpPool asks for whole ends from a set of packages: one colour area, or the whole warp.
type WarpPool struct {
	// Packages are indices into Problem.Packages; a package stands in one warp pool at most.
	Packages []int
	// Ends is the number of ends wanted.
	Ends int
}

// WeftPool asks for a total length from a set of packages, after their warp ends are cut.
type WeftPool struct {
	// Packages are indices into Problem.Packages; a package stands in one weft pool at most.
	Packages []int
	// Need is the length, joins included.
	Need Need
}

// Need is a length that is wanted, and what makes it uncertain. Losses multiply, so
// it is log-normal: Length·exp(Σ u_g·Z_g), u_g being the loadings as shares of Length.
type Need struct {
	// Length is the middle one in millimetres.
	Length float64
	// Shared are the errors of the weaving, which warp and weft may have in common.
	Shared []Loading
}

// Problem is a complete question: do these packages cover these demands?
type Problem struct {
	Packages []Package
	// WarpEnd is the length of one end.
	WarpEnd Need
	// Unit is the number of ends wound as one: 1, or 2 for loops. 0 means 1.
	Unit int
	Warp []WarpPool
	Weft []WeftPool
}

// unit returns the number of ends in one winding unit.
func (p *Problem) unit() int { return max(1, p.Unit) }

// check refuses a problem that has no answer.
func (p *Problem) check() error {
	if len(p.Warp) > 0 && !(p.WarpEnd.Length > 0) {
		return fmt.Errorf("chance: warp end of %g mm: give a length above zero", p.WarpEnd.Length)
	}
	if err := p.WarpEnd.check("warp end"); err != nil {
		return err
	}
	for i := range p.Packages {
		if err := p.Packages[i].check(); err != nil {
			return err
		}
	}
	warp := make([][]int, len(p.Warp))
	for i, w := range p.Warp {
		warp[i] = w.Packages
	}
	weft := make([][]int, len(p.Weft))
	for i, w := range p.Weft {
		weft[i] = w.Packages
		if err := w.Need.check(fmt.Sprintf("weft pool %d", i)); err != nil {
			return err
		}
	}
	if err := checkPools("warp", warp, len(p.Packages)); err != nil {
		return err
	}
	if err := checkPools("weft", weft, len(p.Packages)); err != nil {
		return err
	}
	return p.checkFeeds()
}

// checkFeeds refuses a warp pool whose rests go to two weft pools: give one pool
// for each lot or colour instead.
func (p *Problem) checkFeeds() error {
	weftOf := map[int]int{}
	for w, pool := range p.Weft {
		for _, i := range pool.Packages {
			weftOf[i] = w
		}
	}
	for c, pool := range p.Warp {
		feeds := -1
		for _, i := range pool.Packages {
			w, ok := weftOf[i]
			if ok && feeds >= 0 && w != feeds {
				return fmt.Errorf("chance: warp pool %d feeds weft pools %d and %d: divide it", c,
					feeds, w)
			}
			if ok {
				feeds = w
			}
		}
	}
	return nil
}

// checkPools refuses an index out of range and a package that stands in two pools of a kind.
func checkPools(kind string, pools [][]int, n int) error {
	seen := make([]bool, n)
	for at, pool := range pools {
		for _, i := range pool {
			if i < 0 || i >= n {
				return fmt.Errorf("chance: %s pool %d names package %d of %d", kind, at, i, n)
			}
			if seen[i] {
				return fmt.Errorf("chance: package %d stands twice among the %s pools", i, kind)
			}
			seen[i] = true
		}
	}
	return nil
}

// check refuses figures that are negative or not numbers.
func (k *Package) check() error {
	for _, v := range append([]float64{k.Length, k.Own, k.Longest}, k.Shares...) {
		if !finite(v) || v < 0 {
			return fmt.Errorf("chance: package %s: %g where a length or share of zero or more is due", k.ID, v)
		}
	}
	if k.Knots < 0 {
		return fmt.Errorf("chance: package %s: %d knots", k.ID, k.Knots)
	}
	return checkLoadings("package "+k.ID, k.Shared)
}

// check refuses a need that is not a number.
func (n *Need) check(what string) error {
	if !finite(n.Length) {
		return fmt.Errorf("chance: %s: need is not a number", what)
	}
	return checkLoadings(what, n.Shared)
}

// checkLoadings refuses loadings that are not numbers.
func checkLoadings(what string, shared []Loading) error {
	for _, l := range shared {
		if !finite(l.Relative) || !finite(l.Absolute) {
			return fmt.Errorf("chance: %s: loading on %q is not a number", what, l.Factor)
		}
	}
	return nil
}

// of is the loading in millimetres on a length.
func (l Loading) of(length float64) float64 { return l.Relative*length + l.Absolute }

// finite says whether v is an ordinary number.
func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
