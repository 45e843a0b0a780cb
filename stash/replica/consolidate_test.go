package replica

import (
	"context"
	"fmt"
	"testing"
	"time"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/format"
)

func TestSmallSegmentsAreMergedAndASleeperLosesNothing(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, sleeper := machines[0], machines[1]
	a.place.Folder = true
	count := func() int { return len(objects(t, place, format.SegmentPrefix+string(a.lane())+"/")) }
	for i := range 300 {
		a.yarn(fmt.Sprintf("yarn %d", i))
		a.quiet()
		if i == sixteen && count() < sixteen {
			t.Errorf("what was merged is gone at once: %d segments", count())
		}
		if i == 40 { // asleep from here on, having listed nothing
			sleeper.quiet()
		}
		a.clock.at = a.clock.at.Add(time.Hour)
	}
	if n := count(); n > 260 {
		t.Errorf("%d segments lie there after 300 exchanges", n)
	}
	a.clock.at = a.clock.at.Add(8 * 24 * time.Hour)
	a.quiet()
	if n := count(); n > 3*sixteen {
		t.Errorf("%d segments are left after the grace", n)
	}
	r := sleeper.quiet()
	if r.Received != 300-41 || r.Gets > 2*sixteen {
		t.Errorf("the sleeper received %d with %d reads", r.Received, r.Gets)
	}
	newcomer := newMachine(t, "newcomer", place)
	newcomer.join()
	newcomer.quiet()
	same(t, a, sleeper, newcomer)
	if c, err := newcomer.Check(context.Background(), true); err != nil || !c.OK() {
		t.Errorf("after merging: %+v, %v", c, err)
	}
}

// merger is a machine that merges every four segments and deletes what it
// merged after an hour.
func merger(t *testing.T, place *remotetest.Memory) *machine {
	m := newMachine(t, "merger", place)
	m.fan, m.grace = 4, time.Hour
	m.open()
	m.setup()
	for i := range 4 {
		m.yarn(fmt.Sprintf("yarn %d", i))
		m.quiet()
	}
	return m
}

func TestWhatWasMergedStaysUntilWhatItWasMergedIntoIsSeenToBeWhole(t *testing.T) {
	ctx := context.Background()
	spoil := map[string]func(*remotetest.Memory, remote.Name){
		"lost": func(p *remotetest.Memory, n remote.Name) { _ = p.Delete(ctx, n) },
		"a bit flipped": func(p *remotetest.Memory, n remote.Name) {
			damaged(p, n, damage(get(t, p, n), 4001))
		},
		"cut short": func(p *remotetest.Memory, n remote.Name) {
			damaged(p, n, get(t, p, n)[:300])
		},
	}
	for what, spoil := range spoil {
		t.Run(what, func(t *testing.T) {
			place := remotetest.NewMemory()
			a := merger(t, place)
			for _, name := range objects(t, place, format.SegmentPrefix) {
				if n, _ := format.ParseSegment(name); n.First == 1 && n.Last == 4 {
					spoil(place, name)
				}
			}
			a.clock.at = a.clock.at.Add(2 * time.Hour)
			a.quiet()
			if n := len(objects(t, place, format.SegmentPrefix)); n < 4 {
				t.Fatalf("%d segments are left, and none holds the beginning", n)
			}
			newcomer := newMachine(t, "newcomer", place)
			newcomer.join()
			newcomer.sync() // a damaged one is named, and gone around
			same(t, a, newcomer)
			a.clock.at = a.clock.at.Add(2 * time.Hour)
			a.quiet()
			if n := len(objects(t, place, format.SegmentPrefix)); n > 2 {
				t.Errorf("%d segments are left after they were merged anew", n)
			}
		})
	}
}

func TestADamagedSegmentOfAnotherIsDeletedByRepairAndAGoodOneIsNot(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, b := machines[0], machines[1]
	var bad remote.Name
	for _, name := range objects(t, place, format.SegmentPrefix) {
		if n, _ := format.ParseSegment(name); n.Lane == a.lane() {
			bad = name
		}
	}
	damaged(place, bad, damage(get(t, place, bad), 4001))
	c, err := b.Repair(context.Background(), false)
	b.must(err)
	if c.Cleared != 1 || c.Repaired == 0 {
		t.Errorf("repair: %+v", c)
	}
	for _, name := range objects(t, place, format.SegmentPrefix) {
		if name == bad {
			t.Error("the damaged segment still lies there")
		}
	}
	c, err = b.Check(context.Background(), true)
	b.must(err)
	if !c.OK() {
		t.Errorf("after repair: %+v", c)
	}
}

// sixteen segments of a level are merged into one of the next.
const sixteen = 16
