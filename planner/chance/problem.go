package chance

import (
	"fmt"
	"math"
)

// Loading ties a package to an error that it shares with others.
type Loading struct {
	// Factor names the shared error: "count of Y01", "humidity, wool", "tare of tubes".
	Factor string
	// Relative is the standard uncertainty as a share of the package's length.
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
	// Knots counts knots at unknown places; each costs one whole end (or loop) at worst.
	Knots int
	// Shares gives the lengths that the package lies in, as shares of the whole; nil for one length.
	Shares []float64
	// Longest is the greatest length in millimetres of one unbroken strand (thrums); 0 for no limit.
	Longest float64
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
	// Need is the length in millimetres, joins included.
	Need float64
}

// Problem is a complete question: do these packages cover these demands?
type Problem struct {
	Packages []Package
	// WarpEnd is the length of one end in millimetres.
	WarpEnd float64
	// Unit is the number of ends wound as one: 1, or 2 for loops. 0 means 1.
	Unit int
	Warp []WarpPool
	Weft []WeftPool
}

// unit returns the number of ends in one winding unit.
func (p *Problem) unit() int { return max(1, p.Unit) }

// unitLength returns the yarn of one winding unit in millimetres.
func (p *Problem) unitLength() float64 { return p.WarpEnd * float64(p.unit()) }

// check refuses a problem that has no answer.
func (p *Problem) check() error {
	if len(p.Warp) > 0 && !(p.WarpEnd > 0) {
		return fmt.Errorf("chance: warp end of %g mm: give a length above zero", p.WarpEnd)
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
		if !finite(w.Need) {
			return fmt.Errorf("chance: weft pool %d: need is not a number", i)
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
				return fmt.Errorf("chance: warp pool %d feeds weft pools %d and %d: divide it", c, feeds, w)
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
	values := []float64{k.Length, k.Own, k.Longest}
	values = append(values, k.Shares...)
	for _, v := range values {
		if !finite(v) || v < 0 {
			return fmt.Errorf("chance: package %s: %g where a length or share of zero or more is due", k.ID, v)
		}
	}
	for _, l := range k.Shared {
		if !finite(l.Relative) || !finite(l.Absolute) {
			return fmt.Errorf("chance: package %s: loading on %q is not a number", k.ID, l.Factor)
		}
	}
	if k.Knots < 0 {
		return fmt.Errorf("chance: package %s: %d knots", k.ID, k.Knots)
	}
	return nil
}

// finite says whether v is an ordinary number.
func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
