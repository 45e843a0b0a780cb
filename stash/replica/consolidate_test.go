package replica

import (
	"context"
	"fmt"
	"slices"
	"testing"
	"time"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
)

func TestSmallSegmentsAreMergedAndASleeperLosesNothing(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, sleeper := machines[0], machines[1]
	a.place.Folder = true
	count := func() int { return len(objects(t, place, segPrefix+string(a.lane())+"/")) }
	for i := range 300 {
		a.yarn(fmt.Sprintf("yarn %d", i))
		a.quiet()
		if i == mergeRun && count() < mergeRun {
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
	if n := count(); n > 3*mergeRun {
		t.Errorf("%d segments are left after the grace", n)
	}
	r := sleeper.quiet()
	if r.Received != 300-41 || r.Gets > 2*mergeRun {
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

func TestRowsToMerge(t *testing.T) {
	segs := func(sizes ...int64) []segName {
		var out []segName
		next := int64(1)
		for _, n := range sizes {
			if n > 0 {
				out = append(out, segName{run: run{first: next, last: next + n - 1}})
			}
			next += max(n, -n)
		}
		return out
	}
	repeat := func(n int, size int64) []int64 { return slices.Repeat([]int64{size}, n) }
	cases := []struct {
		rule string
		segs []segName
		want int
	}{
		{"fifteen stay", segs(repeat(15, 1)...), 0},
		{"sixteen are merged", segs(repeat(16, 1)...), 16},
		{"a great one before them stays", segs(append([]int64{16}, repeat(16, 1)...)...), 16},
		{"sixteen of the next level are merged", segs(repeat(16, 20)...), 16},
		{"a hole parts a row", segs(append(append(repeat(10, 1), -1), repeat(10, 1)...)...), 0},
		{"what would be too long is not merged", segs(repeat(16, 4000)...), 0},
		{"small ones among the great go with them", segs(append(repeat(15, 20), 1)...), 16},
	}
	for _, c := range cases {
		t.Run(c.rule, func(t *testing.T) {
			if got := rowOf(c.segs, mergeRun); len(got) != c.want {
				t.Errorf("%d are merged, want %d", len(got), c.want)
			}
		})
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
		"a bit flipped": func(p *remotetest.Memory,
			n remote.Name) {
			damaged(p, n, damage(get(t, p, n), 4001))
		},
		"cut short": func(p *remotetest.Memory,
			n remote.Name) {
			damaged(p, n, get(t, p, n)[:300])
		},
	}
	for what, spoil := range spoil {
		t.Run(what, func(t *testing.T) {
			place := remotetest.NewMemory()
			a := merger(t, place)
			for _, name := range objects(t, place, segPrefix) {
				if n, _ := parseSeg(name); n.first == 1 && n.last == 4 {
					spoil(place, name)
				}
			}
			a.clock.at = a.clock.at.Add(2 * time.Hour)
			a.quiet()
			if n := len(objects(t, place, segPrefix)); n < 4 {
				t.Fatalf("%d segments are left, and none holds the beginning", n)
			}
			newcomer := newMachine(t, "newcomer", place)
			newcomer.join()
			newcomer.sync() // a damaged one is named, and gone around
			same(t, a, newcomer)
			a.clock.at = a.clock.at.Add(2 * time.Hour)
			a.quiet()
			if n := len(objects(t, place, segPrefix)); n > 2 {
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
	for _, name := range objects(t, place, segPrefix) {
		if n, _ := parseSeg(name); n.lane == a.lane() {
			bad = name
		}
	}
	damaged(place, bad, damage(get(t, place, bad), 4001))
	c, err := b.Repair(context.Background(), false)
	b.must(err)
	if c.Cleared != 1 || c.Repaired == 0 {
		t.Errorf("repair: %+v", c)
	}
	for _, name := range objects(t, place, segPrefix) {
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
