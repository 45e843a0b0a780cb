package planner

import (
	"fmt"

	"endsmeet/stash/measure"
)

// Hem-stitching as it is commonly taught (common practice, no source): groups
// of four ends, two picks deep, with ten picks that open and ten that close the
// piece, and a tail of four cloth widths for each edge.
const (
	hemGroupEnds  = 4  // ends in one hem-stitched group
	hemGroupPicks = 2  // picks that one group takes in
	hemPicks      = 10 // picks that open and close the piece, inside the stitching
)

// EdgeQuestion asks whether the ends come out even at the edges.
type EdgeQuestion struct {
	Ends       int // N: threaded ends, without floats
	Floats     int // floating selvedge ends, 0 or 2; they join the edge bunches
	Repeat     int // ends of the pattern repeat; 0 means 1
	Balance    int // ends after the last repeat that make it symmetrical
	Group      int // g: ends in one hem-stitched group; 0 means hemGroupEnds
	GroupPicks int // picks that one hem-stitched group takes in; 0 means hemGroupPicks
	// k: groups made into one bunch; 0 means as the kind of End usually has, two where it is raw
	GroupsPerBunch int
	Fixed          bool         // the ends are on the loom: do not offer other counts
	Sett           measure.Sett // for the widths; 0 leaves them unknown, at zero
	DrawIn         measure.Ratio
	WetWidth       measure.Ratio
	End            End // for the length to cut
}

// EdgeAnswer is how the ends divide.
type EdgeAnswer struct {
	EdgeCount
	Kind        FringeKind // what is done to the bunches
	SpareGroups int        // whole groups beyond the last bunch
	SpareEnds   int        // ends beyond the last whole group
	Even        bool       // repeat, groups and bunches all come out
	RepeatEven  bool       // repeat and balance come out
	// raw fringe to leave; zero if none hangs, or it is left as it is cut
	FringeCut measure.Length
	Stitching string      // how hem-stitching is commonly done over these groups
	Layouts   []Layout    // ways to bunch these ends, the first is the one to prefer
	Nearest   []EdgeCount // good counts next below and next above; none if Even or Fixed
	// Never says that repeat, balance and bunches come out with no number of ends at all.
	Never bool
}

// EdgeCount is one number of threaded ends and what it gives.
type EdgeCount struct {
	Ends          int
	Groups        int            // whole groups
	Bunches       int            // whole bunches
	ReedWidth     measure.Length // rounded up; zero if the sett is unknown
	FinishedWidth measure.Length // rounded down; zero if the sett is unknown
}

// answerEdges answers q. The error is an [InputErrors].
func answerEdges(q EdgeQuestion) (EdgeAnswer, error) {
	if bad := q.faults(); len(bad) > 0 {
		return EdgeAnswer{}, bad
	}
	q = q.filled()
	a := EdgeAnswer{EdgeCount: q.count(q.Ends), SpareEnds: q.Ends % q.Group}
	a.SpareGroups = a.Groups % q.GroupsPerBunch
	a.RepeatEven = q.repeats(q.Ends)
	a.Even = q.good(q.Ends)
	if a.Kind = q.End.kind(); a.Kind != Raw {
		a.FringeCut = q.End.Raw()
	}
	a.Stitching = fmt.Sprintf("weave %d picks, hem-stitch over groups of %d ends and %d picks; at the other end stitch after %d picks too (common practice, no source)",
		hemPicks, q.Group, q.GroupPicks, hemPicks)
	a.Layouts = q.layouts()
	if !a.Even && !q.Fixed {
		a.Nearest = q.nearest()
		a.Never = len(a.Nearest) == 0
	}
	return a, nil
}

// Grouping is how the ends of a warp are grouped at an edge; zero is the usual number.
type Grouping struct {
	Ends, Picks int  // of one group
	PerBunch    int  // groups made into one bunch
	Fixed       bool // the ends are on the loom: do not offer other counts
}

// Usual is the grouping with the usual numbers where it says none.
func (g Grouping) Usual() Grouping {
	if g.Ends == 0 {
		g.Ends = hemGroupEnds
	}
	if g.Picks == 0 {
		g.Picks = hemGroupPicks
	}
	return g
}

