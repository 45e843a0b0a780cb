package main

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/cmd/endsmeet/show"
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
	fmt.Fprintf(w, "%d of %s can be made", made, measure.Counted(len(a.Pieces), "project"))
	switch {
	case a.Proven && made == 0:
		fmt.Fprintln(w)
	case a.Proven && all:
		fmt.Fprintln(w, "; no other sharing is worth more")
	case a.Proven:
		fmt.Fprintln(w, "; of what was considered, no other sharing is worth more")
	default:
		fmt.Fprintf(w, "; another sharing may be worth up to %.2g%% more\n", 100*a.Gap)
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
	fmt.Fprintf(w, "%s: %s\n", stash.Clean(p.Project),
		show.ClothSize(*p.Width, *p.Length, a.units))
	t := show.NewTable("item", ">ends", ">warp", ">weft", ">weight")
	for _, g := range p.Packages {
		t.Add(g.Tag, show.CountOrBlank(g.Ends), show.YarnOrBlank(g.Warp, a.units),
			show.YarnOrBlank(g.Across(), a.units), g.Mass.Format(a.units))
	}
	t.Print(w)
	if p.Piece != nil {
		fmt.Fprintf(w, "  reserved for %s\n", stash.Clean(*p.Piece))
	}
	show.PrintWholeVerdict(w, *p.Verdicts)
	show.PrintCautions(w, p.about, *p.Verdicts)
}

func (a sharedOut) printUnmade(w io.Writer, p sharedTo) {
	fmt.Fprintf(w, "%s: cannot be made", stash.Clean(p.Project))
	if len(p.Rivals) > 0 {
		fmt.Fprintf(w, " next to the others\n")
		fmt.Fprint(w, show.Wrap("the yarn it would take goes to "+strings.Join(p.Rivals, ", "),
			"  ",
			show.RoomOf(w)))
	} else {
		fmt.Fprintln(w)
	}
	if p.Verdicts != nil {
		show.PrintWholeVerdict(w, *p.Verdicts)
	}
	if p.Why != nil && (p.Verdicts == nil || !p.Verdicts.Grade.Blocks()) {
		fmt.Fprint(w, show.Wrap(*p.Why, "  ", show.RoomOf(w)))
	}
	for _, l := range p.LeftOut {
		if namedFor(p, l.ID) {
			fmt.Fprint(w, show.Wrap("left out: "+l.Label+" "+l.Reason, "  ", show.RoomOf(w)))
		}
	}
	for _, b := range p.Buy {
		if p.Verdicts == nil { // else it says so
			fmt.Fprint(w, show.Wrap(show.BuyWords(b, a.units), "  ", show.RoomOf(w)))
		}
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
