package replica

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// machines makes n machines that share a place, all in step.
func several(t testing.TB, n int, place remote.Remote) []*machine {
	t.Helper()
	var out []*machine
	for i := range n {
		m := newMachine(t, fmt.Sprintf("m%d", i), place)
		if i == 0 {
			m.setup()
		} else {
			m.join()
		}
		m.yarn(fmt.Sprintf("Yarn %d", i))
		out = append(out, m)
	}
	meet(out...)
	meet(out...) // and all have seen what all have seen
	return out
}

func TestNothingNewIsExactlyOneList(t *testing.T) {
	for _, m := range several(t, 4, remotetest.NewMemory()) {
		if r := m.quiet(); r.Traffic != (exchange.Traffic{Lists: 1, Down: r.Down}) {
			t.Errorf("%s with nothing new: %+v", m.name, r.Traffic)
		}
	}
}

// A lane with news takes a list and two reads, of its segment and its head. The
// others' heads are read anew where they have seen more. What is written takes
// the format file, two files and their reading back, and the head before.
func TestRequestsGrowWithTheNewsAlone(t *testing.T) {
	machines := several(t, 6, remotetest.NewMemory())
	for round := range 8 {
		news := 0
		for i, m := range machines[1:] {
			if i >= round%6 {
				break
			}
			for range 3 {
				m.yarn("more")
			}
			m.quiet()
			news++
		}
		reader := machines[0]
		if round%2 == 0 {
			reader.yarn("own")
			news++
		}
		if r := reader.quiet(); r.Requests() > 3*news+7 {
			t.Errorf("%d lanes with news took %+v", news, r.Traffic)
		}
		meet(machines...)
		meet(machines...)
	}
}

func TestNothingReadableLiesInThePlace(t *testing.T) {
	place := remotetest.NewMemory()
	a := newMachine(t, "anneke", place)
	a.setup()
	yarn := a.yarn("Ossentarn cotton")
	a.receive(yarn, "Tagword", 400)
	a.set(stash.WhatYarn, stash.Subject(yarn), fibreFields2(t, "Ramie"))
	raw, _ := json.Marshal(true)
	a.set(stash.WhatSettings, stash.SettingsSubject, stash.Fields{"people.sync": raw})
	a.act(func(tx *sqlite.Tx) error {
		_, err := tx.Record(stash.Draft{Kind: stash.KindPerson, Of: tx.NewID(), Private: true,
			Body: stash.Set{What: stash.WhatPerson, Fields: fields(t, "name", "Mirte")}})
		return err
	})
	a.quiet()
	a.must(a.Rename(context.Background(), "this", "Kitchentable"))
	v := a.vaultOf()
	secrets := []string{"Ossentarn", "Tagword", "Ramie", "ramie", "Mirte", "Kitchentable", phrase,
		v.Current().Identity, v.Devices[0].Recipient, "people.sync", "receive", string(yarn)}
	names := objects(t, place, "")
	if len(names) < 6 {
		t.Fatalf("only %v lies there", names)
	}
	for _, name := range names {
		data := get(t, place, name)
		for _, secret := range secrets {
			if bytes.Contains(data, []byte(secret)) || strings.Contains(string(name), secret) {
				t.Errorf("%q is to be read in %s", secret, name)
			}
		}
	}
}

func fibreFields2(t *testing.T, text string) stash.Fields {
	t.Helper()
	return fibreFields(t, strings.ToLower(text)+" 100")
}

func TestWhatIsToldAboutPeopleStaysHomeUnlessAsked(t *testing.T) {
	place := remotetest.NewMemory()
	a, b := newMachine(t, "anneke", place), newMachine(t, "bo", place)
	a.setup()
	b.join()
	person := stash.Subject("mirtemirteaa")
	a.act(func(tx *sqlite.Tx) error {
		_, err := tx.Record(stash.Draft{Kind: stash.KindPerson, Of: person, Private: true,
			Body: stash.Set{What: stash.WhatPerson, Fields: fields(t, "name", "Mirte")}})
		return err
	})
	a.yarn("Ossentarn cotton")
	meet(a, b)
	lanes := map[string]bool{}
	for _, name := range objects(t, place, format.SegmentPrefix) {
		n, _ := format.ParseSegment(name)
		lanes[string(n.Lane)] = true
	}
	if len(lanes) != 1 {
		t.Errorf("%d lanes lie in the place, want the open one", len(lanes))
	}
	raw, _ := json.Marshal(true)
	b.set(stash.WhatSettings, stash.SettingsSubject, stash.Fields{"people.sync": raw})
	meet(b, a)
	meet(b, a)
	b.view(func(tx *sqlite.Tx) error {
		p, _, err := tx.Person(stash.PersonID(person))
		if p.Name != "Mirte" {
			t.Errorf("after people.sync=yes the person is %q", p.Name)
		}
		return err
	})
}

