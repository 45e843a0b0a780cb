package planner

import (
	"fmt"

	"endsmeet/stash/measure"
)

// Warning is something that the weaver should look at again; the plan stands.
type Warning struct {
	Code    string // stable, such as "take-up"
	Message string
}

// DivideNote says that adding a loss to the finished size would have come out
// short, where it makes more than half a centimetre: a loss is a share of the
// length before, so the size is divided by what is left.
type DivideNote struct {
	What     string         // "length" or "width"
	Loss     measure.Ratio  // the whole loss
	Finished measure.Length // wanted
	Divided  measure.Length // right: finished / (1 - loss)
	Added    measure.Length // short: finished (1 + loss)
}

// Sentence is the note for a reader of metric or imperial lengths.
func (d DivideNote) Sentence(sys measure.System) string {
	return fmt.Sprintf("%s %s finished at %s loss needs %s (divided), not %s (added)",
		d.What, d.Finished.Cloth(sys), tenth(d.Loss), d.Divided.Cloth(sys), d.Added.Cloth(sys))
}

// tenth rounds a loss to a tenth of a per cent.
func tenth(r measure.Ratio) measure.Ratio {
	const step = measure.Percent / 10
	return (r + step/2) / step * step
}

// String is the note in centimetres.
func (d DivideNote) String() string { return d.Sentence(measure.Metric) }

// nearest is the fraction of a length, rounded half up, for a note to read.
func (f frac) nearest(l measure.Length) measure.Length {
	q, r := f.mul(int64(l))
	if 2*r >= uint64(f.den) {
		q++
	}
	return measure.Length(q)
}

// noticeable is the difference from which a note is worth its line.
const noticeable = 5 * measure.Millimetre

// divideNotes are the notes for length and width.
func (s Spec) divideNotes() []DivideNote {
	l := s.Losses
	across := measure.Whole - measure.Ratio((whole-int64(l.WetWidth))*(whole-int64(l.DrawIn))/whole)
	var notes []DivideNote
	for _, d := range []DivideNote{
		{What: "length", Loss: l.WetLength, Finished: s.woven(),
			Divided: s.relaxing().nearest(s.woven())},
		{What: "width", Loss: across, Finished: s.Size.Width,
			Divided: s.reeding().nearest(s.Size.Width)},
	} {
		d.Added = newFrac(whole+int64(d.Loss), whole).nearest(d.Finished)
		if d.Divided-d.Added > noticeable {
			notes = append(notes, d)
		}
	}
	return notes
}

// warnings are what is possible but odd.
func (s Spec) warnings(n Needs) []Warning {
	var all []Warning
	if s.Cloth.Plain && s.balanced() {
		for _, c := range []struct {
			name  string
			crimp measure.Ratio
		}{{"warp", s.Losses.WarpTakeUp}, {"weft", s.Losses.WeftTakeUp}} {
			if c.crimp > JammedPlain {
				all = append(all,
					Warning{"take-up",
						fmt.Sprintf("%s take-up of %s is more than a jammed balanced plain cloth of round yarn can have (20.92%%, Peirce 1937)", c.name, c.crimp)})
			}
		}
	}
	if s.Edges.Fringes() == 0 && s.Edges.Hem == 0 && s.Edges.covered() < 2 {
		all = append(all, Warning{"edge",
			bareEdge(s.Edges)})
	}
	if s.Size.Width > 0 && n.FinishedWidth-s.Size.Width > s.Size.Width/10 {
		all = append(all, Warning{"modulus",
			fmt.Sprintf("ends in %s make the piece more than a tenth wider than wanted; %d ends lie below", s.Ends.counts(), n.ThreadedBelow)})
	}
	return all
}

// balanced says that ends and picks differ by less than a tenth (common
// practice, no source).
func (s Spec) balanced() bool {
	e, p := s.Cloth.Sett, s.Cloth.Picks
	return 10*max(e-p, p-e) < max(e, p)
}

// bareEdge says what a cut edge without hem or fringe needs.
func bareEdge(e EdgePlan) string {
	switch {
	case e.Finished[HemStitching] > 0:
		return "hemstitching holds the weft; the cut ends beyond it need a fringe or a hem too"
	case e.covered() > 0:
		return "one edge has neither hem nor fringe: it needs some finish"
	}
	return "neither hem nor fringe is planned: the cut edge needs some finish"
}
