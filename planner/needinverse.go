package planner

import "endsmeet/stash/measure"

// WarpLine is the warp end as an exact affine function of the finished length
// of one piece: l = A + B Lf.
type WarpLine struct {
	fixed measure.Length
	hem   measure.Length
	slope frac
}

// WarpLine gives the warp end of s as a function of the finished length;
// Size is ignored. The error is an [InputErrors].
func (s Spec) WarpLine() (WarpLine, error) {
	s.Size = Size{Length: 1}
	if bad := s.faults(false); len(bad) > 0 {
		return WarpLine{}, bad
	}
	return WarpLine{s.Unwoven() + s.Loom.Margin, s.Edges.Hem, s.taking()}, nil
}

// A is the length of an end at finished length zero, in millimetres, unrounded.
func (w WarpLine) A() float64 { return float64(w.fixed) + float64(w.hem)*w.B() }

// B is the warp for each millimetre of finished length, unrounded.
func (w WarpLine) B() float64 { return w.slope.float() }

// End is the warp end for finished length lf, rounded up.
func (w WarpLine) End(lf measure.Length) measure.Length {
	return w.fixed + measure.Length(w.slope.ceil(int64(lf+w.hem)))
}

// MaxLength is the greatest finished length whose warp end is not longer than
// end; false if there is none above zero.
func (w WarpLine) MaxLength(end measure.Length) (measure.Length, bool) {
	if end <= w.fixed {
		return 0, false
	}
	lf := measure.Length(w.slope.inverse().floor(int64(end-w.fixed))) - w.hem
	return max(lf, 0), lf > 0
}

// MaxThreaded is the greatest number of threaded ends that loom, reed and
// heddles take, of those allowed, and which of them binds
// ("loom width", "reed width" or "heddles"); false if no limit is known.
func (s Spec) MaxThreaded() (ends int, binding string, known bool) {
	wide := func(l measure.Length) int {
		return int(newFrac(int64(s.Cloth.Sett), mmPerKm).floor(int64(l)))
	}
	for _, l := range []struct {
		name string
		ends int
		on   bool
	}{
		{"loom width", wide(s.Limits.LoomWidth), s.Limits.LoomWidth > 0},
		{"reed width", wide(s.Limits.ReedWidth), s.Limits.ReedWidth > 0},
		{"heddles", s.Limits.Heddles, s.Limits.Heddles > 0},
	} {
		if l.on && (!known || l.ends < ends) {
			ends, binding, known = l.ends, l.name, true
		}
	}
	return s.Ends.counts().To(ends), binding, known
}
