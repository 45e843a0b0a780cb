package replica

import (
	"context"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"endsmeet/stash/remote"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// What histories do so that segments are merged in their short life.

// drawMerging has two histories of three merge few segments, and what is merged
// deleted soon.
func (h *history) drawMerging(chance *rand.Rand) {
	if chance.IntN(3) == 0 {
		return
	}
	h.fan = 2 + chance.IntN(3)
	h.grace = []time.Duration{-time.Second, time.Minute, time.Hour}[chance.IntN(3)]
}

// mergingPoints are those that a machine comes by while it merges.
var mergingPoints = append([]exchange.Point{
	exchange.PointConsolidating,
	exchange.PointConsolidated,
	exchange.PointPut,
	exchange.PointStruck,
	exchange.Point(sqlite.PointDone),
}, placePoints...)

// merging does one of the things that merging has to stand: many small
// exchanges, broken off or not, time that passes, and a place that loses or
// damages what it held.
func (h *history) merging(m *machine) {
	switch n := h.chance.IntN(8); {
	case n < 4:
		h.burst(m)
	case n < 5:
		m.clock.at = m.clock.at.Add(h.grace + time.Hour)
		h.note("an hour and the grace pass on %s", m.name)
		h.exchange(m, "sync")
	case n < 6:
		h.burst(m)
		h.backUp(m)
	case n < 7 && !h.honest:
		h.lose()
	default:
		h.burst(m)
		h.copy(h.any())
	}
}

// burst is as many small exchanges as are merged, the last of which may be
// broken off.
func (h *history) burst(m *machine) {
	for range h.fan {
		h.edit(m)
		h.exchange(m, "small sync")
	}
	h.edit(m)
	at := mergingPoints[h.chance.IntN(len(mergingPoints))]
	if h.chance.IntN(2) == 0 {
		at = mergingPoints[h.chance.IntN(2)]
	}
	h.armedAt(m, at, 1+h.chance.IntN(2), func() { h.exchange(m, "merging sync") })
}

// lose has the place lose an object, or flip a bit of it.
func (h *history) lose() {
	ctx := context.Background()
	found, err := h.under.List(ctx, "", "")
	if err != nil {
		h.t.Fatal(err)
	}
	name := found.Names[h.chance.IntN(len(found.Names))]
	data, err := h.under.Get(ctx, name)
	if err == nil {
		err = h.under.Delete(ctx, name)
	}
	if err != nil {
		h.t.Fatal(err)
	}
	if len(data) == 0 || h.chance.IntN(2) == 0 {
		h.did.add("object lost", 1)
		h.note("%s is lost", name)
		return
	}
	data = slices.Clone(data)
	data[h.chance.IntN(len(data))] ^= 1 << h.chance.IntN(8)
	if err := h.under.Put(ctx, name, data); err != nil {
		h.t.Fatal(err)
	}
	h.did.add("object flipped", 1)
	h.note("a bit of %s is flipped", name)
}

// watched counts the segments that are deleted, which only merging does in an
// honest place.
type watched struct {
	remote.Remote
	did *deeds
}

func (w watched) Delete(ctx context.Context, name remote.Name) error {
	err := w.Remote.Delete(ctx, name)
	if err == nil && strings.HasPrefix(string(name), format.SegmentPrefix) {
		w.did.add("merged deleted", 1)
	}
	return err
}
