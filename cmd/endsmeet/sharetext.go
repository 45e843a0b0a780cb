package main

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/share"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// print tells what each project gets and why others get nothing.
func (a sharedOut) print(w io.Writer) {
	made, all := 0, true
	for _, p := range a.Pieces {
		if p.Made {
			made++
		}
		all = all && p.Complete
	}
	fmt.Fprintf(w, "%d of %s can be made", made, plural(len(a.Pieces), "project"))
	switch {
	case a.Proven && made == 0:
		fmt.Fprintln(w)
	case a.Proven && all:
		fmt.Fprintln(w, "; no other sharing is worth more")
	case a.Proven:
		fmt.Fprintln(w, "; of what was considered, no other sharing is worth more")
	default:
		fmt.Fprintf(w, "; another sharing may be worth up to %.2g %% more\n", 100*a.Gap)
		fmt.Fprintln(w, "(--exact goes on until it is known)")
	}
	for _, p := range a.Pieces {
		fmt.Fprintln(w)
		if p.Made {
			a.printMade(w, p)
		} else {
			a.printUnmade(w, p)
		}
		if !p.Complete {
			fmt.Fprintln(w, "  of very many choices of lots the best were considered; name its yarns for all")
		}
	}
}

func (a sharedOut) printMade(w io.Writer, p sharedTo) {
	fmt.Fprintf(w, "%s: %s x %s, %s\n", stash.Clean(p.Project), p.Width.Cloth(a.units),
		p.Length.Cloth(a.units), percent(*p.Probability))
	t := newTable("package", ">ends", ">warp", ">weft", ">mass")
	for _, g := range p.Packages {
		t.add(g.Tag, countOrBlank(g.Ends), yarnOrBlank(g.Warp, a.units),
			yarnOrBlank(g.across(), a.units), g.Mass.Format(a.units))
	}
	t.print(w)
	if p.Piece != nil {
		fmt.Fprintf(w, "  reserved for %s\n", stash.Clean(*p.Piece))
	}
	printVerdict(w, *p.Verdicts)
	printCautions(w, p.about, *p.Verdicts)
}

func (a sharedOut) printUnmade(w io.Writer, p sharedTo) {
	fmt.Fprintf(w, "%s: cannot be made", stash.Clean(p.Project))
	if len(p.Rivals) > 0 {
		fmt.Fprintf(w, " beside the others\n")
		fmt.Fprint(w, wrap("the yarn it would take goes to "+strings.Join(p.Rivals, ", "), "  ",
			roomOf(w)))
	} else {
		fmt.Fprintln(w)
	}
	if p.Verdicts != nil {
		printVerdict(w, *p.Verdicts)
	}
	if p.Why != nil && (p.Verdicts == nil || !p.Verdicts.Grade.Blocks()) {
		fmt.Fprint(w, wrap(*p.Why, "  ", roomOf(w)))
	}
	for _, l := range p.LeftOut {
		if namedFor(p, l.ID) {
			fmt.Fprint(w, wrap("left out: "+l.Label+" "+l.Reason, "  ", roomOf(w)))
		}
	}
	for _, b := range p.Buy {
		fmt.Fprint(w, wrap(buyWords(b, a.units), "  ", roomOf(w)))
	}
}

// namedFor says whether a project names a package, so that its reason matters.
func namedFor(p sharedTo, id stash.PackageID) bool {
	b := p.piece.Want.Project
	for _, r := range append(append([]stash.Ref(nil), b.Warp...), b.Weft...) {
		if r.Package == id || r.Package == "" {
			return true
		}
	}
	return false
}

// buyWords says what to buy, in the packages in which it is sold.
func buyWords(b share.Buy, units measure.System) string {
	what := strings.Join(strings.Fields(b.Name+" "+colourBeside(b.Name, b.Colour)), " ")
	text := fmt.Sprintf("buy %s (%s) of %s for the %s", b.Length.Yarn(units), b.Mass.Format(units),
		what, b.Role)
	if b.Packages > 0 {
		text = fmt.Sprintf("buy %d x %s of %s for the %s: %s (%s) lacks", b.Packages,
			b.PutUp.Format(units), what, b.Role, b.Length.Yarn(units), b.Mass.Format(units))
	}
	if b.Lot != "" {
		return text + "; ask for dye lot " + b.Lot + ", another may show"
	}
	return text
}
