package people

import (
	"fmt"
	"slices"

	"endsmeet/stash"
)

// infantSource is where the caution for fringes comes from.
const infantSource = "donor rules and teaching; no standard found here sets a length"

// ContentCautions are for whoever receives a piece: what is recorded of its
// yarns and its form that they should know, in a few words each. They speak of
// the piece alone and of no person's rules. Values in dispute are each read.
func ContentCautions(parts []Part, form PieceForm) []Caution {
	var out []Caution
	add := func(is bool, text, source string) {
		if c := (Caution{text, source}); is && !slices.Contains(out, c) {
			out = append(out, c)
		}
	}
	loose := form.Fringe > 0 || form.Ties > 0
	for _, part := range parts {
		for _, y := range Readings(part.Yarn) {
			loose = loose || testLongEnds(y, "").state == hit
			contents(y, add)
		}
	}
	add(loose, "Fringe or loose ends: not for small children. Look for loose ends at every wash.",
		infantSource)
	if len(out) > 0 {
		out = append(out, Caution{"If in doubt ask; nothing here is advice.", "this stash"})
	}
	return out
}

// recorded is the source of cautions that rest on what is recorded of a yarn.
const recorded = "recorded with the yarn"

func contents(y stash.YarnFacts, add func(bool, string, string)) {
	latex := testLatex(y, "").state == hit
	add(latex, "Holds natural rubber latex.", recorded)
	add(!latex && testPossibleLatex(y, "").state == hit,
		"May hold natural rubber latex: elastic of a kind not stated.", recorded)
	add(partUnknown(y.Fibre), "Part of its fibre is not known.", recorded)
	for _, s := range told(y) {
		add(true, fmt.Sprintf("Ask the maker: %s says %q.", s.where, s.Word), recorded)
	}
	add(y.Shedding != nil && *y.Shedding >= 2, "Sheds loose fibre.", recorded)
	add(testMetal(y, "").state == hit, "Holds metal.", recorded)
	add(testLanolin(y, "").state == hit, "May carry wool grease (lanolin).", recorded)
	add(testCoarse(y, micronWords(coarseAbove)).state == hit, "Holds coarse fibre that may prickle.", recorded)
	add(y.Bleeds == stash.Yes || y.Bleeds == stash.May, "Its dye may run: wash it alone at first.",
		recorded)
	add(testOdour(y, "").state == hit, "One of its yarns had a smell.", recorded)
	add(slices.Contains(y.Hazards, "oil"),
		"A yarn was weighed in spinning oil: its share is a little less.", recorded)
}
