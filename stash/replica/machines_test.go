package replica

import (
	"context"
	"slices"
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
)

func TestACopyOfAWholeMachineTakesANewLane(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	a, twin := machines[0], newMachine(t, "twin", place)
	a.yarn("not passed on when it was copied")
	twin.copyOf(a, true)
	lane := a.lane()
	a.yarn("of the original")
	twin.yarn("of the copy")
	a.quiet()
	r := twin.sync()
	if len(r.Twins) != 1 || r.Twins[0] != lane || twin.lane() == lane {
		t.Errorf("the copy does not see that it is one: %+v", r)
	}
	twin.yarn("of the copy, under its new lane")
	for range 3 {
		for _, m := range append(machines, twin) {
			m.sync()
		}
	}
	all := append(machines, twin)
	same(t, all...)
	if n := len(events(machines[2])); n != 3+4 {
		t.Errorf("%d events, want 7: nothing of either may be lost", n)
	}
	for _, m := range all { // and from now on nobody finds anything
		if r := m.sync(); len(r.Twins) > 0 || r.Received+r.Sent > 0 {
			t.Errorf("%s is not at rest: %+v", m.name, r)
		}
	}
}

func TestADatabaseAloneTakesANewLaneAndPassesOnWhatItsOriginCannot(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, heir := machines[0], newMachine(t, "heir", place)
	a.yarn("only here when the machine died")
	heir.copyOf(a, false)
	if heir.lane() == a.lane() {
		t.Fatal("the copy writes the lane of its origin")
	}
	heir.quiet()
	machines[1].quiet()
	same(t, heir, machines[1])
	if n := len(events(machines[1])); n != 3 {
		t.Errorf("%d events arrived, want 3", n)
	}
	// Should the origin live on after all, no copy sends for it.
	a.quiet()
	late := newMachine(t, "late", place)
	late.copyOf(a, false)
	a.yarn("it lives")
	a.quiet()
	for _, m := range []*machine{heir, late, heir, late} {
		if r := m.quiet(); r.Sent != 0 {
			t.Errorf("the copy sent %d", r.Sent)
		}
	}
	same(t, a, heir, late)
}

func TestARestoredBackupWritesOnAsATwin(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, b := machines[0], machines[1]
	saved := newMachine(t, a.name, place)
	saved.copyOf(a, true)
	a.yarn("after the backup")
	a.quiet()
	b.quiet()
	a.copyOf(saved, true) // restored
	a.yarn("after the restore")
	r := a.sync()
	if len(r.Twins) != 1 {
		t.Errorf("the restored backup does not see it: %+v", r)
	}
	for range 3 {
		a.sync()
		b.sync()
	}
	same(t, a, b)
	if n := len(events(b)); n != 4 {
		t.Errorf("%d events, want 4", n)
	}
}

// meetLoosely has machines exchange where a removed one may be mentioned.
func meetLoosely(machines ...*machine) {
	for range 2 {
		for _, m := range machines {
			m.t.Helper()
			m.sync()
		}
	}
}

// checkLocked asserts that a machine with the old keys opens nothing of the new.
func TestCodesOpenAndAnInvitationIsGoodOnce(t *testing.T) {
	ctx := context.Background()
	place := remotetest.NewMemory()
	a := newMachine(t, "anneke", place)
	printed := a.setup()
	a.yarn("Ossentarn cotton")
	a.quiet()
	byCode := newMachine(t, "by code", place)
	byCode.must(byCode.Join(ctx, "there", printed, ""))
	byCode.quiet()
	invite, err := a.Invite(ctx)
	a.must(err)
	guest, second := newMachine(t, "guest", place), newMachine(t, "second", place)
	guest.must(guest.Join(ctx, "there", invite, ""))
	guest.quiet()
	if err := second.Join(ctx, "there", invite, ""); stash.CodeOf(err) != exchange.CodeSecret {
		t.Errorf("an invitation opens twice: %v", err)
	}
	fresh, err := guest.Recode(ctx)
	guest.must(err)
	if err := second.Join(ctx, "there", printed, ""); stash.CodeOf(err) != exchange.CodeSecret {
		t.Errorf("the code that was replaced opens: %v", err)
	}
	second.must(second.Join(ctx, "there", fresh, ""))
	second.quiet()
	meet(a, byCode, guest, second)
	same(t, a, byCode, guest, second)
	a.must(a.Meet(ctx))
	machines, err := a.Devices(ctx)
	a.must(err)
	if len(machines) != 4 {
		t.Errorf("the first machine knows of %v", machines)
	}
	if c, err := second.Check(ctx, true); err != nil || !c.OK() {
		t.Errorf("check: %+v, %v", c, err)
	}
}

