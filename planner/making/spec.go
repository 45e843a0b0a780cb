package making

import (
	"endsmeet/planner"
	"endsmeet/planner/cloth"
	"endsmeet/planner/fit"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// specOf states a project with all its losses filled in as the planner takes it.
func (s Shelf) specOf(b stash.ProjectFacts) planner.Spec {
	set, counts := s.Settings, countsOf(b)
	spec := planner.Spec{
		Pieces: max(1, b.Pieces),
		Size:   planner.Size{Length: b.Length, Width: b.Width},
		Cloth:  planner.Cloth{Sett: b.Sett, Picks: b.Picks, Plain: isPlain(b.Structure)},
		Losses: planner.Losses{
			WarpTakeUp: ratio(b.TakeUp), WeftTakeUp: ratio(b.WeftTakeUp),
			WetLength: ratio(b.ShrinkLength),
			WetWidth:  ratio(b.ShrinkWidth), Stretch: ratio(b.Stretch), Strain: ratio(b.Strain),
			DrawIn: ratio(b.DrawIn), Beating: ratio(b.Beat),
		},
		Ends: planner.EndPlan{Modulus: counts.Modulus, Least: counts.Least, Given: b.EndsGiven(),
			Floats: b.FloatingSelvedges, Strands: max(1, b.EndStrands), Loops: b.Loops},
		Weft: planner.WeftPlan{Strands: max(1, b.PickStrands), Clasped: b.Clasped,
			Overlap: set.Join, MassPerArea: b.RagPerM2},
		Edges: learn.EdgesOf(b, set),
		Loom: planner.LoomPlan{
			Front:  lengthOr(b.FrontWaste, set.FrontWaste),
			Back:   lengthOr(b.BackWaste, set.BackWaste),
			Sample: b.Sample, SampleInWeft: b.Sample > 0, HeaderWarp: b.Header,
		},
		Limits: planner.Limits{LoomWidth: set.LoomWidth, ReedWidth: set.ReedWidth,
			Heddles: set.Heddles, MaxWarp: set.LongestWarp},
	}
	return spec
}

func ratio(r *measure.Ratio) measure.Ratio {
	if r == nil {
		return 0
	}
	return *r
}

func lengthOr(l *measure.Length, other measure.Length) measure.Length {
	if l == nil {
		return other
	}
	return *l
}

func isPlain(structure string) bool {
	w, err := cloth.ParseWeave(structure)
	return err == nil && w.Name == cloth.Plain.Name
}

// countsOf are the numbers of ends at which the repeat closes, with its balance ends, and
// the bunches of both ends of the piece come out.
func countsOf(b stash.ProjectFacts) planner.EndCounts {
	first, other := b.Edges()
	group := max(1, b.Bunch)
	return planner.CountsOf(b.Repeat, b.Balance, group*groupsPerBunch(b, first),
		group*groupsPerBunch(b, other))
}

// groupsPerBunch is how many groups of ends make a bunch at an edge: as the project says
// where they are twisted or braided, two or three where it does not, else each group is
// by itself.
func groupsPerBunch(b stash.ProjectFacts, e stash.Edge) int {
	kind := planner.FringeCalled(string(e.Finish))
	if kind == planner.Raw || kind == planner.Knotted || b.BunchGroups == 0 {
		return kind.Groups()
	}
	return b.BunchGroups
}

// edgesOf is how the ends come out at both edges of a piece.
func edgesOf(b stash.ProjectFacts, n planner.Needs) (first, other planner.EdgeAnswer, err error) {
	ask := func(e stash.Edge, end planner.End) (planner.EdgeAnswer, error) {
		return n.Edges(end, planner.Grouping{Ends: b.Bunch, Picks: b.HemstitchPicks,
			PerBunch: groupsPerBunch(b, e)})
	}
	one, two := b.Edges()
	if first, err = ask(one, n.Spec.Edges.Start()); err != nil {
		return first, other, err
	}
	other, err = ask(two, n.Spec.Edges.Last())
	return first, other, err
}

// ragGeometry reckons a rag weft, given by mass per area, as a length at the
// count of the rags.
type ragGeometry struct {
	fit.Geometry
	spec planner.Spec
	tex  measure.Count
}

// Weft is the rag mass of a size as a length.
func (g ragGeometry) Weft(threaded int, lf measure.Length) measure.Length {
	g.spec.Size.Length = lf
	n, err := planner.NeedForEnds(g.spec, threaded)
	if err != nil {
		return measure.Length(1) << 60
	}
	length, _ := measure.LengthOf(n.RagMass, g.tex)
	return length
}

// geometry is what a size needs of warp and weft. Hem-stitching from a yarn
// of its own is not part of the weft.
func (s Shelf) geometry(b stash.ProjectFacts, spec planner.Spec) (fit.Geometry, error) {
	if len(b.HemstitchYarn) > 0 {
		spec.Edges.Finished[planner.HemStitching] = 0
	}
	g, err := fit.FromSpec(spec)
	if err != nil || b.RagPerM2 == 0 {
		return g, err
	}
	return ragGeometry{g, spec, s.ragTex(b)}, nil
}
