package replica

import (
	"context"
	"testing"

	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/format"
)

// forked is a lane under which two histories go on, known to two machines: of
// the original, with three events more, and of a copy of it, with one.
func forked(t *testing.T) (*remotetest.Memory, []*machine, [2]format.SegmentName) {
	t.Helper()
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, twin := machines[0], newMachine(t, "twin", place)
	twin.copyOf(a, true)
	lane := a.lane()
	for range 3 {
		a.yarn("of the original")
	}
	twin.yarn("of the copy")
	a.quiet()
	twin.sync()
	all := []*machine{a, machines[1], twin}
	meetLoosely(all...)
	same(t, all...)
	var ends [2]format.SegmentName
	for _, name := range objects(t, place, format.SegmentPrefix) {
		switch n, _ := format.ParseSegment(name); {
		case n.Lane == lane && n.Last == 4:
			ends[0] = n
		case n.Lane == lane && n.Last == 2:
			ends[1] = n
		}
	}
	if ends[0].Lane == "" || ends[1].Lane == "" {
		t.Fatalf("there are no two histories: %v", objects(t, place, format.SegmentPrefix))
	}
	return place, all, ends
}

func TestALostHeadOfEitherHistoryIsMissedAndPutBack(t *testing.T) {
	ctx := context.Background()
	for which, rule := range []string{"the longer history", "the shorter history"} {
		t.Run(rule, func(t *testing.T) {
			place, machines, ends := forked(t)
			for _, name := range objects(t, place, format.HeadPrefix) {
				if n, _ := format.ParseHead(name); n.Lane == ends[which].Lane &&
					n.Chain == ends[which].Chain {
					machines[0].must(place.Delete(ctx, name))
				}
			}
			c, err := machines[1].Check(ctx, false)
			machines[1].must(err)
			if c.OK() || len(c.Missing) != 1 {
				t.Errorf("check misses %+v", c.Missing)
			}
			late := newMachine(t, "late", place) // holds neither, and hears of one
			late.join()
			late.sync()
			_, err = late.Repair(ctx, false)
			late.must(err)
			same(t, append(machines, late)...)
			if c, err = machines[1].Check(ctx, true); err != nil || !c.OK() {
				t.Errorf("after repair: %+v, %v", c, err)
			}
		})
	}
}

func TestALostSegmentOfEitherHistoryIsMissedAndPutBack(t *testing.T) {
	ctx := context.Background()
	for which, rule := range []string{"the longer history", "the shorter history"} {
		t.Run(rule, func(t *testing.T) {
			place, machines, ends := forked(t)
			machines[0].must(place.Delete(ctx, ends[which].Name()))
			c, err := machines[1].Repair(ctx, false)
			machines[1].must(err)
			if len(c.Missing) != 1 || c.Missing[0].From != 2 ||
				c.Missing[0].To != ends[which].Last {
				t.Errorf("missing: %+v", c.Missing)
			}
			late := newMachine(t, "late", place)
			late.join()
			late.sync()
			same(t, append(machines, late)...)
		})
	}
}

func TestAWideSegmentOfOneHistoryCoversWhatBothHaveInCommon(t *testing.T) {
	ctx := context.Background()
	place, machines, ends := forked(t)
	a := machines[0]
	clear := func(gone func(format.SegmentName) bool) {
		for _, name := range objects(t, place, format.SegmentPrefix) {
			if n, _ := format.ParseSegment(name); n.Lane == ends[0].Lane && gone(n) {
				a.must(place.Delete(ctx, name))
			}
		}
	}
	clear(func(n format.SegmentName) bool { return n != ends[1] })
	_, err := a.Repair(ctx, false)
	a.must(err)
	clear(
		func(n format.SegmentName) bool { return n.Last == 1 },
	) // now 1 to 4 of the one, and 2 of the other
	if n := len(objects(t, place, format.SegmentPrefix+string(ends[0].Lane)+"/")); n != 2 {
		t.Fatalf("%d segments are left of the lane", n)
	}
	c, err := a.Check(ctx, true)
	a.must(err)
	if !c.OK() {
		t.Errorf("what lies there in the wide segment is missed: %+v", c.Missing)
	}
	late := newMachine(t, "late", place)
	late.join()
	late.sync()
	same(t, append(machines, late)...)
}
