package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// LoomShape is the JSON shape of `loom`.
type LoomShape struct {
	Piece string `json:"piece"`
	making.Rest
	Verdicts verdict.Verdict `json:"verdicts"`
	// OnWarp are the other pieces of its warp that are on the loom.
	OnWarp []string `json:"on_warp"`
	// Pieces is how many its warp can be made to be of, one more than it is; 0 for no more.
	Pieces int `json:"pieces_possible,omitempty"`

	Plan *stash.Plan `json:"-"`
}

// PrintLoom prints what is on the loom and what can still be woven.
func PrintLoom(w io.Writer, r LoomShape, units measure.System) {
	fmt.Fprintf(w, "%s is on the loom.\n", stash.Clean(r.Piece))
	PrintWorse(w, r.Verdicts)
	further := r.Further.Planned(units) + " further"
	if r.Further <= 0 {
		further = "which is reached"
	}
	Fact(w, "Weave", fmt.Sprintf("until the tape reads %s ± %s%s: %s",
		r.Target.Within(r.TargetU, units), r.TargetU.Within(r.TargetU, units),
		EachOf(r.Plan.Spec.Pieces, r.Target, units), further))
	if off := r.Target - r.Plan.Tape; max(off, -off) > 5*measure.Millimetre {
		Fact(w, "Planned", fmt.Sprintf("%s: this web stretches %s (its yarn %s), %s was reckoned with; at the planned tape it would finish %s long, not %s",
			r.Plan.Tape.Planned(units), tenths(r.Stretch), tenths(r.Strain),
			tenths(r.Planned), r.AtPlan.Planned(units), r.Plan.Length.Planned(units)))
	}
	if r.BeatOff != 0 {
		Fact(w, "Beat", beatWords(r.Rest, units))
	}
	Fact(w, "Warp", fmt.Sprintf("lets the tape come %s further, which finishes as %s%s",
		r.TapeSure.Planned(units), r.FinishedMore.Planned(units),
		inTheMiddle(r.Finished, r.FinishedMore, units)))
	printShortWarp(w, r, units)
	Fact(w, "After", afterWords(r, units))
	printOneMore(w, r.Piece, r.Pieces)
	if r.Weft == nil {
		Fact(w, "Weft", "how much is left is not known")
	} else {
		Fact(w, "Weft", fmt.Sprintf("is enough for %s from here%s%s; the %s runs out first",
			r.WeftSure.Planned(units), inTheMiddle(*r.Weft, r.WeftSure, units),
			paceWords(r.Rest.WeftPace), r.Binding))
	}
	if r.Rest.Worth != "" {
		Fact(w, "Surer", r.Rest.Worth)
	}
}

// inTheMiddle says what a length is in the middle, beside the one that can be relied on; empty
// where they are one.
func inTheMiddle(middle, sure measure.Length, units measure.System) string {
	if middle.Planned(units) == sure.Planned(units) {
		return ""
	}
	return " (" + middle.Planned(units) + " in the middle)"
}

// printOneMore says how another piece is woven on a warp that is enough for it.
func printOneMore(w io.Writer, piece string, pieces int) {
	if pieces > 0 {
		Fact(w, "", "to weave another: "+
			stash.Command(fmt.Sprintf("loom --pieces %d", pieces), stash.Clean(piece)))
	}
}

// beatWords say that the beat is off, and what follows.
func beatWords(r making.Rest, units measure.System) string {
	if r.BeatOff > 0 {
		return fmt.Sprintf("check first: %s counted, %s more than was to be expected: the weft goes faster by as much and the cloth is closer. Beat lighter, or go on: the weft below is reckoned with it",
			r.Picks.Format(units), tenths(r.BeatOff))
	}
	return fmt.Sprintf("check first: %s counted, %s fewer than was to be expected: the cloth is looser. Beat harder, or go on: the weft below is reckoned with it",
		r.Picks.Format(units), tenths(-r.BeatOff))
}

// afterWords says what the warp still holds beyond a piece.
func afterWords(r LoomShape, units measure.System) string {
	switch {
	case r.Plan.Shared != nil && len(r.OnWarp) == 0:
		return "nothing: it is the last piece on its warp"
	case r.Plan.Shared != nil:
		return "the rest of the warp is kept for " + stash.Clean(strings.Join(r.OnWarp, ", "))
	case r.AfterSure > 0:
		return "you can rely on " + r.AfterSure.Planned(units) + " more on this warp, fringes between" +
			inTheMiddle(r.AfterPiece, r.AfterSure, units)
	case r.AfterPiece > 0:
		return "nothing more to rely on; an even chance of " + r.AfterPiece.Planned(units)
	}
	return "nothing beyond what was planned is left on this warp"
}

// printShortWarp says what can be done where the warp may be too short.
func printShortWarp(w io.Writer, r LoomShape, units measure.System) {
	if r.Short < 0.2 || r.Further <= 0 {
		return
	}
	Fact(w, "Short", fmt.Sprintf("the warp may be too short for that: %.0f chances in 100. Then",
		100*r.Short))
	if r.Rest.FinishedSure > 0 {
		Fact(w, "", fmt.Sprintf("finish shorter: %s, at a tape of %s,",
			r.ReachedBy(r.Plan.Length, units), r.Sure.Planned(units)))
	}
	if r.Rest.TieOn > 0 {
		Fact(w, "", fmt.Sprintf("or tie on: %s to each of the %d ends, and the knots,",
			r.Rest.TieOn.Planned(units), r.Plan.Ends))
	}
	Fact(w, "", fmt.Sprintf("or weave a tenth fewer picks from here: the warp bends less, which gives about %s, and %s of weft are saved (take-up goes with the picks: Taylor, Cotton Weaving and Designing, 1909)",
		r.Rest.FewerGain.Planned(units), yarnText(r.Rest.FewerSaved, units)))
}

// paceWords say where the weft goes otherwise than planned, by what was left when
// it was weighed.
func paceWords(pace float64) string {
	switch {
	case pace == 0:
		return ""
	case pace > 1.02:
		return fmt.Sprintf(", going %.0f%% faster than planned by what was weighed", 100*(pace-1))
	case pace < 0.98:
		return fmt.Sprintf(", going %.0f%% slower than planned by what was weighed", 100*(1-pace))
	}
	return ", going as planned by what was weighed"
}

func tenths(r measure.Ratio) string { return measure.InPercent(r.Float()) }
