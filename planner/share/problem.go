package share

import (
	"fmt"
	"math"
	"slices"
)

// Windings asks for whole windings out of the packages of a pool.
type Windings struct {
	Pool   []int // indices of packages, ascending
	Count  int
	Length int64 // of one winding, mm
}

// Weft asks for a length out of the packages of a pool.
type Weft struct {
	Pool   []int // indices of packages, ascending
	Length int64 // mm
}

// Option is one way of making one project.
type Option struct {
	Value    int64
	Windings []Windings
	Wefts    []Weft
}

// Problem is a program to solve.
type Problem struct {
	// Packages are their lengths in mm.
	Packages []int64
	// Projects are the options of each.
	Projects [][]Option
	// Nodes is how much work is done in each part that shares no package with the
	// others, in nodes of the search, or what costs as much; 0 is no limit. Unlike one of
	// time, it gives the same answer again.
	Nodes int
}

// Use is what an option takes of one package.
type Use struct {
	Package int
	// Windings for each demand of the option, Weft for each.
	Windings []int
	Weft     []int64
}

// Solution is the answer.
type Solution struct {
	// Choice is the option chosen for each project, −1 for none.
	Choice []int
	// Value is their sum, and Bound what no choice can beat.
	Value, Bound int64
	// Proven says that Value is the greatest.
	Proven bool
	// Uses say what each chosen option takes of which packages.
	Uses [][]Use
	// Nodes is the work that was done.
	Nodes int
}

// Gap is how far the value may lie below the greatest, as a share of the bound.
func (s Solution) Gap() float64 {
	if s.Bound <= 0 {
		return 0
	}
	return float64(s.Bound-s.Value) / float64(s.Bound)
}

// maxLength bounds lengths so that sums stay exact.
const maxLength = math.MaxInt64 / 1024 / 1024

// check refuses a problem that makes no sense.
func (p Problem) check() error {
	for i, l := range p.Packages {
		if l < 0 || l > maxLength {
			return fmt.Errorf("share: package %d: length %d mm", i, l)
		}
	}
	for b, options := range p.Projects {
		for o, option := range options {
			if err := p.checkOption(option); err != nil {
				return fmt.Errorf("share: project %d, option %d: %w", b, o, err)
			}
		}
	}
	return nil
}

func (p Problem) checkOption(o Option) error {
	if o.Value < 0 {
		return fmt.Errorf("a value of %d, below zero", o.Value)
	}
	for _, w := range o.Windings {
		if w.Count < 0 || w.Length <= 0 || w.Length > maxLength ||
			int64(w.Count) > maxLength/w.Length {
			return fmt.Errorf("%d windings of %d mm", w.Count, w.Length)
		}
		if err := p.checkPool(w.Pool); err != nil {
			return err
		}
	}
	for _, w := range o.Wefts {
		if w.Length < 0 || w.Length > maxLength {
			return fmt.Errorf("%d mm of weft", w.Length)
		}
		if err := p.checkPool(w.Pool); err != nil {
			return err
		}
	}
	return nil
}

func (p Problem) checkPool(pool []int) error {
	for i, at := range pool {
		if at < 0 || at >= len(p.Packages) || i > 0 && at <= pool[i-1] {
			return fmt.Errorf("share: the pool %v does not name its packages in order", pool)
		}
	}
	return nil
}

// demand is what an option asks of one resource, in mm.
type demand struct {
	resource int
	length   int64
	share    float64 // of all the yarn of the resource
}

// resource is a pool that is asked for, with the yarn in it.
type resource struct {
	pool   []int
	length int64
}

// choiceOf is an option as the branch and bound sees it.
type choiceOf struct {
	at       int // its place among the options of its project
	value    int64
	needs    []demand // of every resource that contains a pool it asks for
	windings []packing
	wefts    []Weft
	blocks   []int
	parts    []int // what it takes of each block
}

// packing is a demand of windings with the block that its pool is in.
type packing struct {
	Windings
	block int
}

// contains says whether ascending a contains ascending b.
func contains(a, b []int) bool {
	for _, v := range b {
		if _, ok := slices.BinarySearch(a, v); !ok {
			return false
		}
	}
	return true
}