// failing is a place that answers some calls with an error.
type failing struct {
	remote.Remote
	put func(remote.Name, []byte) error
}

func (f *failing) Put(ctx context.Context, name remote.Name, data []byte) error {
	if f.put != nil {
		if err := f.put(name, data); err != nil {
			return err
		}
	}
	return f.Remote.Put(ctx, name, data)
}

func TestAFullPlaceStopsTheExchangeAndTheSameBytesAreSentLater(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, b := machines[0], machines[1]
	var refused [][]byte
	a.place.Remote = &failing{place, func(name remote.Name, data []byte) error {
		refused = append(refused, bytes.Clone(data))
		return &remote.Error{Kind: remote.Full, Op: "put", Object: string(name), Hint: "make room"}
	}}
	a.yarn("heavy")
	for range 2 {
		if _, err := a.Sync(context.Background()); stash.CodeOf(err) != exchange.CodePlace ||
			!strings.Contains(err.Error(), "there is no room left") {
			t.Fatalf("a full place gives %v", err)
		}
	}
	if len(refused) != 2 || !bytes.Equal(refused[0], refused[1]) {
		t.Errorf("the same event was sealed twice")
	}
	s, err := a.Status(context.Background())
	a.must(err)
	if s.Outbox != 2 || s.Waiting != 0 {
		t.Errorf("status: %d objects and %d events wait, want a segment and a head", s.Outbox,
			s.Waiting)
	}
	a.place.Remote = place
	a.quiet()
	if !slices.ContainsFunc(objects(t, place, format.SegmentPrefix),
		func(n remote.Name) bool { return bytes.Equal(get(t, place, n), refused[0]) }) {
		t.Error("what was put in the end is not what was sealed at first")
	}
	b.quiet()
	same(t, a, b)
}

func TestAPlaceThatIsNotThereChangesNothingAndIsNamed(t *testing.T) {
	machines := several(t, 2, remotetest.NewMemory())
	a := machines[0]
	a.place.Remote = inFolder(t, t.TempDir()+"/unplugged", "a")
	a.yarn("offline")
	if _, err := a.Sync(context.Background()); stash.CodeOf(err) != exchange.CodePlace ||
		!strings.Contains(err.Error(), "plug in") {
		t.Errorf("an unplugged folder gives %v", err)
	}
	s, err := a.Status(context.Background())
	a.must(err)
	if s.Reached || s.Waiting != 1 || s.Problem == "" {
		t.Errorf("status without the place: %+v", s)
	}
}

func TestTwoSyncsOfOneStashDoNotRunAtOnce(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, b := machines[0], machines[1]
	inside, release := make(chan bool), make(chan bool)
	var once sync.Once
	a.place.Remote = &failing{place, func(remote.Name, []byte) error {
		once.Do(func() { close(inside); <-release })
		return nil
	}}
	a.yarn("slow")
	var wait sync.WaitGroup
	wait.Go(func() {
		_, err := a.Sync(context.Background())
		if err != nil {
			t.Error(err)
		}
	})
	<-inside
	if _, err := a.Sync(context.Background()); stash.CodeOf(err) != exchange.CodeLocked {
		t.Errorf("a second sync meanwhile gives %v", err)
	}
	a.yarn("recorded during a sync")
	close(release)
	wait.Wait()
	meet(a, b)
	same(t, a, b)
	if n := len(events(b)); n != 4 {
		t.Errorf("%d events arrived, want 4", n)
	}
}

