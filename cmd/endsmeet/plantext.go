package main

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner"
	"endsmeet/planner/fit"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func printPlan(w io.Writer, name string, p planned, r recipient, units measure.System) {
	n := p.outcome.Needs
	fmt.Fprintf(w, "%s: %s x %s finished\n", stash.Clean(name), p.Finished.Width.Cloth(units), p.Finished.Length.Cloth(units))
	printVerdict(w, p.Verdicts)
	fmt.Fprintln(w)
	if u := p.FinishedU; u.Width > 0 || u.Length > 0 {
		fmt.Fprintf(w, "  size   ± %s x %s, since losses differ from piece to piece\n", u.Width.Cloth(units), u.Length.Cloth(units))
	}
	fmt.Fprintf(w, "  warp   %d ends of %s = %s, %s in the reed\n", p.Ends, p.WarpEnd.Cloth(units), p.WarpTotal.Yarn(units), p.ReedWidth.Cloth(units))
	fmt.Fprintf(w, "  weave  until the tape, under tension, reads %s%s: %d picks\n", p.Tape.Cloth(units), eachOf(p.outcome.Project.Pieces, p.Tape, units), p.Picks)
	if n.RagMass > 0 {
		fmt.Fprintf(w, "  weft   %s of rags\n", n.RagMass.Format(units))
	} else {
		fmt.Fprintf(w, "  weft   %s\n", p.WeftTotal.Yarn(units))
	}
	printFrom(w, p, units)
	printAllowances(w, "one end", p.Allowances, measure.Length.Cloth, units)
	if n.RagMass == 0 {
		printAllowances(w, "the weft", p.Weft, measure.Length.Yarn, units)
	}
	printLosses(w, p.Losses)
	if grouped(p.outcome.Project) {
		printEdges(w, p.outcome.Edges, units)
	}
	c := plannedCloth("", p.outcome, units)
	printDrawing(w, c.Text())
	for _, note := range p.Notes {
		fmt.Fprint(w, wrap(note, "  ", 78))
	}
	printWays(w, p.Another, units)
	printCautions(w, r, p.Verdicts)
	if p.Piece != nil {
		fmt.Fprintf(w, "\nreserved for %s\n", stash.Clean(*p.Piece))
	}
}

// printAllowances prints each allowance on a line of its own, and their sum.
func printAllowances(w io.Writer, title string, lines []allowance, show func(measure.Length, measure.System) string, units measure.System) {
	t := newTable(title, ">length", "why")
	var sum measure.Length
	for _, l := range lines {
		t.addWrapped(50, cut(l.Name, 18), show(l.Mm, units), l.Why)
		sum += l.Mm
	}
	t.add("in all", show(sum, units), "")
	fmt.Fprintln(w)
	t.print(w)
}

func printLosses(w io.Writer, losses []making.Loss) {
	if len(losses) == 0 {
		return
	}
	t := newTable("reckoned with", ">", "from")
	for _, l := range losses {
		t.addWrapped(42, cut(strings.ReplaceAll(l.Name, "_", " "), 24), l.Text, l.Basis)
	}
	fmt.Fprintln(w)
	t.print(w)
}

func printFringe(w io.Writer, e planner.EdgeAnswer, units measure.System) {
	if e.FringeCut > 0 {
		fmt.Fprintf(w, "  cut the fringe %s long at each end, to twist it\n", e.FringeCut.Cloth(units))
	}
}

// grouped says whether the ends of a project are gathered at its edges at all: in
// a fringe or under hem-stitching.
func grouped(b stash.ProjectFacts) bool { return b.Twisted+b.Fringe > 0 || b.HemstitchedEdges > 0 }

func printEdges(w io.Writer, e planner.EdgeAnswer, units measure.System) {
	defer printFringe(w, e, units)
	twisted := e.FringeCut > 0
	fmt.Fprintf(w, "\nedges: %d groups", e.Groups)
	if twisted {
		fmt.Fprintf(w, ", %d bunches", e.Bunches)
	}
	if e.Even {
		fmt.Fprintln(w, ", nothing left over")
		return
	}
	fmt.Fprint(w, ", left over: ")
	if twisted {
		fmt.Fprintf(w, "%s, ", plural(e.SpareGroups, "group"))
	}
	fmt.Fprintln(w, plural(e.SpareEnds, "end"))
	if len(e.Layouts) > 0 {
		fmt.Fprint(w, wrap("as it is: "+e.Layouts[0].String()+", "+e.Layouts[0].Why, "  ", 78))
	}
	for _, c := range e.Nearest {
		fmt.Fprintf(w, "  %d ends would come out even: %s finished\n", c.Ends, c.FinishedWidth.Cloth(units))
	}
}

// printFrom says which packages a plan takes, and what more of one would do.
func printFrom(w io.Writer, p planned, units measure.System) {
	o := p.outcome
	for _, m := range p.Measure {
		fmt.Fprintf(w, "  %s\n", m)
	}
	if o.Greatest != nil {
		fmt.Fprintf(w, "  at this width %s would fit; --width and --length try other sizes\n", o.Greatest.Length.Cloth(units))
	}
	if o.Worth != nil {
		fmt.Fprintf(w, "  what would help most: %s\n", o.Worth.Measurement.Name)
	}
	if len(p.Packages) > 0 {
		t := newTable("package", ">ends", ">warp", ">weft", ">mass")
		for _, g := range p.Packages {
			t.add(g.Tag, countOrBlank(g.Ends), yarnOrBlank(g.Warp, units), yarnOrBlank(g.across(), units), g.Mass.Format(units))
		}
		t.print(w)
	}
	printBands(w, o.Bands)
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
	fmt.Fprint(w, wrap("stripes: "+bandWords(bands), "  ", 78))
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
