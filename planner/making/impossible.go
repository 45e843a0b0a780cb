package making

import (
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Margins beyond which a measure is not believed (common practice, no source):
// a rule read askew, a stretchy yarn and a damp cloth stay within them.
const (
	lengthMargin = 1.10 // over what the warp is long
	widthMargin  = 1.15 // over the width in the reed
	massMargin   = 1.15 // over the mass of the yarn: the room's humidity, a size
	countMargin  = 3    // times the ends or picks planned
	fewMargin    = 2.1  // times less than planned: half of it may be made on purpose
	lightMargin  = 4    // times less than the yarn: thrums, waste and sample are not in the cloth
	useMargin    = 3    // times the yarn planned, and useSlack more
	useSlack     = 50 * measure.Gram
)

// impossible refuses measures that cannot be true of a piece, with the likely
// mistake.
func (s Shelf) impossible(piece stash.Piece, f stash.Finish) error {
	for _, refuse := range []func(stash.Piece, stash.Finish) *stash.Error{s.tooLong, s.noFringe, s.tooWide,
		s.tooMany, s.tooMuch, s.tooHeavy, s.tooShort, s.woundShort, s.tooFew, s.tooLight} {
		if err := refuse(piece, f); err != nil {
			return err.Unless("force")
		}
	}
	return nil
}

// tooLong refuses what is longer than the warp.
func (s Shelf) tooLong(piece stash.Piece, f stash.Finish) *stash.Error {
	p, m := piece.Plan, f.Measures
	wound := p.Warped(m)
	end := float64(wound)
	for _, l := range []struct {
		name string
		is   measure.Length
		most float64
	}{
		{"tape", m.Tape, end * (1 + ratio(p.Spec.Stretch).Float())}, {"off-loom", m.OffLoom, end},
		{"length", m.Length, end}, {"waste", m.Waste, end}, {"waste-taut", m.WasteTaut, end},
		{"wound", m.Wound, countMargin * float64(p.WarpEnd)},
	} {
		if end > 0 && float64(l.is) > lengthMargin*l.most {
			return stash.Refuse(stash.CodeInput, unitHint(l.is, l.most),
				"--%s: %s cannot come from a warp of %s",
				l.name, l.is.Cloth(s.Settings.Units), wound.Cloth(s.Settings.Units))
		}
	}
	return nil
}

// noFringe refuses a waste that was left with the fringes and is shorter than they are.
func (s Shelf) noFringe(piece stash.Piece, f stash.Finish) *stash.Error {
	spec := s.specOf(piece.Plan.Spec)
	fringes := spec.Edges.Fringes()
	if m := f.Measures; m.WasteTaut == 0 || piece.Plan.Shared != nil ||
		float64(spec.Slack(m.WasteTaut))*lengthMargin >= float64(fringes) {
		return nil
	}
	return stash.Refuse(stash.CodeInput,
		"were the fringes cut shorter? Is it --waste, which is without them?",
		"--waste-taut: %s cannot give fringes of %s, both ends together",
		f.Measures.WasteTaut.Cloth(s.Settings.Units), fringes.Cloth(s.Settings.Units))
}

// tooWide refuses what is wider than the warp was in the reed.
func (s Shelf) tooWide(piece stash.Piece, f stash.Finish) *stash.Error {
	p, m := piece.Plan, f.Measures
	reed := measure.Length(float64(p.ReedWidth) * widthShare(p, m))
	for _, w := range []struct {
		name     string
		is, most measure.Length
	}{{"reed-width", m.Reed, countMargin * p.ReedWidth}, {"off-width", m.OffWidth, reed},
		{"width", m.Width, reed}} {
		if w.most > 0 && float64(w.is) > widthMargin*float64(w.most) {
			return stash.Refuse(stash.CodeInput, unitHint(w.is, float64(w.most)),
				"--%s: %s cannot come from a warp of %s in the reed",
				w.name, w.is.Cloth(s.Settings.Units), reed.Cloth(s.Settings.Units))
		}
	}
	return nil
}

// unitHint names the unit that was likely meant.
func unitHint(is measure.Length, most float64) string {
	for _, u := range []struct {
		factor float64
		text   string
	}{
		{2.54, "was it read in centimetres, and typed in inches?"},
		{10, "was it millimetres, typed as centimetres?"},
		{100, "was it centimetres, typed as metres?"},
		{1000, "was it millimetres, typed as metres?"},
	} {
		if over := float64(is) / u.factor; over <= most && over >= most/4 {
			return u.text
		}
	}
	return "is it the right unit?"
}

// tooMany refuses counts far beyond the plan.
func (s Shelf) tooMany(piece stash.Piece, f stash.Finish) *stash.Error {
	p, m := piece.Plan, f.Measures
	for _, c := range []struct {
		name        string
		is, planned int
	}{{"ends", m.Ends, p.Ends}, {"picks", m.Picks, p.Picks * max(1, p.Spec.Pieces)}} {
		if c.is < 0 || c.planned > 0 && c.is > countMargin*c.planned {
			return stash.Refuse(stash.CodeInput, "is a figure mistyped?",
				"--%s: %d were counted where %d were planned", c.name, c.is, c.planned)
		}
	}
	return nil
}

// tooMuch refuses a weighing by which a yarn lost several times what was
// planned of it.
func (s Shelf) tooMuch(piece stash.Piece, f stash.Finish) *stash.Error {
	planned, used := map[stash.YarnID]measure.Mass{}, map[stash.YarnID]measure.Mass{}
	for _, a := range piece.Plan.Allotments {
		p, _ := s.find(a.Package)
		planned[p.Yarn] += a.Mass
	}
	for _, d := range f.Debits {
		p, _ := s.find(d.Package)
		used[p.Yarn] += d.Mass
	}
	for _, w := range f.Weighed {
		p, _ := s.find(w.Package)
		if most := planned[p.Yarn]; most > 0 && used[p.Yarn] > useMargin*most+useSlack {
			return stash.Refuse(stash.CodeInput, "is the reading the gross, cone and all?",
				"by the weight of %s the piece took %s of %s, where %s was planned",
				p.Label(), used[p.Yarn].Format(s.Settings.Units), s.Yarns[p.Yarn].Name,
				most.Format(s.Settings.Units))
		}
	}
	return nil
}

// tooHeavy refuses cloth that weighs more than all the yarn that went into it.
func (s Shelf) tooHeavy(piece stash.Piece, f stash.Finish) *stash.Error {
	yarn := s.yarnIn(piece, f)
	if cloth := f.Measures.Cloth; cloth < 0 || yarn > 0 &&
		float64(cloth) > massMargin*float64(yarn) {
		return stash.Refuse(stash.CodeInput,
			"is the unit right, and was all the yarn recorded?",
			"--cloth: %s of cloth cannot come from %s of yarn",
			cloth.Format(s.Settings.Units), yarn.Format(s.Settings.Units))
	}
	return nil
}

// yarnIn is the yarn that went into a piece, on the loom and at the finish.
func (s Shelf) yarnIn(piece stash.Piece, f stash.Finish) (yarn measure.Mass) {
	for _, p := range s.Packages {
		yarn += max(0, p.UsedIn[piece.ID])
	}
	for _, d := range f.Debits {
		yarn += d.Mass
	}
	return yarn
}
