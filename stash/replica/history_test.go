package replica

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/dir"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// A history is what happens to some machines that share a place: edits,
// exchanges, crashes, copies and restored backups, all drawn from a seed.
type history struct {
	t        testing.TB
	chance   *rand.Rand
	machines []*machine
	backups  []*backup
	under    remote.Remote // the place as it is, without troubles
	unruly   []*remotetest.Unruly
	honest   bool
	log      []string
	packages []stash.PackageID
	yarns    []stash.YarnID
	// fan is how many segments are merged into one, 0 for the usual; grace is
	// how long what is merged stays.
	fan   int
	grace time.Duration
	// What happened, so that a run can assert that all of it does.
	did *deeds
}

// deeds counts what happened in all histories.
type deeds struct {
	mu    sync.Mutex
	count map[string]int
}

func (d *deeds) add(what string, n int) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.count[what] += n
}

// backup is a copy of a machine's files at a moment.
type backup struct {
	of  *machine
	dir string
}

// placePoints are those at which a machine can be broken off in the shared place.
var placePoints = []exchange.Point{
	remote.PointBeforePut,
	remote.PointHalfWritten,
	remote.PointBeforeFsync,
	remote.PointBeforeRename,
	remote.PointBeforeDirsync,
	remote.PointAfterPut,
	remote.PointBeforeDelete,
	remote.PointAfterDelete,
}

// places are all points at which a machine can be broken off.
var places = slices.Concat(exchange.Points, []exchange.Point{
	exchange.Point(sqlite.PointBegun),
	exchange.Point(sqlite.PointKey),
	exchange.Point(sqlite.PointKeyed),
	exchange.Point(sqlite.PointInserted),
	exchange.Point(sqlite.PointFolded),
	exchange.Point(sqlite.PointDone),
}, placePoints)

// crash is what a machine panics with when it is broken off.
type crash struct{ at exchange.Point }

func newHistory(t testing.TB, seed uint64, did *deeds) *history {
	h := &history{t: t, chance: rand.New(rand.NewPCG(seed, 7)), did: did}
	if _, old := kept[seed]; !old || seed > lastUnmerged {
		h.drawMerging(rand.New(rand.NewPCG(seed, 11)))
	}
	h.honest = h.chance.IntN(4) > 0
	folder := h.chance.IntN(4) == 0
	shared := tempDir(t)
	h.under = remotetest.NewMemory()
	if folder {
		h.under = inFolder(t, shared, "nobody")
	}
	for i := range []int{2, 2, 2, 3, 3, 3, 4, 4, 5, 6}[h.chance.IntN(10)] {
		h.addMachine(fmt.Sprintf("m%d", i), folder, shared)
	}
	first := h.machines[0]
	first.setup()
	h.yarns = append(h.yarns, first.yarn("Ossentarn cotton"))
	h.packages = append(h.packages, first.receive(h.yarns[0], "Y01", 900))
	first.sync()
	for _, m := range h.machines[1:] {
		m.join()
		m.sync()
	}
	h.makeUnruly(seed, folder)
	for _, m := range h.machines {
		m.place.Remote = watched{m.place.Remote, did}
	}
	return h
}

func (h *history) addMachine(name string, folder bool, shared string) *machine {
	var place remote.Remote = h.under
	var m *machine
	if folder {
		d, err := dir.New(dir.Options{Path: shared, Owner: name,
			Fault: func(p string) { m.pass(exchange.Point(p)) }})
		if err != nil {
			h.t.Fatal(err)
		}
		place = d
	}
	m = newMachine(h.t, name, place)
	m.place.Folder = folder
	m.fan, m.grace = h.fan, h.grace
	m.open()
	h.machines = append(h.machines, m)
	return m
}

