package replica

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/dir"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

const phrase = "four looms stood idle"

// clock is a wall clock that moves a second with every look.
type clock struct{ at time.Time }

func (c *clock) now() time.Time {
	c.at = c.at.Add(time.Second)
	return c.at
}

func newClock() *clock { return &clock{time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)} }

// machine is a stash on a machine of its own, with its part in the exchange.
type machine struct {
	t     testing.TB
	name  string
	path  string
	clock *clock
	place exchange.Place
	store *sqlite.Store
	*Replica
	fault func(exchange.Point)
	// segment is how many events go into one segment, 0 for the usual.
	segment int
	// fan is how many segments are merged into one, 0 for the usual; grace is
	// how long what is merged stays.
	fan   int
	grace time.Duration
}

// newMachine makes a machine with a new stash that will use a shared place.
func newMachine(t testing.TB, name string, place remote.Remote) *machine {
	m := &machine{t: t, name: name, path: filepath.Join(tempDir(t), "stash.db"), clock: newClock(),
		place: exchange.Place{Remote: place, Address: "there"}}
	if err := stashtest.WriteEmpty(m.path); err != nil {
		t.Fatal(err)
	}
	m.open()
	t.Cleanup(func() {
		if m.store != nil {
			_ = m.store.Close()
		}
	})
	return m
}

// tempDir is a directory in memory where the system has one: these tests make
// many stashes, and what a disk keeps through a power cut is not their subject.
func tempDir(t testing.TB) string {
	t.Helper()
	if _, err := os.Stat("/dev/shm"); err != nil {
		return t.TempDir()
	}
	made, err := os.MkdirTemp("/dev/shm", "endsmeet-")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { _ = os.RemoveAll(made) })
	return made
}

// copyOf makes m a copy of another machine's stash as it lies on the disk: the
// database alone, or, for a whole copy, with its keys, which believe then to
// be where they always were.
func (m *machine) copyOf(other *machine, whole bool) {
	m.t.Helper()
	_ = other.store.Close() // writes the log back
	other.store = nil
	if m.store != nil {
		_ = m.store.Close()
		m.store = nil
	}
	copyFile(m.t, other.path, m.path)
	_ = os.Remove(m.path + ".key")
	_ = os.Remove(m.path + "-wal")
	_ = os.Remove(m.path + "-shm")
	raw, err := os.ReadFile(other.path + ".key")
	if whole && !os.IsNotExist(err) { // one that is a copy itself may have none yet
		m.must(err)
		var keys map[string]any
		m.must(json.Unmarshal(raw, &keys))
		keys["path"], keys["machine"] = m.path, m.name
		raw, err = json.Marshal(keys)
		m.must(err)
		m.must(os.WriteFile(m.path+".key", raw, 0o600))
	}
	m.clock.at = other.clock.at
	other.open()
	m.open()
}

// open opens the stash, as a new run of the program does.
func (m *machine) open() {
	m.t.Helper()
	if m.store != nil {
		_ = m.store.Close()
	}
	var err error
	m.store, err = sqlite.Open(context.Background(), m.path,
		sqlite.Options{Now: m.clock.now, Machine: m.name,
			Fault: func(p sqlite.Point) { m.pass(exchange.Point(p)) }})
	if err != nil {
		m.t.Fatal(err)
	}
	m.Replica = New(exchange.Options{
		Store: m.store, Now: m.clock.now, Work: 4, LockWait: 50 * time.Millisecond, Fault: m.pass,
		SegmentEvents: m.segment, Fan: m.fan, FolderGrace: m.grace, StoreGrace: m.grace,
		Open: func(string, string) (exchange.Place, error) { return m.place, nil },
	})
}

func (m *machine) pass(p exchange.Point) {
	if m.fault != nil {
		m.fault(p)
	}
}

