package main

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/fit"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// printPlan answers within a screen; with sums it goes on with every allowance,
// figure and source.
func printPlan(w io.Writer, name string, p planned, r recipient, units measure.System, sums bool) {
	title := stash.Clean(name)
	if who := r.whom.Person; who != nil {
		title += " for " + stash.Clean(who.Name)
	}
	titled(w, title, clothSize(p.Finished.Width, p.Finished.Length, units)+" finished")
	printVerdict(w, p.Verdicts)
	fmt.Fprintln(w)
	printLoomFacts(w, p, units)
	printFrom(w, p)
	if p.Largest != nil {
		printLargest(w, *p.Largest, units)
	}
	for _, note := range p.Notes {
		fact(w, "Note", note)
	}
	if sums {
		printSums(w, p, units)
	}
	printWays(w, p.Another, units)
	printCautions(w, r, p.Verdicts)
	if p.Piece != nil {
		fmt.Fprintf(w, "\nReserved for %s.\n", stash.Clean(*p.Piece))
	}
	if !sums {
		fmt.Fprintln(w, "\nSums and sources: "+stash.Command("plan --sums", stash.Clean(name)))
	}
}

// printLoomFacts says what to wind, sley and weave, and of what.
func printLoomFacts(w io.Writer, p planned, units measure.System) {
	n := p.outcome.Needs
	warp, weft := takenOf(p.Packages, units)
	fact(w, "Wind", fmt.Sprintf("%d ends of %s: %s%s", p.Ends, clothText(p.WarpEnd, units),
		yarnText(p.WarpTotal, units), warp))
	if p.outcome.Needs.Spec.Loom.Margin > 0 {
		fact(w, "", fmt.Sprintf("%s in the middle; %s is enough for 19 of 20 pieces",
			clothText(p.WarpMiddle, units), clothText(p.WarpLong, units)))
	}
	fact(w, "Sley", sleyWords(p.ReedWidth, p.outcome, units))
	fact(w, "Weave", fmt.Sprintf("until the tape, under tension, reads %s%s (%d picks)",
		clothText(p.Tape, units), eachOf(p.outcome.Project.Pieces, p.Tape, units), p.Picks))
	across := yarnText(p.WeftTotal, units)
	if n.RagMass > 0 {
		across = n.RagMass.Format(units) + " of rags"
	}
	fact(w, "Weft", across+weft)
	if b := p.outcome.Project; b.StripeRule == stash.StripesMixed && len(p.outcome.Bands) > 0 {
		fact(w, "Mix", mixWords(b.Stripes, p.outcome.Bands))
	} else {
		printBands(w, p.outcome.Bands)
	}
	printEdges(w, p.outcome.Project, n, p.outcome.Edges, p.outcome.OtherEdges, units)
	if left := leftWords(p.Packages, units); left != "" {
		fact(w, "Left", left)
	}
	if u := p.FinishedU; u.Width > 0 || u.Length > 0 {
		fact(w, "Size", "± "+clothSize(u.Width, u.Length,
			units)+", as losses differ from piece to piece")
	}
}

// takenOf says what warp and weft take of which package.
func takenOf(packages []given, units measure.System) (warp, weft string) {
	for _, g := range packages {
		part := float64(g.Mass)
		if all := g.Warp + g.across(); all > 0 {
			part *= float64(g.Warp) / float64(all)
		}
		if g.Warp > 0 {
			warp += fmt.Sprintf(", %s %s", g.Tag, roundMass(measure.Mass(part), units))
		}
		if g.Weft == nil || g.across() > 0 {
			weft += fmt.Sprintf(", %s %s", g.Tag,
				roundMass(g.Mass-wherePositive(g.Warp, measure.Mass(part)), units))
		}
	}
	return warp, weft
}

func wherePositive(l measure.Length, m measure.Mass) measure.Mass {
	if l > 0 {
		return m
	}
	return 0
}

// leftWords says what then is left of each package.
func leftWords(packages []given, units measure.System) string {
	var parts []string
	for _, g := range packages {
		if g.Left != nil {
			parts = append(parts, g.Tag+" "+roundMass(*g.Left, units))
		}
	}
	return strings.Join(parts, ", ")
}

// printSums shows every allowance, figure and source of a plan, and draws it.
func printSums(w io.Writer, p planned, units measure.System) {
	n := p.outcome.Needs
	printAllowances(w, "one end", p.Allowances, measure.Length.Cloth, units)
	if rests := p.outcome.Wind.Rests; rests != "" {
		fmt.Fprint(w, wrap("The length of the ends: "+rests+".", "  ", roomOf(w)))
	}
	if n.RagMass == 0 {
		printAllowances(w, "the weft", p.Weft, measure.Length.Yarn, units)
	}
	printLosses(w, p.Losses)
	printEdgeSums(w, p.outcome.Project, n, p.outcome.Edges, p.outcome.OtherEdges, units)
	c := plannedCloth("", p.outcome, units)
	printDrawing(w, c.Text())
	for _, d := range n.DivideNotes {
		fmt.Fprint(w, wrap(d.Sentence(units), "  ", roomOf(w)))
	}
}

// printAllowances prints each allowance on a line of its own, and their sum.
func printAllowances(w io.Writer, title string, lines []allowance,
	say func(measure.Length, measure.System) string, units measure.System) {
	t := newTable(title, ">length", "why")
	var sum measure.Length
	for _, l := range lines {
		t.addWrapped(50, l.Name, say(l.Mm, units), l.Why)
		sum += l.Mm
	}
	t.add("in all", say(sum, units), "")
	fmt.Fprintln(w)
	t.print(w)
}

func printLosses(w io.Writer, losses []making.Loss) {
	if len(losses) == 0 {
		return
	}
	t := newTable("reckoned with", ">", "from")
	for _, l := range losses {
		t.addWrapped(42, strings.ReplaceAll(l.Name, "_", " "), l.Text, l.Basis)
	}
	fmt.Fprintln(w)
	t.print(w)
}

// printFrom says what to measure first, and what more yarn would do.
func printFrom(w io.Writer, p planned) {
	o := p.outcome
	for _, m := range p.Measure {
		fact(w, "First", m)
	}
	if o.Greatest != nil {
		fact(w, "Instead", "--width and --length try other sizes")
	}
	if o.Worth != nil {
		fact(w, "Surer", "what would help most: "+o.Worth.Measurement.Name)
	}
}

func countOrBlank(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

func yarnOrBlank(l measure.Length, units measure.System) string {
	if l == 0 {
		return ""
	}
	return l.Yarn(units)
}

// printBands prints the stripes from the left selvedge, floats apart.
func printBands(w io.Writer, bands []fit.Band) {
	if len(bands) < 2 {
		return
	}
	fact(w, "Stripes", bandWords(bands))
}

// bandWords lists stripes as they are typed.
func bandWords(bands []fit.Band) string {
	var parts []string
	for _, b := range bands {
		parts = append(parts, fmt.Sprintf("%s %d", b.Colour, b.Ends))
	}
	return strings.Join(parts, ", ")
}

// percent writes a probability, never as the certainty that it is not.
func percent(p float64) string {
	switch {
	case p > 0.999:
		return "more than 99.9 %"
	case p < 0.001:
		return "less than 0.1 %"
	}
	return fmt.Sprintf("%.1f %%", p*100)
}
