package learn

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endsmeet/planner/cloth"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// SettFigure is a sett to begin with where the project has none.
type SettFigure struct {
	Name string `json:"name"`
	// Value is zero where nothing is known to reckon it from.
	Value  measure.Sett `json:"per_km"`
	Pieces int          `json:"pieces"`
	Basis  string       `json:"basis"`
	// FromPrior says that no finished piece stands behind it.
	FromPrior bool `json:"from_prior"`
	// Given says that the project sets the value.
	Given bool `json:"given"`
}

// Setts gives ends and picks for a piece: what the project sets; else the middle
// one of the finished pieces of the same yarn and structure; else the working
// sett of package cloth by count and structure, a mixed warp by the room that its ends take.
func Setts(q Question, pieces []stash.Piece, shelf Shelf) (sett, picks SettFigure) {
	k := shelf.question(q)
	e := estimator{shelf: shelf, key: k, pieces: pieces}
	sett = SettFigure{Name: "sett", Value: q.Project.Sett, Basis: "set in the project", Given: true}
	if sett.Value <= 0 {
		sett = e.sett("sett", lengthwise,
			func(p stash.Piece) measure.Sett { return p.Plan.Spec.Sett })
		if sett.Pieces == 0 {
			sett = shelf.working("sett", q, k.yarns[0], q.Project.EndStrands)
		}
	}
	picks = SettFigure{Name: "picks", Value: q.Project.Picks, Basis: "set in the project",
		Given: true}
	if picks.Value <= 0 {
		picks = e.sett("picks", widthwise, pickSett)
		if picks.Pieces == 0 {
			picks = shelf.working("picks", q, k.yarns[1], q.Project.PickStrands)
		}
	}
	return sett, picks
}

// pickSett is the picks that were counted over the tape, else the planned ones.
func pickSett(p stash.Piece) measure.Sett {
	r := readingsOf(p.Plan, p.Finish.Measures)
	if r.picks > 0 && r.tape > 0 {
		return measure.Sett(r.picks/r.tape*1e6 + 0.5)
	}
	return p.Plan.Spec.Picks
}

// estimator looks for setts among finished pieces.
type estimator struct {
	shelf  Shelf
	key    key
	pieces []stash.Piece
}

// sett is the middle sett of the pieces of the same yarn and structure, the
// lower one of two.
func (e estimator) sett(name string, d direction, of func(stash.Piece) measure.Sett) SettFigure {
	var all []measure.Sett
	for _, p := range e.pieces {
		if !teaches(p) {
			continue
		}
		k := e.shelf.pieceKey(p)
		at := e.key.compare(k, d)
		if s := of(p); s > 0 && at >= ofYarn && k.structure == e.key.structure {
			all = append(all, s)
		}
	}
	if len(all) == 0 {
		return SettFigure{Name: name}
	}
	slices.Sort(all)
	return SettFigure{
		Name: name, Value: all[(len(all)-1)/2], Pieces: len(all),
		Basis: measure.Counted(len(all), "piece") + " of this yarn and weave, the middle one",
	}
}

// working is the sett to begin a sample with, as close as the question wants it
// and such as a reed gives.
func (s Shelf) working(name string, q Question, ids []stash.YarnID, strands int) SettFigure {
	as := cloth.Ordinary
	for _, w := range cloth.Workings() {
		if q.Working > 0 && math.Abs(w.Share-q.Working.Float()) < 1e-6 {
			as = w
		}
	}
	if q.Working > 0 && math.Abs(as.Share-q.Working.Float()) > 1e-6 {
		as = cloth.Working{Name: "as the project's kind", Share: q.Working.Float()}
	}
	out := s.asClose(as, name, q.Project, ids, strands)
	out.Value = sleyed(out.Value, s.Settings.Units)
	return out
}

// sleyed rounds an estimated sett to what reeds give with one or two ends in a
// dent: to half a thread in a centimetre, or to a thread in an inch; of open
// cloth to half of that.
func sleyed(v measure.Sett, units measure.System) measure.Sett {
	step := float64(measure.PerCentimetre) / 2
	if units == measure.Imperial {
		step = float64(measure.PerCentimetre) / 2.54
	}
	if v < 2*measure.PerCentimetre {
		step /= 2
	}
	if v <= 0 {
		return v
	}
	return measure.Sett(max(1, math.Round(float64(v)/step))*step + 0.5)
}