func TestLeavingKeepsAllAndComingBackSendsNothingTwice(t *testing.T) {
	ctx := context.Background()
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a := machines[0]
	before := len(objects(t, place, format.SegmentPrefix))
	a.yarn("waiting")
	if err := a.Leave(ctx, false); err == nil {
		t.Error("leaving loses what was not passed on without a word")
	}
	a.quiet()
	a.must(a.Leave(ctx, false))
	if _, err := a.Sync(ctx); err == nil {
		t.Error("it still exchanges after leaving")
	}
	a.join()
	a.quiet()
	meet(machines...)
	same(t, machines...)
	if got := len(objects(t, place, format.SegmentPrefix)); got != before+1 {
		t.Errorf("%d segments, want %d: coming back sent something twice", got, before+1)
	}
}

func TestANameIsLearntByOthers(t *testing.T) {
	ctx := context.Background()
	machines := several(t, 2, remotetest.NewMemory())
	a, b := machines[0], machines[1]
	a.must(a.Rename(ctx, "this", "studio"))
	b.must(b.Rename(ctx, "this", "kitchen"))
	a.must(a.Meet(ctx))
	known, err := a.Devices(ctx)
	b.must(err)
	var names []string
	for _, m := range known {
		names = append(names, m.Name)
	}
	if !slices.Contains(names, "studio") || !slices.Contains(names, "kitchen") {
		t.Errorf("known as %v", names)
	}
	if err := b.Rename(ctx, "attic", "loft"); stash.CodeOf(err) != stash.CodeUnknown {
		t.Errorf("a machine that is not there: %v", err)
	}
}

func TestAnotherVaultInThePlaceIsNamed(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	for _, name := range objects(t, place, "") {
		machines[0].must(place.Delete(context.Background(), name))
	}
	stranger := newMachine(t, "stranger", place)
	stranger.setup()
	stranger.yarn("of somebody else")
	stranger.quiet()
	if _, err := machines[0].Sync(context.Background()); err == nil ||
		!strings.Contains(err.Error(), "another shared place") {
		t.Errorf("another vault in the same place gives %v", err)
	}
}

func TestAHistoryThatIsReadBackwardsWaitsForItsBeginning(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, twin := machines[0], newMachine(t, "twin", place)
	twin.copyOf(a, true)
	a.yarn("of the original")
	twin.yarn("of the copy")
	twin.quiet()
	for range 3 { // the wider segment is read first, and goes on from what is not here
		twin.yarn("more of the copy")
	}
	twin.quiet()
	if r := a.sync(); r.Received != 4 || len(r.Gaps) > 0 || len(r.Twins) != 1 {
		t.Errorf("received %+v", r)
	}
	for range 2 {
		meetLoosely(a, twin, machines[1])
	}
	same(t, a, twin, machines[1])
}

func TestASegmentWhoseHeadWasNeverPutReachesAllOrNone(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	a, b, c := machines[0], machines[1], machines[2]
	saved := newMachine(t, a.name, place)
	saved.copyOf(a, true)
	a.place.Remote = &failing{place, func(name remote.Name, _ []byte) error {
		if strings.HasPrefix(string(name), format.HeadPrefix) {
			return &remote.Error{Kind: remote.Retry, Op: "put"}
		}
		return nil
	}}
	a.yarn("put without a head")
	if _, err := a.Sync(context.Background()); err == nil {
		t.Fatal("the head was put")
	}
	a.place.Remote = place
	a.copyOf(saved, true) // and then the backup is restored
	b.quiet()
	if n := len(events(b)); n != 3 {
		t.Errorf("%d events, want 3: nobody was told of the fourth", n)
	}
	for range 2 {
		a.yarn("instead")
	}
	a.sync()
	b.sync() // reads both histories, and tells
	if r := a.sync(); len(r.Twins) != 1 {
		t.Errorf("the writer is not told that there are two: %+v", r)
	}
	meetLoosely(a, b, c)
	same(t, a, b, c)
	if n := len(events(c)); n != 6 {
		t.Errorf("%d events, want 6", n)
	}
}
