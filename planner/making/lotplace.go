package making

import (
	"fmt"
	"maps"
	"slices"

	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// lotPlaces say of dye lots that meet how far each goes, and where their change
// hides best: of the weft at both ends of the cloth alike, of a warp in a stripe of
// its own at both selvedges (common practice, no source).
func (s Shelf) lotPlaces(o Outcome) []string {
	var out []string
	for _, c := range o.LotChanges {
		switch {
		case c.Later:
			out = append(out, laterPlace(c))
		case len(c.Lots) < 2:
		case c.Role == string(stash.RoleWeft):
			out = append(out, s.weftPlace(o, c.Lots)...)
		default:
			out = append(out, s.warpPlace(o, c.Colour, c.Lots)...)
		}
	}
	return append(out, s.acrossLots(o)...)
}

// LotNotes are what a plan says of the dye lots that it takes: which of several pieces gets
// its weft from which, and where lots that meet show least.
func (s Shelf) LotNotes(p stash.Plan) []string {
	o := Outcome{Project: p.Spec, Allotments: p.Allotments}
	o.Needs.TapeLength, o.Needs.Ends = p.Tape, p.Ends
	for _, role := range []stash.Role{stash.RoleWarp, stash.RoleWeft} {
		lots := map[string][]string{}
		for _, p := range s.takenAs(p.Allotments, role) {
			if of := p.Colour; !slices.Contains(lots[of], p.Lot) {
				lots[of] = append(lots[of], p.Lot)
			}
		}
		for _, colour := range slices.Sorted(maps.Keys(lots)) {
			o.LotChanges = append(o.LotChanges, fit.LotChange{Role: string(role), Colour: colour,
				Lots: lots[colour]})
		}
	}
	return append(s.lotPlaces(o), s.weftOfPieces(o)...)
}

// laterPlace says where yarn that goes on when another runs out shows least.
func laterPlace(c fit.LotChange) string {
	what := c.Tag
	if what == "" {
		what = "lot " + lotOr(c.Lots[0])
	}
	if c.Role == string(stash.RoleWarp) {
		return "if " + what + " is needed, wind it at both selvedges: the change may show"
	}
	return "if " + what + " is needed, weave it at an end of the cloth: the change may show"
}

// acrossLots say of a yarn that is warp of one lot and weft of another that it is so.
func (s Shelf) acrossLots(o Outcome) []string {
	var warps, wefts []stash.Package
	for _, a := range o.Allotments {
		p, _ := s.find(a.Package)
		if a.Ends > 0 {
			warps = append(warps, p)
		}
		if a.Weft > 0 {
			wefts = append(wefts, p)
		}
	}
	var out []string
	for i := range warps {
		for j := range wefts {
			note := AcrossLots(&warps[i], &wefts[j])
			if note != "" && !slices.Contains(out, note) {
				out = append(out, note)
			}
		}
	}
	return out
}

// LotSample is what tells whether two dye lots differ: sorting lots by eye fails even for
// experts (practitioners' records).
const LotSample = "a change of lot may not show on the ball: weave and wash a sample of both"

// AcrossLots says of two packages of one yarn and colour that the warp of one lot crosses
// the weft of another; empty where it does not, or a lot is not recorded. Warp and weft lie
// apart to the eye, so that it shows least so (common practice, no source).
func AcrossLots(warp, weft *stash.Package) string {
	if warp.Yarn != weft.Yarn || warp.Colour != weft.Colour || warp.Lot == "" || weft.Lot == "" ||
		warp.Lot == weft.Lot {
		return ""
	}
	return fmt.Sprintf("lot %s as warp crosses lot %s as weft: a difference shows less so than side by side; "+
		LotSample,
		stash.Clean(warp.Lot), stash.Clean(weft.Lot))
}

// goes is how much of a role each of some lots gives, the least last.
func (s Shelf) goes(o Outcome, lots []string, colour string,
	part func(stash.Allotment) int64) (of []string, much []int64, all int64) {
	by := map[string]int64{}
	for _, a := range o.Allotments {
		p, found := s.find(a.Package)
		if n := part(a); found && n > 0 && slices.Contains(lots, p.Lot) &&
			(colour == "" || p.Colour == colour) {
			by[p.Lot] += n
			all += n
		}
	}
	for lot := range by {
		of = append(of, lot)
	}
	slices.SortFunc(of, func(a, b string) int {
		if by[a] != by[b] {
			return int(max(-1, min(1, by[b]-by[a])))
		}
		return slices.Index(lots, a) - slices.Index(lots, b)
	})
	for _, lot := range of {
		much = append(much, by[lot])
	}
	return of, much, all
}

func (s Shelf) weftPlace(o Outcome, lots []string) []string {
	of, much, all := s.goes(o, lots, "", func(a stash.Allotment) int64 { return int64(a.Weft) })
	// of several pieces each is woven of one lot where that goes
	if len(of) != 2 || o.Project.Pieces > 1 {
		return nil
	}
	units, tape := s.Settings.Units, int64(o.Needs.TapeLength)
	short := tape * much[1] / all
	return []string{fmt.Sprintf("lot %s weaves %s of the weft on the tape, lot %s %s: weave the smaller lot at both ends, %s at each, so that the middle is of one; or alternate two picks of each all through; the change may show",
		lotOr(of[0]), measure.Length(tape-short).Planned(units), lotOr(of[1]),
		measure.Length(short).Planned(units), measure.Length(short/2).Planned(units))}
}

func (s Shelf) warpPlace(o Outcome, colour string, lots []string) []string {
	of, much, _ := s.goes(o, lots, colour, func(a stash.Allotment) int64 { return int64(a.Ends) })
	if len(of) != 2 || much[1] < 2 {
		return nil
	}
	return []string{fmt.Sprintf("lot %s gives %d ends, lot %s %d: wind the smaller lot as a stripe at both selvedges, %d ends and %d, so that the change, which may show, is the same on either side",
		lotOr(of[0]), much[0], lotOr(of[1]), much[1], much[1]/2, much[1]-much[1]/2)}
}

func lotOr(lot string) string {
	if lot == "" {
		return "not recorded"
	}
	return stash.Clean(lot)
}