// makeUnruly puts trouble between the machines and the place: the honest kinds,
// or all.
func (h *history) makeUnruly(seed uint64, folder bool) {
	kinds, odds := remotetest.Honest, 60
	if !h.honest {
		kinds, odds = remotetest.All, 25
	}
	if !folder { // machines share one view of a place in memory
		u := remotetest.NewUnruly(h.under, remotetest.Evenly(odds, kinds...),
			rand.New(rand.NewPCG(seed, 9)))
		h.unruly = append(h.unruly, u)
		for _, m := range h.machines {
			m.place.Remote = u
		}
		return
	}
	for i, m := range h.machines {
		u := remotetest.NewUnruly(m.place.Remote, remotetest.Evenly(odds, kinds...),
			rand.New(rand.NewPCG(seed, uint64(i)+9)))
		h.unruly = append(h.unruly, u)
		m.place.Remote = u
	}
}

func (h *history) note(format string, args ...any) {
	h.log = append(h.log, fmt.Sprintf(format, args...))
}

func (h *history) any() *machine { return h.machines[h.chance.IntN(len(h.machines))] }

// step does one thing on one machine.
func (h *history) step() {
	m := h.any()
	if h.fan > 0 && h.chance.IntN(5) == 0 {
		h.merging(m)
		return
	}
	switch n := h.chance.IntN(100); {
	case n < 45:
		h.edit(m)
	case n < 80:
		h.exchange(m, "sync")
	case n < 92:
		h.armed(m, func() { h.exchange(m, "crashing sync") })
	case n < 95:
		h.backUp(m)
	case n < 97:
		h.restore()
	case n < 98:
		h.copy(m)
	case n < 99:
		m.clock.at = m.clock.at.Add(time.Duration(h.chance.IntN(96)-48) * time.Hour)
		h.did.add("clock moved", 1)
	default:
		h.armed(m, func() { h.edit(m) })
	}
}

// armed breaks a machine off at a point drawn by chance, and opens it again.
func (h *history) armed(m *machine, do func()) {
	h.armedAt(m, places[h.chance.IntN(len(places))], 1+h.chance.IntN(3), do)
}

// armedAt breaks a machine off when it comes by a point for the left-th time.
func (h *history) armedAt(m *machine, at exchange.Point, left int, do func()) {
	m.fault = func(p exchange.Point) {
		if p == at {
			left--
		}
		if p == at && left == 0 {
			panic(crash{p})
		}
	}
	defer func() {
		m.fault = nil
		switch broken := recover().(type) {
		case nil:
		case crash:
			h.note("%s broken off at %s", m.name, broken.at)
			h.did.add("crash", 1)
			h.did.add("crash at "+string(broken.at), 1)
			m.open()
		default:
			panic(broken)
		}
	}()
	do()
}

// exchange syncs; a place that fails is no fault of ours.
// It says whether anything moved.
func (h *history) exchange(m *machine, what string) bool {
	r, err := m.Sync(context.Background())
	h.note("%s %s: received %d sent %d bad %v gaps %v twins %v: %v", m.name, what, r.Received,
		r.Sent, r.Bad, r.Gaps, r.Twins, err)
	h.did.add("twin", len(r.Twins))
	h.did.add("merged", r.Consolidated)
	h.did.add("received", r.Received)
	if err != nil && stash.CodeOf(err) != exchange.CodePlace {
		h.t.Fatalf("%s: %v", m.name, err)
	}
	if h.honest && len(r.Bad) > 0 {
		h.t.Fatalf("%s: an honest place is complained of: %v", m.name, r.Bad)
	}
	return r.Received+r.Sent+r.Puts+r.Deletes+len(r.Twins) > 0
}

// events are all that a machine holds.
func events(m *machine) map[stash.EventID]bool {
	out := map[stash.EventID]bool{}
	m.view(func(tx *sqlite.Tx) error {
		return tx.Events(true, func(e stash.Event) error {
			out[e.ID()] = true
			return nil
		})
	})
	return out
}

// run lets a history happen and then checks that all end with the same.
func (h *history) run(steps int) {
	for range steps {
		h.step()
	}
	want := map[stash.EventID]bool{}
	for _, m := range h.machines {
		for id := range events(m) {
			want[id] = true
		}
	}
	h.settle()
	newcomer := h.newcomer()
	same(h.t, append(slices.Clone(h.machines), newcomer)...)
	got := events(newcomer)
	for id := range want {
		if !got[id] {
			h.t.Errorf("event %s was lost", id)
		}
	}
	h.aftermath(newcomer)
}

