package planner

import (
	"fmt"

	"endsmeet/stash/measure"
)

// EdgeFinish is a way to finish an edge of cloth that takes yarn by the width.
type EdgeFinish int

// The finishes. To add one: a constant here, a row below, and the project's field that
// asks for it.
const (
	HemStitching EdgeFinish = iota
	Binding
	// Finishes is how many there are.
	Finishes
)

// finishTable says what each takes: so many widths of the web and a share more; and
// whether it covers the cut ends, as hem-stitching, which holds the weft, does not.
var finishTable = [Finishes]struct {
	name, field string
	widths      int64
	more        measure.Ratio
	covers      bool
	source      string
}{
	HemStitching: {"hem-stitching", "edges.hem_stitched", 4, 0, false, "common practice, no source"},
	Binding: {"bound edges", "edges.bound", 2, 5 * measure.Percent, true,
		"common practice, no source"},
}

// perEdge is the yarn of one edge across a web.
func (f EdgeFinish) perEdge(web frac) measure.Length {
	row := finishTable[f]
	share := newFrac(row.widths*(whole+int64(row.more)), whole)
	return measure.Length(web.times(share).ceil(1))
}

// finishLine is the yarn of all edges finished so.
func (s Spec) finishLine(f EdgeFinish, web frac) Allowance {
	row, edges := finishTable[f], s.Pieces*s.Edges.Finished[f]
	if edges == 0 {
		return Allowance{}
	}
	why := fmt.Sprintf("%d widths", row.widths)
	if row.more > 0 {
		why += " and " + row.more.String()
	}
	return Allowance{row.name, measure.Length(edges) * f.perEdge(web), why +
		fmt.Sprintf(" for %s (%s)", measure.Counted(edges, "edge"), row.source)}
}

// covered is how many ends of a piece have a finish over the cut edge.
func (e EdgePlan) covered() (ends int) {
	for f, n := range e.Finished {
		if finishTable[f].covers {
			ends += n
		}
	}
	return ends
}

// finishFaults checks the edges of every finish.
func (s Spec) finishFaults() InputErrors {
	var bad InputErrors
	ends, asked := 0, ""
	for f, n := range s.Edges.Finished {
		if ends += n; n != 0 {
			asked = finishTable[f].field
		}
		if n < 0 || n > 2 {
			bad = append(bad, InputError{finishTable[f].field, "must be from 0 to 2",
				"leave it out if there is none"})
		}
	}
	if ends > 2 {
		bad = append(bad, InputError{asked,
			"is more than the two ends of a piece with the other finishes",
			"finish each end one way"})
	}
	return bad
}
