package verdict

import (
	"fmt"
	"slices"
	"strings"

	"endsmeet/planner/fit"
	"endsmeet/planner/making"
	"endsmeet/stash"
)

const lotsLabel = "Dye lots"

// lots answers what the dye lots of a piece do: where two meet in one area, and
// where which lot it is was never recorded. The wefts of several pieces on one
// warp are areas of their own, of which the plan says whether lots meet.
func (c Case) lots() Answer {
	var reasons []Reason
	known := map[string]bool{} // by the role
	if c.Taken {
		for _, p := range c.Parts {
			if p.Role == stash.RoleWarp || c.Facts.Pieces <= 1 {
				reasons = append(reasons, c.meetings(p)...)
				known[string(p.Role)] = len(reasons) > 0
			}
		}
	}
	for _, change := range c.Changes {
		if !known[change.Role] || change.Later {
			reasons = append(reasons, c.lotReason("lots meet", lotWords(change)))
		}
	}
	return answer(Lots, lotsLabel, "yes, no two meet.", reasons)
}

// meetings are the colours of a part in which several packages are of different
// lots, or of a lot that is not recorded.
func (c Case) meetings(p Part) []Reason {
	var out []Reason
	done := map[string]bool{}
	for _, first := range p.Packages {
		var tags, lots []string
		for _, one := range p.Packages {
			if one.Colour == first.Colour {
				tags, lots = append(tags, one.Label()), append(lots, one.Lot)
			}
		}
		if done[first.Colour] || len(tags) < 2 {
			continue
		}
		done[first.Colour] = true
		slices.Sort(lots)
		lots = slices.Compact(lots)
		switch {
		case slices.Contains(lots, ""):
			out = append(out, c.lotReason("lot not recorded",
				fmt.Sprintf("whether %s are of one dye lot is not recorded",
					strings.Join(tags, " and "))))
		case len(lots) > 1:
			out = append(out, c.lotReason("lots meet",
				lotWords(fit.LotChange{Role: string(p.Role), Colour: first.Colour, Lots: lots})))
		}
	}
	return out
}

// lotReason grades two lots side by side by what the project says of mixing them:
// allowed, ruled out, or nothing.
func (c Case) lotReason(check, why string) Reason {
	switch mix := c.Facts.MixLots; {
	case mix == nil:
		return Reason{Check, check, why, Capital(making.LotSample) + "."}
	case *mix:
		return Reason{Yes, check, why, ""}
	case check == "lot not recorded":
		return Reason{Unknown, check, why, "Record the lots, or allow it with mix-lots=yes."}
	}
	return Reason{No, check, why + ", which the project rules out",
		"Allow it with mix-lots=yes, or take more of one lot."}
}

func lotWords(c fit.LotChange) string {
	var known []string
	for _, lot := range c.Lots {
		if lot == "" {
			lot = "not recorded"
		}
		known = append(known, lot)
	}
	where := c.Role
	if c.Colour != "" {
		where += " " + c.Colour
	}
	if c.Tag != "" {
		return fmt.Sprintf("%s goes on in the %s if the yarn taken there runs out", c.Tag, c.Role)
	}
	if c.Later {
		return fmt.Sprintf("lot %s goes on in the %s if lot %s runs out", stash.Clean(known[0]), where,
			stash.Clean(strings.Join(known[1:], " and ")))
	}
	return fmt.Sprintf("lots %s meet in the %s", stash.Clean(strings.Join(known, " and ")), where)
}
