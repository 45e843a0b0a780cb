package fit

import (
	"slices"

	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Gain is what one more package of the binding yarn would give.
type Gain struct {
	// PutUp is the package that would be added.
	PutUp PutUp
	// Length is the finished length gained at the same width: of the 95 % length where
	// the size is one to rely on, else of the greatest.
	Length measure.Length
	// Width is the finished width gained at the same length.
	Width measure.Length
}

// gains tries every put-up of the yarn that binds the recommended point.
func (s *solver) gains(rec *Recommended) []Gain {
	bind := rec.Binding
	if bind.Kind == Nothing || bind.Kind == Range {
		bind = rec.Point.Binding
	}
	var out []Gain
	for _, put := range s.r.PutUps {
		like, ok := s.r.template(put, bind)
		if !ok {
			continue
		}
		r := *s.r
		r.PutUps = nil
		r.Packages = append(append([]Package(nil), s.r.Packages...), like)
		out = append(out, newSolver(&r).gain(put, rec))
	}
	return out
}

// template returns the package that a put-up would add, if the binding concerns its yarn.
func (r *Request) template(put PutUp, bind Binding) (Package, bool) {
	for i := range r.Packages {
		k := r.Packages[i]
		if k.Yarn != put.Yarn || k.Colour != put.Colour || !k.serves(bind) {
			continue
		}
		k.ID = "+" + put.Name
		k.Length, k.PlusMinus, k.Own = put.Length, 0, 0
		k.Knots, k.Strands, k.Longest = 0, nil, 0
		// a tare is its own
		k.Shared = slices.DeleteFunc(slices.Clone(k.Shared),
			func(l chance.Loading) bool { return l.Relative == 0 })
		return k, true
	}
	return Package{}, false
}

// serves says whether more of the package's yarn would loosen the binding.
func (k *Package) serves(b Binding) bool {
	switch b.Kind {
	case Warp:
		return k.ForWarp
	case Colour:
		return k.ForWarp && k.Colour == b.Name
	case Weft:
		return k.ForWeft
	case Either:
		return true
	}
	return false
}

// gain measures the solver's yarn against the recommended size of a smaller stash.
func (s *solver) gain(put PutUp, rec *Recommended) Gain {
	g := Gain{PutUp: put}
	if lf, _, ok := s.greatestLength(rec.Point.Threaded); ok && s.r.Want.Rely {
		share, err := s.sureShare(rec.Point.Threaded, 1)
		if err == nil {
			g.Length = max(0, measure.Length(share*float64(lf))-rec.Point.Length95)
		}
	} else if ok {
		g.Length = max(0, measure.Length(lf)-rec.Point.Length)
	}
	step := max(1, s.r.Ends.Modulus)
	for e := rec.Point.Threaded + step; e <= s.mostEnds(); e += step {
		w := s.r.Geometry.Width(e)
		if s.r.Want.MaxWidth > 0 && w > s.r.Want.MaxWidth {
			break
		}
		if fixed, ok := s.layout(e); ok && s.try(e, int64(rec.Length), fixed).ok {
			g.Width = max(g.Width, w-rec.Point.Width)
		}
	}
	return g
}
