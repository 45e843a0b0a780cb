package making

import (
	"cmp"
	"errors"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// request states a project and a pool of packages as a question to the solver.
// Which size is wanted is left to the caller.
func (s Shelf) request(f filling, spec planner.Spec, pool pool) (fit.Request, error) {
	b := f.project
	if err := s.stripeBarred(b, pool); err != nil {
		return fit.Request{}, err
	}
	geometry := func(spec planner.Spec) (fit.Geometry, error) { return s.geometry(b, spec) }
	g, err := geometry(spec)
	if err != nil {
		return fit.Request{}, err
	}
	doubts, err := fit.Doubts(spec, f.doubts, geometry)
	if err != nil {
		return fit.Request{}, err
	}
	r := fit.Request{
		Packages: pool.packages, Geometry: g, Level: fit.Middle, Pieces: spec.Pieces,
		Join: s.Settings.Join,
		Ends: fit.EndRule{Modulus: spec.Ends.Modulus, Least: spec.Ends.Least, Floats: b.FloatingSelvedges,
			Strands: max(1, b.EndStrands), Loops: b.Loops},
		Plan: stripePlan(b), Lots: fit.WholeLots, PutUps: s.putUps(b), Doubts: doubts,
	}
	if b.MixLots != nil && *b.MixLots {
		r.Lots, r.Mingle = fit.AnyLot, true
	}
	if ends, binding, known := spec.MaxThreaded(); known {
		r.Ends.Limits = append(r.Ends.Limits, fit.Limit{Name: binding, Ends: ends})
	}
	if line, err := spec.WeftLine(spec.ThreadedFor()); err == nil { // else rags, which go by mass
		r.Pass = line.Pass()
	}
	r.Reach, err = reachOf(spec)
	return r, err
}

// reachOf is the length of a piece on the longest warp that the loom takes.
func reachOf(spec planner.Spec) (fit.LengthLimit, error) {
	if spec.Limits.MaxWarp <= 0 {
		return fit.LengthLimit{}, nil
	}
	line, err := spec.WarpLine()
	if err != nil {
		return fit.LengthLimit{}, err
	}
	length, ok := line.MaxLength(spec.Limits.MaxWarp)
	if !ok {
		return fit.LengthLimit{},
			stash.Refuse(stash.CodeRefused, "see `endsmeet config loom.longest_warp`",
				"no piece can be woven on a warp of %s", spec.Limits.MaxWarp.Cloth(measure.Metric))
	}
	return fit.LengthLimit{Name: "longest warp", Length: length}, nil
}

func stripePlan(b stash.ProjectFacts) fit.Plan {
	if len(b.Stripes) == 0 && b.StripeRule != stash.StripesFree {
		return fit.Plan{}
	}
	p := fit.Plan{Kind: fit.FixedStripes, Symmetric: b.Symmetric, MinStripe: b.LeastStripe,
		MaxStripe: b.MostStripe}
	switch b.StripeRule {
	case stash.StripesProportional:
		p.Kind = fit.ProportionalStripes
	case stash.StripesFree:
		p.Kind = fit.FreeStripes
	case stash.StripesMixed:
		p.Kind, p.Symmetric = fit.ProportionalStripes, false
	}
	for _, stripe := range b.Stripes {
		p.Stripes = append(p.Stripes, fit.Stripe{Colour: stripe.Colour, Ends: stripe.Ends})
	}
	return p
}

// putUps are the packages that could be bought of each yarn of a project: one
// as it was sold.
func (s Shelf) putUps(b stash.ProjectFacts) []fit.PutUp {
	var out []fit.PutUp
	seen := map[string]bool{}
	for _, p := range s.Named(append(append([]stash.Ref(nil), b.Warp...), b.Weft...)) {
		y := s.Yarns[p.Yarn]
		colour := s.colourIn(p, y, b)
		length, ok := measure.LengthOf(y.PutUp, y.Tex())
		if y.PutUp == 0 || !ok || seen[string(y.ID)+colour] {
			continue
		}
		seen[string(y.ID)+colour] = true
		out = append(out, fit.PutUp{Name: y.PutUp.Format(s.Settings.Units) + " of " + y.Name,
			Yarn: string(y.ID), Colour: colour, Length: length})
	}
	return out
}

func asUnknown(err error) (*fit.UnknownLengthError, bool) {
	var u *fit.UnknownLengthError
	return u, errors.As(err, &u)
}

func (s Shelf) unknownLengths(u *fit.UnknownLengthError) []string {
	var out []string
	for i, id := range u.Packages {
		p, _ := s.find(stash.PackageID(id))
		out = append(out, p.Label()+": "+u.Measure[i])
	}
	return out
}

// advise says what would make a size sure that is not.
func (s Shelf) advise(o *Outcome, r fit.Request, odds fit.Odds) error {
	if s.terse || o.Verdict == chance.Sure {
		return nil
	}
	var err error
	if o.Buys, err = s.buysFor(o.Project, odds); err != nil {
		return err
	}
	return s.worth(o, r, odds)
}

// worth finds the measurement that would help most, where the answer is
// neither sure nor hopeless; o has what runs out first.
func (s Shelf) worth(o *Outcome, r fit.Request, odds fit.Odds) (err error) {
	if o.Probability >= 0.01 {
		o.Worth, err = odds.Worth(o.Binding, s.measurements(r))
	}
	return err
}

// tenMetres is what is left of a count's doubt, against the present one, after
// cutting and weighing ten metres: 1 % (from memory: ten metres to the
// centimetre and the tenth of a gram).
const tenMetres = 0.01

// measurements lists what could be measured for a request.
func (s Shelf) measurements(r fit.Request) []chance.Measurement {
	var out []chance.Measurement
	seen := map[string]bool{}
	for i, f := range r.Packages {
		p, _ := s.find(stash.PackageID(f.ID))
		if f.Own > 0.002*float64(f.Length) {
			out = append(out, chance.Measurement{Name: "weigh " + p.Label() + " on a finer scale",
				Package: i, Remaining: 0.1})
		}
		for _, l := range f.Shared {
			if seen[l.Factor] {
				continue
			}
			seen[l.Factor] = true
			y := s.Yarns[p.Yarn]
			switch {
			case l.Absolute > 0:
				out = append(out, chance.Measurement{Name: "weigh an empty " +
					cmp.Or(string(p.Form), "cone") + " like that of " + p.Label(), Factor: l.Factor,
					Remaining: 0})
			case l.Factor == learn.CountError(y.ID) && l.Relative > tenMetres:
				out = append(out, chance.Measurement{Name: "cut and weigh ten metres of " + p.Label(),
					Factor: l.Factor, Remaining: tenMetres / l.Relative})
			}
		}
	}
	return out
}