// settle ends the troubles and lets all exchange until nobody has news.
func (h *history) settle() {
	for _, u := range h.unruly {
		if err := u.Settle(context.Background()); err != nil {
			h.t.Fatal(err)
		}
	}
	for _, m := range h.machines { // tomorrow all look over the whole place
		m.clock.at = m.clock.at.Add(2 * exchange.LookEvery)
	}
	for news, rounds := true, 0; news && rounds < 10; rounds++ {
		news = false
		for _, m := range h.machines {
			news = h.exchange(m, "last sync") || news
		}
	}
}

// newcomer is a machine that saw nothing and joins at the end: what it holds is
// what one machine that saw every event would. What it finds damaged, which who holds
// it has no cause to read, the others put back with their next sync.
func (h *history) newcomer() *machine {
	m := newMachine(h.t, "newcomer", h.machines[0].place.Remote)
	m.join()
	r := m.sync()
	if h.honest && len(r.Gaps)+len(r.Bad)+len(r.Later) > 0 {
		h.t.Errorf("the newcomer misses something: %+v", r)
	}
	if len(r.Bad) > 0 {
		for _, other := range h.machines {
			h.exchange(other, "sync after the newcomer's")
		}
		r = m.sync()
	}
	h.onlyWhatNobodyHolds(m, r)
	return m
}

// onlyWhatNobodyHolds asserts that a newcomer complains of nothing that any
// machine could have put right. A place that lost or damaged a segment whose
// writer was then put back to a backup promises what nobody holds any more:
// that is named for ever, and rightly so.
func (h *history) onlyWhatNobodyHolds(newcomer *machine, r exchange.Report) {
	promised := slices.Clone(r.Bad)
	if len(r.Gaps) > 0 {
		found, err := h.under.List(context.Background(), format.HeadPrefix, "")
		newcomer.must(err)
		for _, name := range found.Names {
			promised = append(promised, format.BadObject{Name: name})
		}
	}
	for _, b := range promised {
		seg, isSeg := format.ParseSegment(b.Name)
		head, isHead := format.ParseHead(b.Name)
		if isHead {
			seg.Run = format.Run{Lane: head.Lane, Last: head.Last, Chain: head.Chain}
		}
		if !isSeg && !isHead || newcomer.knows(seg) {
			continue
		}
		h.did.add("promised by none", 1)
		for _, m := range h.machines {
			if m.knows(seg) {
				h.t.Errorf("%s holds what %s promises, and the newcomer has not got it: %+v",
					m.name, b.Name, r)
			}
		}
	}
	for _, b := range r.Bad {
		if seg, ok := format.ParseSegment(b.Name); ok &&
			slices.ContainsFunc(h.machines, func(m *machine) bool { return m.knows(seg) }) {
			h.t.Errorf("%s is damaged, and nobody put it right", b.Name)
		}
	}
}

// knows says that a machine holds the last event of a segment.
func (m *machine) knows(n format.SegmentName) (held bool) {
	m.view(func(tx *sqlite.Tx) (err error) {
		held, err = tx.Holds(n.Lane, n.Last, n.Chain)
		return err
	})
	return held
}

// aftermath asks an honest place whether it is whole, and nobody may have found
// anything to repair.
func (h *history) aftermath(m *machine) {
	if !h.honest {
		return
	}
	for _, m := range append(slices.Clone(h.machines), m) {
		m.view(func(tx *sqlite.Tx) error {
			bad, err := tx.Quarantined()
			if len(bad) > 0 {
				h.t.Errorf("%s holds back %v of an honest place", m.name, bad)
			}
			return err
		})
	}
	c, err := m.Check(context.Background(), true)
	m.must(err)
	if !c.OK() {
		h.t.Errorf("an honest place has something to repair: %+v", c)
	}
}

// lastUnmerged is the greatest kept seed from the time when histories merged no
// segments; those go on as they were.
const lastUnmerged = 52050
