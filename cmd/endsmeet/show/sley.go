package show

import (
	"fmt"
	"strings"

	"endsmeet/planner"
	"endsmeet/planner/fit"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// sleyShape is the JSON shape of how a warp is sleyed.
type sleyShape struct {
	// Reed is dents in 1000 m, Sett the ends that the order gives.
	Reed  measure.Sett `json:"reed_per_km"`
	Name  string       `json:"reed"`
	Order string       `json:"order"`
	Sett  measure.Sett `json:"sett_per_km"`
	Dents int          `json:"dents"`
	Exact bool         `json:"exact"`
	Own   bool         `json:"own_reed"`
}

// SleyOf is the JSON shape of how a warp is sleyed.
func SleyOf(o making.Outcome) *sleyShape {
	if s := o.Sley; s.Dents > 0 {
		return &sleyShape{s.Reed, stash.ReedName(s.Reed), s.String(), s.Sett, s.Dents, s.Exact,
			o.Own}
	}
	return nil
}

// sleyWords says how wide a warp is in the reed, and in which order its ends go through.
func sleyWords(reed measure.Length, o making.Outcome, units measure.System) string {
	text := fmt.Sprintf("%s in the reed, %s", reed.Planned(units),
		o.Needs.Spec.Cloth.Sett.Format(units))
	s := o.Sley
	switch {
	case s.Dents == 0 && o.Own:
		return text + "; none of your reeds takes it"
	case s.Dents == 0:
		return text
	case s.Exact:
		return text + fmt.Sprintf(": %s in a %s reed, %s", s, stash.ReedName(s.Reed),
			measure.Counted(s.Dents, "dent"))
	}
	wide := measure.Length(float64(s.Dents) / s.Reed.PerMM())
	which := "usual reed"
	if o.Own {
		which = "reed of yours"
	}
	return text + fmt.Sprintf("; no %s gives that: the nearest is %s in a %s, %s, %s wide (--sett %s)", which, s, stash.ReedName(s.Reed),
		s.Sett.Format(units), wide.Planned(units), strings.ReplaceAll(s.Sett.Format(units), " ",
			""))
}

// mixWords says what a mixed warp takes of each yarn, and how they lie among each other.
func mixWords(parts []stash.Stripe, bands []fit.Band) string {
	var ends, order []string
	for _, b := range bands {
		ends = append(ends, fmt.Sprintf("%s of %s", measure.Counted(b.Ends, "end"),
			stash.Clean(b.Colour)))
	}
	text := strings.Join(ends, ", ") + "; at random, or evenly"
	var counts []int
	for _, p := range parts {
		counts = append(counts, p.Ends)
	}
	for _, i := range planner.Evenly(counts) {
		order = append(order, stash.Clean(parts[i].Colour))
	}
	if len(order) > 0 {
		text += ": " + strings.Join(order, ", ")
	}
	return text
}