func TestUnknownKindsAndFieldsGoThroughToTheByte(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	var raw []byte
	machines[0].act(func(tx *sqlite.Tx) error {
		e, err := tx.Record(stash.Draft{Kind: "dye", Of: "futurefuture",
			Body: map[string]any{"bath": "weld & madder", "<n>": 1.50}})
		raw = e.Raw
		return err
	})
	machines[0].quiet()
	machines[1].quiet()
	for _, name := range objects(t, place, format.SegmentPrefix) { // the third learns it from the second
		n, _ := format.ParseSegment(name)
		if n.Last == 2 {
			machines[0].must(place.Delete(context.Background(), name))
		}
	}
	_, err := machines[1].Repair(context.Background(), false)
	machines[1].must(err)
	machines[2].quiet()
	found := false
	machines[2].view(func(tx *sqlite.Tx) error {
		return tx.Events(false, func(e stash.Event) error {
			found = found || bytes.Equal(e.Raw, raw)
			return nil
		})
	})
	if !found {
		t.Error("an event of an unknown kind did not come through as it was written")
	}
	same(t, machines...)
}

func (m *machine) lane() stash.Lane {
	m.t.Helper()
	signer, err := m.store.Signer(false)
	m.must(err)
	return signer.Lane
}

func TestAClockFarOffIsFlaggedAndRefusesNothing(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, b := machines[0], machines[1]
	b.clock.at = b.clock.at.Add(10 * 365 * 24 * time.Hour)
	b.yarn("from the future")
	b.sync()
	r := a.sync()
	if r.Received != 1 || len(r.Ahead) != 1 {
		t.Errorf("a clock ten years off: %+v", r)
	}
	a.yarn("from now")
	a.sync()
	if r := b.sync(); r.Received != 1 {
		t.Errorf("the machine with the wrong clock received %d", r.Received)
	}
	same(t, a, b)
}

func TestErrorsAreRefusalsWithARemedy(t *testing.T) {
	ctx := context.Background()
	place := remotetest.NewMemory()
	a, b := newMachine(t, "anneke", place), newMachine(t, "bo", place)
	_, noPlace := a.Sync(ctx)
	_, short := a.Setup(ctx, "there", "short", "")
	nothing := b.Join(ctx, "there", phrase, "")
	a.setup()
	_, twice := a.Setup(ctx, "there", phrase, "")
	_, occupied := b.Setup(ctx, "there", phrase, "")
	wrong := b.Join(ctx, "there", "four looms stood Idle", "")
	formatFile := get(t, place, format.FileName)
	place.Plant(string(format.FileName), bytes.Replace(formatFile, []byte(`"least_reader":1`),
		[]byte(`"least_reader":2`), 1))
	newer := b.Join(ctx, "there", phrase, "")
	for what, err := range map[string]error{"no place": noPlace, "short": short,
		"nothing there": nothing, "twice": twice, "occupied": occupied, "wrong": wrong,
		"newer": newer} {
		var refusal *stash.Error
		if !errors.As(err, &refusal) || refusal.Hint == "" {
			t.Errorf("%s: %v", what, err)
		}
	}
	if stash.CodeOf(wrong) != exchange.CodeSecret || stash.CodeOf(newer) != stash.CodeNewer {
		t.Errorf("codes %s and %s", stash.CodeOf(wrong), stash.CodeOf(newer))
	}
	if _, err := b.Sync(ctx); err == nil {
		t.Error("a join that failed left something behind")
	}
}

func TestALongRowGoesIntoSeveralSegmentsAndTheHeadComesLast(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, b := machines[0], machines[1]
	a.segment = 3
	a.open()
	var put []string
	a.place.Remote = &failing{place, func(name remote.Name, _ []byte) error {
		put = append(put, strings.SplitN(string(name), "/", 2)[0])
		return nil
	}}
	for range 10 {
		a.yarn("one of ten")
	}
	a.quiet()
	if want := []string{"seg", "seg", "seg", "seg", "head"}; !slices.Equal(put, want) {
		t.Errorf("put %v, want %v", put, want)
	}
	// and a head, the format file, the own head back
	if r := b.quiet(); r.Received != 10 || r.Gets != 4+3 {
		t.Errorf("received %d in %d reads", r.Received, r.Gets)
	}
	same(t, a, b)
}
