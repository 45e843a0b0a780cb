package show

import (
	"fmt"
	"io"
	"slices"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// WarpShape is the JSON shape of several projects planned on one warp.
type WarpShape struct {
	Ends      int            `json:"ends"`
	End       measure.Length `json:"warp_end_mm"`
	Total     measure.Length `json:"warp_total_mm"`
	Reed      measure.Length `json:"reed_width_mm"`
	Separator measure.Length `json:"separator_mm"`
	Waste     measure.Length `json:"waste_mm"`
	Pieces    []Planned      `json:"pieces"`

	Whom []Recipient `json:"-"`
	Name []string    `json:"-"`
}

// PrintWarp prints a warp that several projects share.
func PrintWarp(w io.Writer, s WarpShape, units measure.System) {
	Titled(w, fmt.Sprintf("One warp for %d pieces", len(s.Pieces)), fmt.Sprintf("%d ends", s.Ends))
	warp, _ := takenOf(warpOnly(s.Pieces), units)
	Fact(w, "Wind", fmt.Sprintf("%d ends of %s: %s%s", s.Ends, s.End.Planned(units),
		yarnText(s.Total, units), warp))
	Fact(w, "Sley", sleyWords(s.Reed, s.widest(), units))
	Fact(w, "Waste", fmt.Sprintf("%s of every end, shared by the length of warp that each takes",
		s.Waste.Planned(units)))
	for i, p := range s.Pieces {
		fmt.Fprintln(w)
		title := fmt.Sprintf("%d %s", i+1, stash.Clean(s.Name[i]))
		if who := s.Whom[i].Whom.Person; who != nil {
			title += " for " + stash.Clean(who.Name)
		}
		Titled(w, title, ClothSize(p.Finished.Width, p.Finished.Length, units)+" finished")
		PrintWholeVerdict(w, p.Verdicts)
		printSection(w, s, p, units)
		PrintFrom(w, p)
		PrintCautions(w, s.Whom[i], p.Verdicts)
		if p.Piece != nil {
			Fact(w, "Piece", "reserved for "+stash.Clean(*p.Piece))
		}
	}
	if s.Separator > 0 {
		fmt.Fprintf(w, "\nBetween two pieces: %s, not counting their fringes, woven in waste yarn or left.\n", s.Separator.Cloth(units))
	} else {
		fmt.Fprintln(w, "\nBetween two pieces: two picks of another colour as a cutting line.")
	}
}

// widest is the outcome of the project that takes most ends, which are sleyed.
func (s WarpShape) widest() making.Outcome {
	return slices.MaxFunc(s.Pieces, func(a, b Planned) int { return a.Ends - b.Ends }).Outcome
}

// printSection says what to weave of one project of a warp.
func printSection(w io.Writer, s WarpShape, p Planned, units measure.System) {
	part := fmt.Sprintf("%s of every end", p.WarpEnd.Planned(units))
	if idle := s.Ends - p.Ends; idle > 0 {
		part += fmt.Sprintf("; %d at each side idle, or striped in: they are its yarn too",
			(idle+1)/2)
	}
	Fact(w, "Warp", part)
	Fact(w, "Weave", fmt.Sprintf("until the tape, under tension, reads %s from its own beginning (%d picks)%s",
		p.Tape.Planned(units), p.Picks, EachOf(p.Outcome.Project.Pieces, p.Tape, units)))
	across := yarnText(p.WeftTotal, units)
	if p.Outcome.Needs.RagMass > 0 {
		across = p.Outcome.Needs.RagMass.Format(units) + " of rags"
	}
	_, weft := takenOf(p.Packages, units)
	Fact(w, "Weft", across+weft)
	printEdges(w, p.Outcome.Project, p.Outcome.Needs, p.Outcome.Edges, p.Outcome.OtherEdges, units)
}

// warpOnly adds up what each item gives to the warp of all pieces.
func warpOnly(pieces []Planned) []Given {
	var out []Given
	for _, p := range pieces {
		for _, g := range p.Packages {
			if g.Warp == 0 {
				continue
			}
			all := g.Warp + g.Across()
			g.Mass = measure.Part(g.Mass, int64(g.Warp), int64(all))
			g.Weft, g.Hemstitch = new(measure.Length), 0
			if i := slices.IndexFunc(out,
				func(have Given) bool { return have.ID == g.ID }); i >= 0 {
				out[i].Warp += g.Warp
				out[i].Mass += g.Mass
				continue
			}
			out = append(out, g)
		}
	}
	return out
}

// onWarpWords say what a warp on the loom gives beyond the pieces on it.
func onWarpWords(s making.OnWarp, units measure.System) string {
	after := stash.Clean(s.After)
	switch {
	case s.Length == 0:
		return "nothing more can be woven on this warp after " + after
	case s.Sure == 0:
		return "nothing more to rely on after " + after + "; an even chance of " +
			s.Length.Planned(units) + " on the same warp"
	}
	text := fmt.Sprintf("after %s you can rely on %s more on the same warp%s, up to %s wide", after,
		s.Sure.Planned(units), inTheMiddle(s.Length, s.Sure, units), s.Width.Planned(units))
	if s.Weft != nil && s.WeftSure < s.Sure {
		text += fmt.Sprintf("; its weft allows %s of it%s", s.WeftSure.Planned(units),
			inTheMiddle(*s.Weft, s.WeftSure, units))
	}
	return text
}
