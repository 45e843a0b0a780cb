package fit

import (
	"fmt"

	"endsmeet/planner"
	"endsmeet/stash/measure"
)

// specGeometry answers from a planner.Spec.
type specGeometry struct {
	spec  planner.Spec
	line  planner.WarpLine
	wefts map[int]planner.WeftLine
}

// FromSpec returns the geometry of a spec, whose size is ignored. Joins are left
// out of the weft, since Solve charges them itself. A weft reckoned by mass (rags)
// asks for no length. The result is not safe for concurrent use.
func FromSpec(spec planner.Spec) (Geometry, error) {
	spec.Weft.Joins = 0
	spec.Size.Length = 1
	line, err := spec.WarpLine()
	if err != nil {
		return nil, fmt.Errorf("fit: %w", err)
	}
	return &specGeometry{spec: spec, line: line, wefts: map[int]planner.WeftLine{}}, nil
}

// WarpEnd implements Geometry.
func (g *specGeometry) WarpEnd(lf measure.Length) measure.Length { return g.line.End(lf) }

// Width implements Geometry; 0 where the count is beyond what a spec takes.
func (g *specGeometry) Width(threaded int) measure.Length {
	n, err := planner.NeedForEnds(g.spec, threaded)
	if err != nil {
		return 0
	}
	return n.FinishedWidth
}

// Weft implements Geometry; beyond what a spec takes the need is out of reach.
func (g *specGeometry) Weft(threaded int, lf measure.Length) measure.Length {
	if g.spec.Weft.MassPerArea > 0 {
		return 0
	}
	w, ok := g.weftLine(threaded)
	if !ok {
		return outOfReach
	}
	return w.Need(lf)
}

// Once implements Geometry.
func (g *specGeometry) Once(threaded int) measure.Length {
	if g.spec.Weft.MassPerArea > 0 {
		return 0
	}
	w, _ := g.weftLine(threaded)
	return w.Once()
}

// weftLine is the weft for so many threaded ends; false beyond what a spec takes.
func (g *specGeometry) weftLine(threaded int) (planner.WeftLine, bool) {
	w, ok := g.wefts[threaded]
	if !ok {
		var err error
		if w, err = g.spec.WeftLine(threaded); err != nil {
			return w, false
		}
		g.wefts[threaded] = w
	}
	return w, true
}

// outOfReach is longer than any stash.
const outOfReach = measure.Length(1) << 60
