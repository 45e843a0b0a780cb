package fit

import (
	"endsmeet/planner/chance"
	"endsmeet/stash/measure"
)

// Recommended is the one size that is proposed.
type Recommended struct {
	// Point of the frontier that it comes from.
	Point Point
	// Length is the finished length proposed: the wanted one, or as much as fits.
	Length measure.Length
	// Chance that it fits, on the middle estimates and all uncertainties.
	Chance chance.Answer
	// Binding is what keeps it from the size wanted, or Nothing.
	Binding Binding
	// WarpEnd is the length of one end, Weft the weft with the joins really made.
	WarpEnd, Weft measure.Length
	// Bands are the stripes from left to right, threaded ends only.
	Bands []Band
	// Shares say what each package gives, in the order of the request.
	Shares []Share
	// LotChanges say where two dye lots meet in one area and the change may show.
	LotChanges []LotChange
	// Gains say what one more package of the yarn that binds the point would give.
	Gains []Gain
}

// choose picks the point to recommend:
//
//   - with Shape: the greatest piece of the wanted shape, up to the wanted size;
//   - with a wanted width: the nearest width, then the longest up to the wanted length;
//   - with a wanted length only: the longest up to that, then the widest;
//   - without any wish: the greatest area.
//
// Ties go to fewer ends.
func choose(w Want, points []Point) int {
	best := 0
	for i := 1; i < len(points); i++ {
		if better(w, points[i], points[best]) {
			best = i
		}
	}
	return best
}

// better says whether p is to be preferred to q, which has fewer ends.
func better(w Want, p, q Point) bool {
	capped := func(l measure.Length) measure.Length {
		if w.Length > 0 {
			return min(l, w.Length)
		}
		return l
	}
	p.Length, q.Length = w.reach(p), w.reach(q)
	switch {
	case w.Shape && w.Width > 0 && w.Length > 0:
		return shapeScore(w, p) > shapeScore(w, q)
	case w.Width > 0:
		dp, dq := distance(p.Width, w.Width), distance(q.Width, w.Width)
		return dp < dq || dp == dq && capped(p.Length) > capped(q.Length)
	case w.Length > 0:
		lp, lq := capped(p.Length), capped(q.Length)
		return lp > lq || lp == lq && p.Width > q.Width
	default:
		return p.Width*p.Length > q.Width*q.Length
	}
}

// shapeScore grows with the greatest piece of the wanted shape inside p.
func shapeScore(w Want, p Point) measure.Length {
	return min(p.Width*w.Length, p.Length*w.Width, w.Width*w.Length)
}

// reach is the greatest length that may be proposed at p.
func (w Want) reach(p Point) measure.Length {
	if w.Rely {
		return p.Length95
	}
	return p.Length
}

// Recommend proposes a size for another wish of the same range, out of the
// frontier that Solve found for r; nil where no length can be relied on.
func Recommend(r Request, w Want, frontier []Point) (*Recommended, error) {
	r.Want = w
	if len(frontier) == 0 {
		return nil, nil
	}
	pick := choose(w, frontier)
	if w.reach(frontier[pick]) < max(1, w.MinLength) {
		return nil, nil
	}
	s := newSolver(&r)
	return s.recommend(frontier[pick])
}

// distance is the absolute difference.
func distance(a, b measure.Length) measure.Length { return max(a-b, b-a) }

// lengthFor is the length proposed at p.
func (w Want) lengthFor(p Point) measure.Length {
	l := w.reach(p)
	if w.Length > 0 {
		l = min(l, w.Length)
	}
	if w.Shape && w.Width > 0 && w.Length > 0 {
		l = min(l, max(1, w.MinLength, (p.Width*w.Length+w.Width/2)/w.Width))
	}
	return l
}

// recommend fills in everything for point p.
func (s *solver) recommend(p Point) (*Recommended, error) {
	if !s.r.Bare {
		var err error
		if p.Length95, err = s.sureLength(p.Threaded); err != nil {
			return nil, err
		}
		p.HasLength95 = true
	}
	rec := &Recommended{Point: p, Length: s.r.Want.lengthFor(p)}
	if rec.Length < 1 {
		return nil, nil
	}
	fixed, _ := s.layout(p.Threaded)
	t := s.try(p.Threaded, int64(rec.Length), fixed)
	if err := s.layOut(&t, p.Threaded, int64(rec.Length), true); err != nil {
		return nil, err
	}
	rec.WarpEnd = s.r.Geometry.WarpEnd(rec.Length)
	rec.Bands = t.bands
	rec.Binding = s.binding(rec)
	s.allocate(rec, &t)
	s.listLotChanges(rec)
	rec.Gains = s.gains(rec)
	if s.r.Bare {
		return rec, nil
	}
	var err error
	rec.Chance, err = s.sureAt(p.Threaded, int64(rec.Length))
	rec.followLength()
	return rec, err
}

// followLength makes the verdict follow the 95 % length where the bound of the probability
// leaves it open, so that both say the same.
func (rec *Recommended) followLength() {
	switch fits := rec.Length <= rec.Point.Length95; {
	case !rec.Chance.Close:
	case fits:
		rec.Chance.Verdict = chance.Sure
	case rec.Chance.Verdict == chance.Sure:
		rec.Chance.Verdict = chance.Likely
	}
}

// binding says what keeps the recommended size from the wanted one.
func (s *solver) binding(rec *Recommended) Binding {
	w, p := s.r.Want, rec.Point
	longEnough := w.Length > 0 && rec.Length >= w.Length
	if w.Width > 0 && p.Width < w.Width && rec.Length < p.Length || longEnough &&
		p.Width < w.Width {
		if b, ok := s.endLimit(p.Threaded); ok {
			return b
		}
		return s.bindingOfNext(rec)
	}
	if longEnough {
		return Binding{Kind: Nothing}
	}
	return p.Binding
}

// endLimit names the limit that forbids the next end count.
func (s *solver) endLimit(threaded int) (Binding, bool) {
	next := threaded + max(1, s.r.Ends.Modulus)
	for _, l := range s.r.Ends.Limits {
		if next > l.Ends {
			return Binding{Limited, l.Name}, true
		}
	}
	w := s.r.Want.MaxWidth
	if s.r.Ends.Max > 0 && next > s.r.Ends.Max || w > 0 && s.r.Geometry.Width(next) > w {
		return Binding{Kind: Range}, true
	}
	return Binding{}, false
}

// bindingOfNext says what keeps the next wider size from the same length.
func (s *solver) bindingOfNext(rec *Recommended) Binding {
	step := max(1, s.r.Ends.Modulus)
	for e := rec.Point.Threaded + step; e <= 2*rec.Point.Threaded+step; e += step {
		if fixed, ok := s.layout(e); ok {
			if t := s.try(e, int64(rec.Length), fixed); !t.ok {
				return t.bind
			}
			return rec.Point.Binding
		}
	}
	return Binding{Kind: Range}
}
