package replica

import (
	"context"
	"errors"
	"slices"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
)

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
	// The first to look puts it back, whoever wrote it; then nobody misses anything.
	r := b.sync()
	if len(r.Behind) != 1 || r.Behind[0].From != 2 || r.Behind[0].To != 2 || r.PutBack == 0 {
		t.Errorf("what was put back: %+v", r)
	}
	if r := a.quiet(); r.PutBack > 0 {
		t.Errorf("put back twice: %+v", r)
	}
	c, err := b.Check(context.Background(), true)
	if b.must(err); !c.OK() {
		t.Errorf("check: %+v", c)
	}
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
	if fb, err := a.Fingerprint(context.Background()); err != nil || fb.Events == fa.Events ||
		fb.Vault != fa.Vault {
		t.Errorf("the fingerprint does not tell one event more: %v, %v", fb, err)
	}
}

func TestForeignNamesAreCountedAndLeftAlone(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	head, seg := objects(t, place, format.HeadPrefix)[0], objects(t, place, format.SegmentPrefix)[0]
	foreign := []string{"head/.DS_Store", "desktop.ini", string(head) + " (conflicted copy)",
		string(head) + ".1", string(seg) + "~", "seg/" + string(head[5:29]) + "/x.seg"}
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
	for _, name := range objects(t, place, format.SegmentPrefix) {
		if n, _ := format.ParseSegment(name); n.Lane == a.lane() && n.Last == 2 {
			a.must(place.Delete(context.Background(), name))
		}
	}
	r := c.sync()
	if len(r.Gaps) != 1 || r.Gaps[0].From != 2 || r.Gaps[0].To != 3 || r.Received != 1 {
		t.Errorf("with a segment missing: %+v", r)
	}
	check, err := c.Check(context.Background(), false)
	c.must(err)
	if len(check.Gaps) != 1 || !slices.Contains(check.Gaps[0].Holders, "kitchen") ||
		check.Gaps[0].Name != "studio" {
		t.Errorf("check says %+v", check.Gaps)
	}
	_, err = b.Repair(context.Background(), false)
	b.must(err)
	c.quiet()
	meet(a, b, c)
	same(t, a, b, c)
}

func TestDamageOfEveryKindIsRepairedByAnother(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	formatFile := get(t, place, format.FileName)
	for _, name := range objects(t, place, "") {
		data := get(t, place, name)
		place.Plant(string(name), data[:len(data)/2]) // an upload that was cut off and accepted
	}
	if _, err := machines[1].Repair(context.Background(), false); stash.CodeOf(
		err,
	) != exchange.CodePlace {
		t.Errorf("a place in which nothing can be recognised is written to: %v", err)
	}
	place.Plant(string(format.FileName), formatFile)
	c, err := machines[1].Check(context.Background(), true)
	machines[1].must(err)
	if want := len(objects(t, place, "")) - 1; len(c.Bad) != want {
		t.Errorf("of %d damaged objects %d are named", want, len(c.Bad))
	}
	for range 2 {
		for _, m := range machines[1:] {
			_, err := m.Repair(context.Background(), false)
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

func TestAFlippedBitInTheFormatIsNamedAndNobodyJoins(t *testing.T) {
	ctx := context.Background()
	place := remotetest.NewMemory()
	a := several(t, 1, place)[0]
	newcomer := newMachine(t, "newcomer", place)
	good, newer := get(t, place, format.FileName), 0
	for i := range damages(good) {
		data := damage(good, i)
		damaged(place, format.FileName, data)
		c, err := a.Check(ctx, false)
		if stash.CodeOf(err) == stash.CodeNewer || stash.CodeOf(err) == stash.CodeRefused {
			c, err = Checked{Gaps: []exchange.Gap{{}}}, nil // one bit makes it newer, or another's
		}
		a.must(err)
		if f, err := format.ReadFile(data); err == nil && f.Format > 1 {
			newer++ // a later format that this version may read
			continue
		}
		if c.OK() {
			t.Fatalf("damage %d, %q, is not found", i, data)
		}
		err = newcomer.Join(ctx, "there", phrase, "")
		var refusal *stash.Error
		if !errors.As(err, &refusal) || refusal.Hint == "" {
			t.Fatalf("damage %d, %q: joining gives %v", i, data, err)
		}
	}
	if newer > 3 {
		t.Errorf("%d damages pass for a later format", newer)
	}
	_, err := a.Repair(ctx, false)
	a.must(err)
	newcomer.join()
	newcomer.quiet()
	same(t, a, newcomer)
}

func TestWhatIsShownAgainChangesNothing(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, b := machines[0], machines[1]
	old := map[remote.Name][]byte{}
	for range sixteen + 2 {
		for _, name := range objects(t, place, "") {
			old[name] = get(t, place, name)
		}
		a.yarn("one more")
		a.clock.at = a.clock.at.Add(2 * time.Hour)
		a.quiet()
		b.quiet()
	}
	before, again := b.ledger(), 0
	for name, data := range old { // old heads, and segments that were merged
		if !slices.Contains(objects(t, place, ""), name) {
			place.Plant(string(name), data)
			again++
		}
	}
	if again < sixteen {
		t.Fatalf("only %d objects were shown again", again)
	}
	if r := b.quiet(); r.Received != 0 || r.Lists != 1 || r.Puts+r.Deletes > 0 {
		t.Errorf("a replay brought in %+v", r)
	}
	if r := b.quiet(); r.Requests() != 1 {
		t.Errorf("a replay is read twice: %+v", r)
	}
	newcomer := newMachine(t, "newcomer", place)
	newcomer.join()
	newcomer.quiet()
	if b.ledger() != before {
		t.Error("a replay changed the ledger")
	}
	same(t, a, b, newcomer)
}