// asClose is the working sett of a cloth.
func (s Shelf) asClose(as cloth.Working, name string, b stash.ProjectFacts, ids []stash.YarnID,
	strands int) SettFigure {
	out := SettFigure{Name: name, FromPrior: true}
	if len(ids) == 0 {
		out.Basis = "no yarn is named, so nothing is known to reckon it from"
		return out
	}
	weave, err := cloth.ParseWeave(b.Structure)
	note := ""
	if err != nil {
		weave, note = cloth.Plain, "; structure not recorded, reckoned as plain weave"
	}
	var shares []cloth.Share
	var alone []string
	for i, y := range s.yarns(ids) {
		est, err := cloth.WorkingSett(y.Tex()*measure.Count(max(1, strands)), factorOf(y), weave,
			as)
		if err != nil || est.Sett <= 0 {
			out.Basis = fmt.Sprintf("%s has no count: record one, or wrap it round a ruler",
				nameOf(y))
			return out
		}
		out.Value, out.Basis = est.Sett, est.Basis+note
		shares = append(shares, cloth.Share{Sett: est.Sett, Ends: s.endsOf(b, ids[i])})
		alone = append(alone, nameOf(y)+" "+est.Sett.Format(s.Settings.Units))
	}
	if len(shares) > 1 {
		out.mix(shares, note, s.Settings.Units)
		out.Basis += "; alone " + strings.Join(alone, ", ")
	}
	return out
}

// mix averages the setts of several yarns.
func (f *SettFigure) mix(shares []cloth.Share, note string, units measure.System) {
	if !slices.ContainsFunc(shares, func(s cloth.Share) bool { return s.Ends > 0 }) {
		for i := range shares {
			shares[i].Ends = 1
		}
	}
	shares = slices.DeleteFunc(shares, func(s cloth.Share) bool { return s.Ends <= 0 })
	m, err := cloth.MixedSett(shares)
	if err != nil {
		f.Value, f.Basis = 0, err.Error()
		return
	}
	f.Value, f.Basis = m.Sett, m.Basis+note
	if m.Mean > m.Sett {
		f.Basis += fmt.Sprintf("; it comes to %s, by the mean of the setts, the quick figure, to %s", m.Sett.Format(units), m.Mean.Format(units))
	}
	if m.Unlike {
		f.Basis += "; the yarns are very unlike: sample first"
	}
}

// endsOf counts the ends that the stripes give to a yarn, by its name or the
// colour or tag of one of its packages.
func (s Shelf) endsOf(b stash.ProjectFacts, id stash.YarnID) int {
	labels := map[string]bool{words(s.Yarns[id].Name): true}
	for _, p := range s.Packages {
		if p.Yarn == id {
			labels[words(p.Colour)], labels[words(p.Tag)] = true, true
		}
	}
	delete(labels, "")
	ends := 0
	for _, stripe := range b.Stripes {
		if labels[words(stripe.Colour)] {
			ends += stripe.Ends
		}
	}
	return ends
}

// factorOf chooses Ashenhurst's factor for a yarn by spinning, then by fibre.
func factorOf(y stash.Yarn) cloth.Factor {
	switch {
	case slices.Contains(y.Construction, "woollen"), slices.Contains(y.Construction, "handspun"):
		return cloth.Woollen
	case slices.Contains(y.Construction, "worsted"):
		return cloth.Worsted
	}
	switch mainClass(y) {
	case rowOf(fibre.Wool).name:
		return cloth.Woollen
	case rowOf(fibre.Cellulose).name, rowOf(fibre.Bast).name, rowOf(fibre.Silk).name,
		rowOf(fibre.Regenerated).name:
		return cloth.Smooth
	}
	return cloth.Worsted
}

func nameOf(y stash.Yarn) string {
	if name := stash.Clean(y.Name); name != "" {
		return name
	}
	return "the yarn"
}
