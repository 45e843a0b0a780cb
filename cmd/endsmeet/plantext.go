package main

import (
	"fmt"
	"io"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// printPlan answers within a screen; with sums it goes on with every allowance,
// figure and source.
func printPlan(w io.Writer, name string, p show.Planned, r show.Recipient, units measure.System,
	sums bool) {
	title := stash.Clean(name)
	if who := r.Whom.Person; who != nil {
		title += " for " + stash.Clean(who.Name)
	}
	show.Titled(w, title, show.ClothSize(p.Finished.Width, p.Finished.Length, units)+" finished")
	show.PrintVerdict(w, p.Verdicts)
	fmt.Fprintln(w)
	show.PrintLoomFacts(w, p, units)
	show.PrintFrom(w, p)
	if p.Largest != nil {
		show.PrintLargest(w, *p.Largest, units)
	}
	for _, note := range p.Notes {
		show.Fact(w, "Note", note)
	}
	if sums {
		printSums(w, p, units)
	}
	show.PrintWays(w, p.Another, units)
	show.PrintCautions(w, r, p.Verdicts)
	if p.Piece != nil {
		fmt.Fprintf(w, "\nReserved for %s.\n", stash.Clean(*p.Piece))
	}
	if !sums {
		fmt.Fprintln(w, "\nSums and sources: "+stash.Command("plan --sums", stash.Clean(name)))
	}
}

// printSums shows every allowance, figure and source of a plan, and draws it.
func printSums(w io.Writer, p show.Planned, units measure.System) {
	n := p.Outcome.Needs
	show.PrintUntold(w, p.Verdicts)
	show.PrintAllowances(w, "one end", p.Allowances, measure.ClothColumn, units)
	if rests := p.Outcome.Wind.Rests; rests != "" {
		fmt.Fprint(w, show.Wrap("The length of the ends: "+rests+".", "  ", show.RoomOf(w)))
	}
	if sample := p.Outcome.Wind.Sample; sample != "" {
		fmt.Fprint(w, show.Wrap("The finished length: "+sample+".", "  ", show.RoomOf(w)))
	}
	show.PrintEndsOf(w, p.EndsOf)
	if n.RagMass == 0 {
		show.PrintAllowances(w, "the weft", p.Weft, measure.BalancedYarn, units)
	}
	show.PrintLosses(w, p.Losses)
	show.PrintEdgeSums(w, p.Outcome.Project, n, p.Outcome.Edges, p.Outcome.OtherEdges, units)
	c := plannedCloth("", p.Outcome, units)
	show.PrintDrawing(w, c.Text())
	for _, d := range n.DivideNotes {
		fmt.Fprint(w, show.Wrap(d.Sentence(units), "  ", show.RoomOf(w)))
	}
}
