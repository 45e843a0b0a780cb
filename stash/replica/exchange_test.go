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
	return out
}

func TestNothingNewIsExactlyOneList(t *testing.T) {
	for _, m := range several(t, 4, remotetest.NewMemory()) {
		if r := m.quiet(); r.Traffic != (Traffic{Lists: 1, Down: r.Down}) {
			t.Errorf("%s with nothing new: %+v", m.name, r.Traffic)
		}
	}
}

func TestRequestsDoNotPassTwiceTheLanesWithNewsAndFour(t *testing.T) {
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
		if r := reader.quiet(); r.Requests() > 2*news+4 {
			t.Errorf("%d lanes with news took %+v", news, r.Traffic)
		}
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
	secrets := []string{"Ossentarn", "Tagword", "Ramie", "ramie", "Mirte", "Kitchentable", phrase, v.current().Identity, v.Devices[0].Recipient, "people.sync", "receive", string(yarn)}
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
	for _, name := range objects(t, place, segPrefix) {
		n, _ := parseSeg(name)
		lanes[string(n.lane)] = true
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

func TestAPlaceThatWasPutBackIsNoticed(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, b := machines[0], machines[1]
	old := map[remote.Name][]byte{}
	for _, name := range objects(t, place, "") {
		old[name] = get(t, place, name)
	}
	a.yarn("later")
	meet(a, b)
	for _, name := range objects(t, place, "") {
		a.must(place.Delete(context.Background(), name))
	}
	for name, data := range old {
		place.Plant(string(name), data)
	}
	for _, m := range machines {
		if r := m.sync(); len(r.Behind) != 1 || r.Behind[0].To != 2 {
			t.Errorf("%s does not notice: %+v", m.name, r)
		}
	}
	c, err := b.Check(context.Background(), false)
	b.must(err)
	if len(c.Missing) != 1 || c.Missing[0].From != 2 || c.Missing[0].To != 2 {
		t.Errorf("check finds missing %+v", c.Missing)
	}
	// The one who did not write it puts it back.
	_, err = b.Repair(context.Background())
	b.must(err)
	newcomer := newMachine(t, "newcomer", place)
	newcomer.join()
	newcomer.quiet()
	a.quiet()
	same(t, a, b, newcomer)
	// What a newcomer cannot know, the fingerprints show.
	fa, err := a.Fingerprint(context.Background())
	a.must(err)
	fn, err := newcomer.Fingerprint(context.Background())
	a.must(err)
	if fa != fn {
		t.Errorf("fingerprints %v and %v of the same", fa, fn)
	}
	a.yarn("one more")
	if fb, err := a.Fingerprint(context.Background()); err != nil || fb.Events == fa.Events || fb.Vault != fa.Vault {
		t.Errorf("the fingerprint does not tell one event more: %v, %v", fb, err)
	}
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
		if _, err := a.Sync(context.Background()); stash.CodeOf(err) != CodePlace || !strings.Contains(err.Error(), "no room left") {
			t.Fatalf("a full place gives %v", err)
		}
	}
	if len(refused) != 2 || !bytes.Equal(refused[0], refused[1]) {
		t.Errorf("the same event was sealed twice")
	}
	s, err := a.Status(context.Background())
	a.must(err)
	if s.Outbox != 2 || s.Waiting != 0 {
		t.Errorf("status: %d objects and %d events wait, want a segment and a head", s.Outbox, s.Waiting)
	}
	a.place.Remote = place
	a.quiet()
	if !slices.ContainsFunc(objects(t, place, segPrefix), func(n remote.Name) bool { return bytes.Equal(get(t, place, n), refused[0]) }) {
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
	if _, err := a.Sync(context.Background()); stash.CodeOf(err) != CodePlace || !strings.Contains(err.Error(), "plug in") {
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
	if _, err := a.Sync(context.Background()); stash.CodeOf(err) != CodeLocked {
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

func TestForeignNamesAreCountedAndLeftAlone(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	head, seg := objects(t, place, headPrefix)[0], objects(t, place, segPrefix)[0]
	foreign := []string{"head/.DS_Store", "desktop.ini", string(head) + " (conflicted copy)", string(head) + ".1", string(seg) + "~", "seg/" + string(head[5:29]) + "/x.seg"}
	for _, name := range foreign {
		place.Plant(name, []byte("anything"))
	}
	machines[0].yarn("new")
	machines[0].sync()
	r := machines[1].sync()
	if r.Received != 1 || r.Ignored < 3 || len(r.Bad) > 0 {
		t.Errorf("among foreign names: %+v", r)
	}
	for _, name := range foreign {
		if !slices.Contains(allNames(place), name) {
			t.Errorf("%s is gone", name)
		}
	}
	same(t, machines...)
}

// allNames lists what a place in memory holds, foreign names as examples.
func allNames(place *remotetest.Memory) []string {
	found, _ := place.List(context.Background(), "", "")
	out := slices.Clone(found.Examples)
	for _, n := range found.Names {
		out = append(out, string(n))
	}
	return out
}

func TestUnknownKindsAndFieldsGoThroughToTheByte(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	var raw []byte
	machines[0].act(func(tx *sqlite.Tx) error {
		e, err := tx.Record(stash.Draft{Kind: "dye", Of: "futurefuture", Body: map[string]any{"bath": "weld & madder", "<n>": 1.50}})
		raw = e.Raw
		return err
	})
	machines[0].quiet()
	machines[1].quiet()
	for _, name := range objects(t, place, segPrefix) { // the third learns it from the second
		n, _ := parseSeg(name)
		if n.last == 2 {
			machines[0].must(place.Delete(context.Background(), name))
		}
	}
	_, err := machines[1].Repair(context.Background())
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

func TestAMissingSegmentIsNamedWithThoseWhoSawIt(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	a, b, c := machines[0], machines[1], machines[2]
	a.must(a.Rename(context.Background(), "this", "studio"))
	b.must(b.Rename(context.Background(), "this", "kitchen"))
	a.yarn("first")
	a.quiet()
	a.yarn("second")
	a.quiet()
	b.quiet()
	b.yarn("seen both")
	b.quiet()
	for _, name := range objects(t, place, segPrefix) {
		if n, _ := parseSeg(name); n.lane == a.lane() && n.last == 2 {
			a.must(place.Delete(context.Background(), name))
		}
	}
	r := c.sync()
	if len(r.Gaps) != 1 || r.Gaps[0].From != 2 || r.Gaps[0].To != 3 || r.Received != 1 {
		t.Errorf("with a segment missing: %+v", r)
	}
	check, err := c.Check(context.Background(), false)
	c.must(err)
	if len(check.Gaps) != 1 || !slices.Contains(check.Gaps[0].Holders, "kitchen") || check.Gaps[0].Name != "studio" {
		t.Errorf("check says %+v", check.Gaps)
	}
	_, err = b.Repair(context.Background())
	b.must(err)
	c.quiet()
	meet(a, b, c)
	same(t, a, b, c)
}

func (m *machine) lane() stash.Lane {
	m.t.Helper()
	signer, err := m.store.Signer(false)
	m.must(err)
	return signer.Lane
}

func TestDamageOfEveryKindIsRepairedByAnother(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	for _, name := range objects(t, place, "") {
		data := get(t, place, name)
		place.Plant(string(name), data[:len(data)/2]) // an upload that was cut off and accepted
	}
	c, err := machines[1].Check(context.Background(), true)
	machines[1].must(err)
	if want := len(objects(t, place, "")); len(c.Bad) != want {
		t.Errorf("of %d damaged objects %d are named", want, len(c.Bad))
	}
	for range 2 {
		for _, m := range machines[1:] {
			_, err := m.Repair(context.Background())
			m.must(err)
		}
	}
	if c, err = machines[2].Check(context.Background(), true); err != nil || !c.OK() {
		t.Errorf("after repair: %+v, %v", c, err)
	}
	newcomer := newMachine(t, "newcomer", place)
	newcomer.join()
	newcomer.quiet()
	same(t, append(machines, newcomer)...)
}

func TestSmallSegmentsAreMergedAndASleeperLosesNothing(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, sleeper := machines[0], machines[1]
	a.place.Folder = true
	count := func() int { return len(objects(t, place, segPrefix+string(a.lane())+"/")) }
	for i := range 300 {
		a.yarn(fmt.Sprintf("yarn %d", i))
		a.quiet()
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
			if got := rowOf(c.segs); len(got) != c.want {
				t.Errorf("%d are merged, want %d", len(got), c.want)
			}
		})
	}
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
	_, short := a.Setup(ctx, "there", "short")
	nothing := b.Join(ctx, "there", phrase)
	a.setup()
	_, twice := a.Setup(ctx, "there", phrase)
	_, occupied := b.Setup(ctx, "there", phrase)
	wrong := b.Join(ctx, "there", "four looms stood Idle")
	format := get(t, place, formatName)
	place.Plant(string(formatName), bytes.Replace(format, []byte(`"least_reader":1`), []byte(`"least_reader":2`), 1))
	newer := b.Join(ctx, "there", phrase)
	for what, err := range map[string]error{"no place": noPlace, "short": short, "nothing there": nothing, "twice": twice, "occupied": occupied, "wrong": wrong, "newer": newer} {
		var refusal *stash.Error
		if !errors.As(err, &refusal) || refusal.Hint == "" {
			t.Errorf("%s: %v", what, err)
		}
	}
	if stash.CodeOf(wrong) != CodeSecret || stash.CodeOf(newer) != stash.CodeNewer {
		t.Errorf("codes %s and %s", stash.CodeOf(wrong), stash.CodeOf(newer))
	}
	if _, err := b.Sync(ctx); err == nil {
		t.Error("a join that failed left something behind")
	}
}
