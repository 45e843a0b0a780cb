package verdict

import (
	"fmt"
	"slices"
	"strings"

	"endsmeet/planner/fit"
	"endsmeet/stash"
)

const lotsLabel = "Dye lots"

// lots answers what the dye lots of a piece do: where two meet in one area, and
// where which lot it is was never recorded.
func (c Case) lots() Answer {
	var reasons []Reason
	for _, change := range c.Changes {
		reasons = append(reasons, c.lotReason("lots meet", lotWords(change)))
	}
	for _, p := range c.Parts {
		if tags := unrecorded(p); len(tags) > 0 {
			reasons = append(reasons, c.lotReason("lot not recorded", fmt.Sprintf("whether %s are of one dye lot is not recorded", strings.Join(tags, " and "))))
		}
	}
	return answer(Lots, lotsLabel, "yes, no two meet.", reasons)
}

// lotReason grades two lots side by side by what the project says of mixing them:
// allowed, ruled out, or nothing.
func (c Case) lotReason(check, why string) Reason {
	switch mix := c.Facts.MixLots; {
	case mix == nil:
		return Reason{Check, check, why, "Lay them side by side in daylight before they are wound."}
	case *mix:
		return Reason{Yes, check, why, ""}
	case check == "lot not recorded":
		return Reason{Unknown, check, why, "Record the lots, or allow it with mix-lots=yes."}
	}
	return Reason{No, check, why + ", which the project rules out", "Allow it with mix-lots=yes, or take more of one lot."}
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
	return fmt.Sprintf("lots %s meet in the %s", stash.Clean(strings.Join(known, " and ")), where)
}

// unrecorded are the packages of a part of one colour, where there are several
// and the lot of none is recorded.
func unrecorded(p Part) []string {
	for _, first := range p.Packages {
		var tags []string
		for _, one := range p.Packages {
			if one.Colour == first.Colour && one.Lot == "" {
				tags = append(tags, one.Label())
			}
		}
		if len(tags) > 1 && first.Lot == "" {
			return slices.Compact(tags)
		}
	}
	return nil
}
