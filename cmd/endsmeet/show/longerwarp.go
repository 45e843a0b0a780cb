package show

import (
	"fmt"
	"io"

	"endsmeet/planner/chance"
	"endsmeet/planner/verdict"
	"endsmeet/stash/measure"
)

// Way is one way to come to one more piece.
type Way struct {
	Name      string         `json:"name"`
	WarpEnd   measure.Length `json:"warp_end_mm"`
	WarpTotal measure.Length `json:"warp_total_mm"`
	WeftTotal measure.Length `json:"weft_total_mm"`
	// Rags is a rag weft, which goes by mass.
	Rags  measure.Mass   `json:"rags_mg,omitempty"`
	Waste measure.Length `json:"waste_mm"`
	// Sample is the part of each end that is woven as a sample.
	Sample      measure.Length `json:"sample_mm,omitempty"`
	Verdict     chance.Verdict `json:"verdict"`
	Probability *float64       `json:"probability"`
	Binding     string         `json:"runs_out_first"`
}

// PrintWays prints the ways out of a short warp; where one is not sure, what runs out first.
func PrintWays(w io.Writer, ways []Way, units measure.System) {
	if len(ways) == 0 {
		return
	}
	t := NewTable("", ">one end", ">warp", ">weft", ">waste", "it fits")
	for _, way := range ways {
		sure := wayWords[way.Verdict]
		if way.Probability != nil {
			sure += " " + verdict.Percent(*way.Probability)
		}
		weft := way.WeftTotal.Yarn(units)
		if way.Rags > 0 {
			weft = way.Rags.Format(units)
		}
		if way.Verdict != chance.Sure && way.Verdict != chance.Unknown {
			sure += " (" + way.Binding + ")"
		}
		t.Rows = append(t.Rows, []string{way.Name, way.WarpEnd.Yarn(units),
			way.WarpTotal.Yarn(units), weft, way.Waste.Yarn(units), sure})
	}
	fmt.Fprintln(w)
	t.Print(w)
	if sample := ways[0].Sample; sample > 0 {
		fmt.Fprintf(w, "  Each warp has a sample of %s in it.\n", sample.Planned(units))
	}
}

// wayWords are the verdicts as the line of a plan begins with them.
var wayWords = map[chance.Verdict]string{chance.Sure: "yes", chance.Likely: "likely",
	chance.Short: "no", chance.Unknown: "not known"}
