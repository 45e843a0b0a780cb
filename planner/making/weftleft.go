package making

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// weftUse is how the weft of a piece on the loom goes, in mm of yarn and of finished length
// of the whole warp: so much yarn weaves as much cloth in one piece as in several.
type weftUse struct {
	// supply is what there was or could have been in the beginning, supplyU its standard
	// uncertainty but for the count.
	supply, supplyU float64
	// fixed is what goes whatever the length is, perCloth what each mm of it takes as planned,
	// doubt the relative standard uncertainty of that.
	fixed, perCloth, doubt float64
	// perTape is the finished length of each mm of tape.
	perTape float64
}

// restOfWeft is what the weft that is left makes from here, less what has been woven in, and
// where it was weighed on the loom how likely it is not enough. Nothing is told where the
// weft goes by mass, or how much there was is not known.
func (s Shelf) restOfWeft(r *Rest, piece stash.Piece, spec planner.Spec, set learn.Set) error {
	if spec.Weft.MassPerArea > 0 {
		return nil
	}
	line, err := spec.WeftLine(piece.Plan.Ends - piece.Plan.Spec.FloatingSelvedges)
	if err != nil {
		return err
	}
	u := weftUse{fixed: float64(line.Fixed()), perCloth: line.Slope() / float64(spec.Pieces),
		perTape: set.Finished(1000, 0.5) / 1000}
	if !s.supplied(&u, piece) || u.perCloth <= 0 {
		return nil
	}
	u.doubt = measure.Combine(u.doubt, set.WeftTakeUp.U.Float(), set.Beat.U.Float(), set.DrawIn.U.Float())
	r.FewerSaved = floor(0.1 * float64(r.Finished) * u.perCloth)
	woven := float64(r.Woven) * u.perTape
	left := u.supply - u.fixed - woven*u.perCloth
	w := weighedWeft{weftUse: u, at: 1, left: u.supply - u.fixed, leftU: u.supplyU, pace: 1}
	begun := woven // of which the plan may be off too
	if x, tex, ok := s.weftWeighed(piece); ok {
		w, begun = u.weighed(s.Settings, x, tex), woven-float64(x.Tape)*u.perTape
		need := (float64(r.Target*measure.Length(spec.Pieces)) - float64(x.Tape)) * u.perTape
		r.WeftPace, r.WeftShort, r.WeftUnknown = w.pace, w.short(need), nil
		r.Buys = s.weftBuys(r.Buys, piece, w.lacks(need))
		left = w.left - (woven-w.at)*u.perCloth*w.pace
		u.perCloth *= w.pace
	}
	weft := floor(left / u.perCloth)
	r.WeftSure = floor(w.reliedOn(float64(weft)+begun) - begun)
	if r.Weft = &weft; weft < r.Finished {
		r.Binding = "weft"
	}
	return nil
}

// weighedWeft is the weft that was left when it was weighed on the loom, and how fast it goes
// against the plan by that and by the doubts of the plan (two estimates of one figure,
// weighed by their variances; JCGM 100:2008, 4.1.4 note).
type weighedWeft struct {
	weftUse
	at, left float64
	// pace is the rate against the plan; weight what share of it the weighing has; leftU is of
	// what is left; scatter is how much stretches of the web differ.
	pace, weight, leftU, scatter float64
}

// pickScatter is how much the weft of one stretch of a web differs from another's; one
// standard deviation, relative (common practice, no source).
const pickScatter = 0.02

func (u weftUse) weighed(settings stash.Settings, x stash.LoomReading, tex measure.Count) weighedWeft {
	then, _ := measure.LengthOf(x.WeftLeft, tex)
	err, _ := measure.LengthOf(measure.Mass(measure.ResolutionU(settings.ScaleStep)+0.5), tex)
	w := weighedWeft{weftUse: u, at: float64(x.Tape) * u.perTape, left: float64(then), leftU: float64(err), pace: 1,
		scatter: pickScatter}
	planned := w.at * u.perCloth
	was := (u.supply - w.left - u.fixed) / planned
	if was <= 0 { // more was there in the beginning than was known
		return w
	}
	read := measure.Combine(u.supplyU/planned, w.leftU/planned, pickScatter)
	w.weight = u.doubt * u.doubt / (u.doubt*u.doubt + read*read)
	w.pace += w.weight * (was - 1)
	return w
}

