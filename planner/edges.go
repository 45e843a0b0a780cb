package planner

import (
	"fmt"

	"endsmeet/stash/measure"
)

// Hem-stitching as it is commonly taught (common practice, no source): groups
// of four ends, two picks deep, with ten picks that open and ten that close the
// piece, and a tail of four cloth widths for each edge.
const (
	HemGroupEnds  = 4  // ends in one hem-stitched group
	HemGroupPicks = 2  // picks that one group takes in
	HemPicks      = 10 // picks that open and close the piece, inside the stitching
	TwistGroups   = 2  // groups twisted together into one bunch of fringe
)

// EdgeQuestion asks whether the ends come out even at the edges.
type EdgeQuestion struct {
	Ends           int          // N: threaded ends, without floats
	Floats         int          // floating selvedge ends, 0 or 2; they join the edge bunches
	Repeat         int          // ends of the pattern repeat; 0 means 1
	Balance        int          // ends after the last repeat that make it symmetrical
	Group          int          // g: ends in one hem-stitched group; 0 means HemGroupEnds
	GroupsPerBunch int          // k: groups twisted into one bunch; 0 means TwistGroups
	Fixed          bool         // the ends are on the loom: do not offer other counts
	Sett           measure.Sett // for the widths; 0 leaves them unknown, at zero
	DrawIn         measure.Ratio
	WetWidth       measure.Ratio
	Twist          Twist // for the length to cut
}

// EdgeAnswer is how the ends divide.
type EdgeAnswer struct {
	EdgeCount
	SpareGroups int            // whole groups beyond the last bunch
	SpareEnds   int            // ends beyond the last whole group
	Even        bool           // repeat, groups and bunches all come out
	RepeatEven  bool           // repeat and balance come out
	FringeCut   measure.Length // raw fringe to leave on each side; zero if no twisted length is given
	Stitching   string         // how hem-stitching is commonly done over these groups
	Layouts     []Layout       // ways to bunch these ends, the first is the one to prefer
	Nearest     []EdgeCount    // good counts next below and next above; none if Even or Fixed
}

// EdgeCount is one number of threaded ends and what it gives.
type EdgeCount struct {
	Ends          int
	Groups        int            // whole groups
	Bunches       int            // whole bunches
	ReedWidth     measure.Length // rounded up; zero if the sett is unknown
	FinishedWidth measure.Length // rounded down; zero if the sett is unknown
}

// Edges answers q. The error is an [InputErrors].
func Edges(q EdgeQuestion) (EdgeAnswer, error) {
	if bad := q.faults(); len(bad) > 0 {
		return EdgeAnswer{}, bad
	}
	q = q.filled()
	a := EdgeAnswer{EdgeCount: q.count(q.Ends), SpareEnds: q.Ends % q.Group}
	a.SpareGroups = a.Groups % q.GroupsPerBunch
	a.RepeatEven = q.repeats(q.Ends)
	a.Even = q.good(q.Ends)
	a.FringeCut = EdgePlan{Twist: q.Twist}.RawFringe()
	a.Stitching = fmt.Sprintf("weave %d picks, hem-stitch over groups of %d ends and %d picks; at the other end stitch after %d picks too (common practice, no source)",
		HemPicks, q.Group, HemGroupPicks, HemPicks)
	a.Layouts = q.layouts()
	if !a.Even && !q.Fixed {
		a.Nearest = q.nearest()
	}
	return a, nil
}

// Edges asks for the edges of what n needs, in groups of so many ends and
// bunches of so many groups (0 for the usual ones). The error is an
// [InputErrors].
func (n Needs) Edges(group, perBunch int, fixed bool) (EdgeAnswer, error) {
	s := n.Spec
	return Edges(EdgeQuestion{
		Ends: n.Threaded, Floats: s.Ends.Floats, Repeat: s.Ends.Modulus,
		Group: group, GroupsPerBunch: perBunch, Fixed: fixed,
		Sett: s.Cloth.Sett, DrawIn: s.Losses.DrawIn, WetWidth: s.Losses.WetWidth, Twist: s.Edges.Twist,
	})
}

// filled replaces the zero values that have a meaning.
func (q EdgeQuestion) filled() EdgeQuestion {
	for _, d := range []struct {
		v     *int
		usual int
	}{{&q.Repeat, 1}, {&q.Group, HemGroupEnds}, {&q.GroupsPerBunch, TwistGroups}} {
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
	within("groups_per_bunch", int64(q.GroupsPerBunch), 0, 100, "two is usual (common practice, no source)")
	within("sett", int64(q.Sett), 0, maxSett, "leave it out if the widths do not matter")
	within("draw_in", int64(q.DrawIn), 0, maxLoss-1, "a share of the reed width")
	within("wet_width", int64(q.WetWidth), 0, maxLoss-1, "a share of the width before")
	within("twist.loss", int64(q.Twist.Loss), 0, maxLoss-1, "15 to 25 % is a start (common practice, no source)")
	for _, l := range []measure.Length{q.Twist.Finished, q.Twist.Knot, q.Twist.Trim} {
		within("twist", int64(l), 0, maxLength, "give lengths above zero")
	}
	if q.Floats != 0 && q.Floats != 2 {
		bad = append(bad, InputError{"floats", "must be 0 or 2", "one floating selvedge on each side, or none"})
	}
	return bad
}

// count is what so many ends give.
func (q EdgeQuestion) count(ends int) EdgeCount {
	c := EdgeCount{Ends: ends, Groups: ends / q.Group}
	c.Bunches = c.Groups / q.GroupsPerBunch
	if q.Sett > 0 {
		s := Spec{Cloth: Cloth{Sett: q.Sett}, Losses: Losses{DrawIn: q.DrawIn, WetWidth: q.WetWidth}}
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