// Edges asks for an end of each piece of what n needs. The error is an [InputErrors].
func (n Needs) Edges(end End, g Grouping) (EdgeAnswer, error) {
	s := n.Spec
	return answerEdges(EdgeQuestion{
		Ends: n.Threaded, Floats: s.Ends.Floats, Repeat: s.Ends.Modulus, Balance: s.Ends.Least,
		Group: g.Ends, GroupPicks: g.Picks, GroupsPerBunch: g.PerBunch, Fixed: g.Fixed,
		Sett: s.Cloth.Sett, DrawIn: s.Losses.DrawIn, WetWidth: s.Losses.WetWidth, End: end,
	})
}

// filled replaces the zero values that have a meaning.
func (q EdgeQuestion) filled() EdgeQuestion {
	usual := Grouping{Ends: q.Group, Picks: q.GroupPicks}.Usual()
	q.Group, q.GroupPicks = usual.Ends, usual.Picks
	for _, d := range []struct {
		v     *int
		usual int
	}{{&q.Repeat, 1}, {&q.GroupsPerBunch, q.End.usualGroups()}} {
		if *d.v == 0 {
			*d.v = d.usual
		}
	}
	return q
}

// faults lists everything wrong with q.
func (q EdgeQuestion) faults() InputErrors {
	var bad InputErrors
	within := func(field string, v, least, most int64, hint string) {
		if v < least || v > most {
			bad = append(bad, InputError{field, "is out of range", hint})
		}
	}
	within("ends", int64(q.Ends), 1, maxEnds, "count the threaded ends without floating selvedges")
	within("repeat", int64(q.Repeat), 0, maxEnds, "leave it out if there is no repeat")
	within("balance", int64(q.Balance), 0, maxEnds, "the ends after the last repeat")
	within("group", int64(q.Group), 0, 1000, "four is usual (common practice, no source)")
	within("group_picks", int64(q.GroupPicks), 0, 1000, "two is usual (common practice, no source)")
	within("groups_per_bunch", int64(q.GroupsPerBunch), 0, 100,
		"two are twisted, three braided (common practice, no source)")
	within("sett", int64(q.Sett), 0, maxSett, "leave it out if the widths do not matter")
	within("draw_in", int64(q.DrawIn), -maxGain, maxLoss-1, "a share of the reed width")
	within("wet_width", int64(q.WetWidth), -maxGain, maxLoss-1, "a share of the width before")
	bad = append(bad, q.End.faults("end")...)
	if q.Floats != 0 && q.Floats != 2 {
		bad = append(bad, InputError{"floats", "must be 0 or 2",
			"one floating selvedge on each side, or none"})
	}
	return bad
}

// count is what so many ends give.
func (q EdgeQuestion) count(ends int) EdgeCount {
	c := EdgeCount{Ends: ends, Groups: ends / q.Group}
	c.Bunches = c.Groups / q.GroupsPerBunch
	if q.Sett > 0 {
		s := Spec{Cloth: Cloth{Sett: q.Sett},
			Losses: Losses{DrawIn: q.DrawIn, WetWidth: q.WetWidth}}
		c.ReedWidth = measure.Length(s.reed(ends).ceil(1))
		c.FinishedWidth = measure.Length(s.finished(ends).floor(1))
	}
	return c
}

// repeats says that the pattern comes out with so many ends.
func (q EdgeQuestion) repeats(ends int) bool {
	return ends >= q.Balance && (ends-q.Balance)%q.Repeat == 0
}

// good says that pattern, groups and bunches all come out with so many ends.
func (q EdgeQuestion) good(ends int) bool {
	return q.repeats(ends) && ends%(q.Group*q.GroupsPerBunch) == 0
}

// nearest are the good counts next below and above, as far as there are any:
// a balance can make repeat and bunches irreconcilable.
func (q EdgeQuestion) nearest() []EdgeCount {
	bunch := q.Group * q.GroupsPerBunch
	var found []EdgeCount
	below := q.Ends / bunch * bunch
	for i := 0; i <= q.Repeat && below > 0; i, below = i+1, below-bunch {
		if q.good(below) {
			found = append(found, q.count(below))
			break
		}
	}
	above := max(q.Ends/bunch+1, (q.Balance+bunch-1)/bunch) * bunch
	for i := 0; i <= q.Repeat; i, above = i+1, above+bunch {
		if q.good(above) {
			return append(found, q.count(above))
		}
	}
	return found
}