// inFolder gives the shared place in a folder for one machine.
func inFolder(t testing.TB, folder, owner string) remote.Remote {
	d, err := dir.New(dir.Options{Path: folder, Owner: owner})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func (m *machine) must(err error) {
	m.t.Helper()
	if err != nil {
		m.t.Fatalf("%s: %v", m.name, err)
	}
}

func (m *machine) sync() exchange.Report {
	m.t.Helper()
	r, err := m.Sync(context.Background())
	m.must(err)
	return r
}

// quiet is a sync that must have nothing to complain of.
func (m *machine) quiet() exchange.Report {
	m.t.Helper()
	r := m.sync()
	if len(r.Bad)+len(r.Gaps)+len(r.Behind)+len(r.Later)+len(r.Twins)+len(r.Shut) > 0 ||
		r.Locked != "" {
		m.t.Fatalf("%s: an honest place is complained of: %+v", m.name, r)
	}
	return r
}

func (m *machine) setup() string {
	m.t.Helper()
	code, err := m.Setup(context.Background(), "there", phrase, "")
	m.must(err)
	return code
}

func (m *machine) join() {
	m.t.Helper()
	m.must(m.Join(context.Background(), "there", phrase, ""))
}

// act records something.
func (m *machine) act(do func(*sqlite.Tx) error) {
	m.t.Helper()
	m.must(m.store.Act(context.Background(), do))
}

func (m *machine) view(do func(*sqlite.Tx) error) {
	m.t.Helper()
	m.must(m.store.View(context.Background(), do))
}

func fields(t testing.TB, words ...string) stash.Fields {
	out := stash.Fields{}
	for i := 0; i < len(words); i += 2 {
		raw, err := json.Marshal(words[i+1])
		if err != nil {
			t.Fatal(err)
		}
		out[words[i]] = raw
	}
	return out
}

// yarn records a yarn.
func (m *machine) yarn(name string) stash.YarnID {
	m.t.Helper()
	var id stash.Subject
	m.act(func(tx *sqlite.Tx) error {
		id = tx.NewID()
		_, err := tx.Record(stash.Draft{Kind: stash.KindYarn, Of: id,
			Body: stash.Set{What: stash.WhatYarn, Fields: fields(m.t, "name", name)}})
		return err
	})
	return stash.YarnID(id)
}

// receive records a package of a yarn that holds grams.
func (m *machine) receive(yarn stash.YarnID, tag string, grams int64) stash.PackageID {
	m.t.Helper()
	var id stash.Subject
	m.act(func(tx *sqlite.Tx) error {
		id = tx.NewID()
		net := measure.Mass(grams) * measure.Gram
		_, err := tx.Record(stash.Draft{Kind: stash.KindReceive, Of: id,
			Body: stash.Receive{Fields: fields(m.t, "yarn", string(yarn), "tag", tag),
				Reading: stash.Reading{Net: &net}}})
		return err
	})
	return stash.PackageID(id)
}

// move records a movement of a package; a zero time is now.
func (m *machine) move(id stash.PackageID, at time.Time,
	draft func(stash.Package, stash.Move) (stash.Draft, error), move stash.Move) {
	m.t.Helper()
	m.act(func(tx *sqlite.Tx) error {
		p, _, err := tx.Package(id)
		if err != nil {
			return err
		}
		if move.At = at; at.IsZero() {
			move.At = tx.Now()
		}
		d, err := draft(p, move)
		if err != nil {
			return err
		}
		_, err = tx.Record(d)
		return err
	})
}

func (m *machine) use(id stash.PackageID, grams int64, at time.Time) {
	m.t.Helper()
	m.move(id, at, stash.Package.Use, stash.Move{Mass: measure.Mass(grams) * measure.Gram,
		Force: true})
}

func (m *machine) weigh(id stash.PackageID, grams int64, at time.Time) {
	m.t.Helper()
	net := measure.Mass(grams) * measure.Gram
	m.move(id, at, stash.Package.Weigh, stash.Move{Reading: stash.Reading{Net: &net}})
}

// set states facts that replace what stands here.
func (m *machine) set(what stash.What, id stash.Subject, f stash.Fields) {
	m.t.Helper()
	m.act(func(tx *sqlite.Tx) error {
		facts, err := tx.Facts(id)
		if err != nil {
			return err
		}
		_, err = tx.Record(stash.Draft{Kind: stash.KindSet, Of: id, Replaces: facts.Seen(f),
			Private: what == stash.WhatPerson, Body: stash.Set{What: what, Fields: f}})
		return err
	})
}

func (m *machine) pack(id stash.PackageID) (p stash.Package) {
	m.t.Helper()
	m.view(func(tx *sqlite.Tx) (err error) {
		p, _, err = tx.Package(id)
		return err
	})
	return p
}

// holds compares what a package holds.
func (m *machine) holds(id stash.PackageID, grams int64) {
	m.t.Helper()
	if p := m.pack(id); p.Held != measure.Mass(grams)*measure.Gram {
		m.t.Errorf("on %s the package holds %d mg, want %d g", m.name, p.Held, grams)
	}
}

func (m *machine) open1() (open []Open) {
	m.t.Helper()
	m.view(func(tx *sqlite.Tx) (err error) {
		open, err = OpenQuestions(tx, func(l stash.Lane) string { return string(l[:4]) })
		return err
	})
	return open
}

// asks says whether an open question of a class stands about a subject.
func (m *machine) asks(code string, id stash.Subject) bool {
	m.t.Helper()
	for _, o := range m.open1() {
		if o.Code == code && o.Subject == id {
			return true
		}
	}
	return false
}

// checkLedger runs the program's own check.
func (m *machine) checkLedger() {
	m.t.Helper()
	m.view(func(tx *sqlite.Tx) error {
		report, err := tx.Check()
		for _, f := range report.Findings {
			if f.Fault {
				m.t.Errorf("%s: check: %s %s", m.name, f.Code, f.Message)
			}
		}
		return err
	})
}

// ledger is all that a stash holds: its open events, and what they fold to.
func (m *machine) ledger() string {
	m.t.Helper()
	var out string
	m.view(func(tx *sqlite.Tx) error {
		events := map[string]string{}
		err := tx.Events(false, func(e stash.Event) error {
			events[e.ID().String()] = string(e.Raw)
			return nil
		})
		if err != nil {
			return err
		}
		packages, err := tx.Packages(false)
		if err != nil {
			return err
		}
		state := map[string]any{"events": events}
		for _, p := range packages {
			state[string(p.ID)] = p
		}
		yarns, err := tx.Yarns()
		if err != nil {
			return err
		}
		for _, y := range yarns {
			state[string(y.ID)] = y
		}
		pieces, err := tx.Pieces(false)
		if err != nil {
			return err
		}
		for _, p := range pieces {
			state[string(p.ID)] = p
		}
		raw, err := json.MarshalIndent(state, "", " ")
		out = string(raw)
		return err
	})
	return out
}

// same asserts that machines hold the same ledger, and that it is whole.
func same(t testing.TB, machines ...*machine) {
	t.Helper()
	first := machines[0].ledger()
	for _, m := range machines {
		m.checkLedger()
		if got := m.ledger(); got != first {
			t.Errorf("%s and %s differ:\n%s", machines[0].name, m.name, firstDifference(first, got))
		}
	}
}

func firstDifference(a, b string) string {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	cut := func(s string) string { return s[max(0, i-200):min(len(s), i+200)] }
	return fmt.Sprintf("...%s...\n--- and ---\n...%s...", cut(a), cut(b))
}

// pair is two machines that share a place and know one cone of 400 g.
func pair(t testing.TB) (a, b *machine, cone stash.PackageID) {
	t.Helper()
	place := remotetest.NewMemory()
	a, b = newMachine(t, "anneke", place), newMachine(t, "bo", place)
	a.setup()
	cone = a.receive(a.yarn("Ossentarn cotton"), "Y01", 400)
	a.quiet()
	b.join()
	b.quiet()
	b.holds(cone, 400)
	return a, b, cone
}

// meet has machines exchange until all know all.
func meet(machines ...*machine) {
	for range 2 {
		for _, m := range machines {
			m.t.Helper()
			m.quiet()
		}
	}
}

// copyFile copies a file, or removes the copy where there is none.
func copyFile(t testing.TB, from, to string) {
	t.Helper()
	raw, err := os.ReadFile(from)
	if os.IsNotExist(err) {
		_ = os.Remove(to)
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(to, raw, 0o600); err != nil {
		t.Fatal(err)
	}
}
