package planner

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Layout is one way to bunch the ends, from the left edge to the right.
type Layout struct {
	Way     string  // "even", "spread", "middle", "edges", "split" or "one bunch"
	Bunches [][]int // for each bunch the ends in each of its groups, floats included
	Why     string
}

// String is the layout with equal neighbours counted: "5+4, 15 x 4+4, 4+5".
func (l Layout) String() string {
	var parts []string
	for i := 0; i < len(l.Bunches); {
		run := 1
		for i+run < len(l.Bunches) && slices.Equal(l.Bunches[i], l.Bunches[i+run]) {
			run++
		}
		one := bunchString(l.Bunches[i])
		if run > 1 {
			one = fmt.Sprintf("%d x %s", run, one)
		}
		parts = append(parts, one)
		i += run
	}
	return strings.Join(parts, ", ")
}

// bunchString is one bunch as a sum.
func bunchString(groups []int) string {
	s := make([]string, len(groups))
	for i, g := range groups {
		s[i] = strconv.Itoa(g)
	}
	return strings.Join(s, "+")
}

// layouts are the ways to bunch the ends of q, each with the floats joined to
// the edge bunches.
func (q EdgeQuestion) layouts() []Layout {
	bunches := q.Ends / (q.Group * q.GroupsPerBunch)
	spare := q.Ends % (q.Group * q.GroupsPerBunch)
	var all []Layout
	switch {
	case bunches == 0:
		all = []Layout{{"one bunch", [][]int{parted(q.Ends, q.GroupsPerBunch)},
			"there are too few ends for a full bunch"}}
	case spare == 0:
		all = []Layout{{"even", q.full(bunches), "every bunch is full"}}
	default:
		all = q.uneven(bunches, spare)
	}
	for i := range all {
		q.joinFloats(all[i].Bunches)
	}
	return all
}

// uneven are the ways to place spare ends.
func (q EdgeQuestion) uneven(bunches, spare int) []Layout {
	var all []Layout
	if spare > 1 && spare <= bunches {
		all = append(all, Layout{"spread", q.spread(bunches, spare), "one spare end in each of " +
			strconv.Itoa(spare) + " bunches, evenly apart"})
	}
	why := "the spare ends in the middle, where the eye forgives them"
	if spare == 1 {
		why = "the spare end in the middle, where the eye forgives it"
	}
	all = append(all, Layout{"middle", q.middle(bunches, spare), why})
	if bunches > 1 {
		all = append(all, Layout{"edges", q.atEdges(bunches, spare),
			"fuller bunches at both edges, where the cloth wears"})
	}
	if spare >= q.GroupsPerBunch && q.GroupsPerBunch > 1 {
		thin := slices.Insert(q.full(bunches), bunches/2, parted(spare, q.GroupsPerBunch))
		all = append(all, Layout{"split", thin, "the spare ends parted into one thinner bunch"})
	}
	return all
}

// full are so many full bunches.
func (q EdgeQuestion) full(bunches int) [][]int {
	all := make([][]int, bunches)
	for i := range all {
		all[i] = slices.Repeat([]int{q.Group}, q.GroupsPerBunch)
	}
	return all
}

// spread puts one end into each of so many bunches, evenly apart and
// symmetrical where the numbers allow.
func (q EdgeQuestion) spread(bunches, spare int) [][]int {
	all := q.full(bunches)
	for i := range spare {
		all[(2*i+1)*bunches/(2*spare)][0]++
	}
	return all
}

// middle puts the spare ends into the middle bunch, or the two middle ones.
func (q EdgeQuestion) middle(bunches, spare int) [][]int {
	all := q.full(bunches)
	if bunches%2 == 1 {
		all[bunches/2] = q.widened(all[bunches/2], spare)
		return all
	}
	all[bunches/2-1] = q.widened(all[bunches/2-1], (spare+1)/2)
	all[bunches/2] = q.widened(all[bunches/2], spare/2)
	return all
}

// atEdges puts half of the spare ends into each edge bunch.
func (q EdgeQuestion) atEdges(bunches, spare int) [][]int {
	all := q.full(bunches)
	all[0] = q.widened(all[0], (spare+1)/2)
	all[bunches-1] = q.widened(all[bunches-1], spare/2)
	return all
}

// widened is a bunch with more ends: whole groups first, the rest one by one.
func (q EdgeQuestion) widened(bunch []int, more int) []int {
	for ; more >= q.Group; more -= q.Group {
		bunch = append(bunch, q.Group)
	}
	for i := range more {
		bunch[i%len(bunch)]++
	}
	return bunch
}

// joinFloats adds a float to the first and to the last group.
func (q EdgeQuestion) joinFloats(bunches [][]int) {
	if q.Floats == 0 {
		return
	}
	last := bunches[len(bunches)-1]
	bunches[0][0]++
	last[len(last)-1]++
}

// parted are so many ends in at most so many groups, as equal as can be.
func parted(ends, groups int) []int {
	groups = min(ends, groups)
	all := make([]int, groups)
	for i := range all {
		all[i] = ends / groups
		if i < ends%groups {
			all[i]++
		}
	}
	return all
}