// over is what is left beyond a need of finished length, and its standard uncertainty.
func (w weighedWeft) over(need float64) (mean, u float64) {
	takes := w.pace * w.perCloth * need
	again := w.weight * need / w.at // what was used tells of what will be
	return w.left - takes, measure.Combine((1-w.weight)*w.doubt*w.perCloth*need, again*w.supplyU,
		(1+again)*w.leftU, w.scatter*takes)
}

// short is how likely it is that what is left is not enough.
func (w weighedWeft) short(need float64) float64 {
	if need <= 0 {
		return 0
	}
	mean, u := w.over(need)
	if u == 0 { // a project that states all its losses, on a scale without steps
		u = 1
	}
	return distuv.UnitNormal.CDF(-mean / u)
}

// reliedOn is the finished length that what was left makes 19 times in 20, no more than most.
func (w weighedWeft) reliedOn(most float64) float64 {
	low, high := 0.0, max(0, most)
	for range 40 {
		if at := (low + high) / 2; w.short(at) <= 1-chance.SureFrom {
			low = at
		} else {
			high = at
		}
	}
	return low
}

// lacks is how much more makes it enough 19 times in 20; 0 where it is.
func (w weighedWeft) lacks(need float64) measure.Length {
	if need <= 0 {
		return 0
	}
	mean, u := w.over(need)
	return measure.Length(math.Ceil(max(0, distuv.UnitNormal.Quantile(chance.SureFrom)*u-mean)))
}

// weftBuys are what to buy where so much weft lacks by what was weighed: of each kind as the
// plan has it, so much of the first.
func (s Shelf) weftBuys(all []Buy, piece stash.Piece, lacks measure.Length) []Buy {
	out := slices.DeleteFunc(slices.Clone(all), func(b Buy) bool { return b.Role == stash.RoleWeft })
	if named := s.Named(piece.Plan.Spec.Weft); lacks > 0 && len(named) > 0 {
		like := named[0]
		like.Lot = s.lotToBuy(like, stash.RoleWeft, piece.Plan.Spec)
		one := s.buyOf(like, stash.RoleWeft, lacks, piece.Plan.Spec)
		if one.sold > 0 {
			one.Packages = one.toBuy(lacks)
		}
		out = append(out, one)
	}
	return out
}

// weftWeighed is the last reading of a piece for which the weft left was weighed, and the
// count of the weft; false where there is none, or the weft is of several counts.
func (s Shelf) weftWeighed(piece stash.Piece) (stash.LoomReading, measure.Count, bool) {
	var tex measure.Count
	for _, p := range s.Named(piece.Plan.Spec.Weft) {
		one := s.Yarns[p.Yarn].Tex()
		if tex != 0 && one != tex {
			return stash.LoomReading{}, 0, false
		}
		tex = one
	}
	for _, x := range slices.Backward(piece.Readings) {
		if x.WeftLeft > 0 && x.Tape > 0 {
			return x, tex, tex > 0
		}
	}
	return stash.LoomReading{}, 0, false
}

// supplied fills in the weft that a piece had or could have had, before any of it was woven,
// and its doubts; false where that is not known.
func (s Shelf) supplied(u *weftUse, piece stash.Piece) bool {
	own, warp := s.before(piece), warpOf(piece)
	for _, p := range own.Named(piece.Plan.Spec.Weft) {
		a, tex := own.amount(p), s.Yarns[p.Yarn].Tex()
		length, ok := measure.LengthOf(a.Available, tex)
		if !ok || !a.Known {
			return false
		}
		by, _ := measure.LengthOf(measure.Mass(measure.Combine(float64(a.Reading), float64(a.Tare))), tex)
		u.supply += float64(max(0, length-warp[p.ID]))
		u.supplyU = measure.Combine(u.supplyU, float64(by))
		u.doubt = max(u.doubt, measure.Combine(a.Count.Float(), a.Room.Float()))
	}
	return true
}
