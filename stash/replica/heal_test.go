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

// view is what one machine is shown of a place: without some objects, and with
// puts that are acknowledged and not kept.
type view struct {
	remote.Remote
	hidden func(remote.Name) bool
	keeps  func([]byte) []byte
}

func (v view) List(ctx context.Context, prefix string, after remote.Name) (remote.Listing, error) {
	found, err := v.Remote.List(ctx, prefix, after)
	found.Names = slices.DeleteFunc(found.Names,
		func(n remote.Name) bool { return v.hidden != nil && v.hidden(n) })
	return found, err
}

func (v view) Get(ctx context.Context, name remote.Name) ([]byte, error) {
	if v.hidden != nil && v.hidden(name) {
		return nil, &remote.Error{Kind: remote.NotFound, Op: "get", Object: string(name)}
	}
	return v.Remote.Get(ctx, name)
}

func (v view) Put(ctx context.Context, name remote.Name, data []byte) error {
	if v.keeps == nil {
		return v.Remote.Put(ctx, name, data)
	}
	if data = v.keeps(data); data == nil {
		return nil
	}
	return v.Remote.Put(ctx, name, data)
}

func TestTheNewestEventThatIsWithheldIsNamedByWhoseAndHowManyThoughOthersOnlyRead(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	a, reader, c := machines[0], machines[1], machines[2]
	a.must(a.Rename(context.Background(), "this", "studio"))
	reader.must(reader.Rename(context.Background(), "this", "kitchen"))
	before := objects(t, place, "")
	a.yarn("withheld")
	a.yarn("withheld too")
	a.quiet()
	withheld := slices.DeleteFunc(objects(t, place, ""),
		func(n remote.Name) bool { return slices.Contains(before, n) })
	c.place.Remote = view{Remote: place,
		hidden: func(n remote.Name) bool { return slices.Contains(withheld, n) }}
	if r := c.sync(); len(r.Gaps) > 0 {
		t.Errorf("nobody can have told yet: %+v", r.Gaps)
	}
	reader.quiet() // reads, and records nothing
	r := c.sync()
	if len(r.Gaps) != 1 || r.Gaps[0].Name != "studio" || r.Gaps[0].From != 2 || r.Gaps[0].To != 3 ||
		!slices.Equal(r.Gaps[0].Holders, []string{"kitchen"}) {
		t.Errorf("what is withheld is not named: %+v", r.Gaps)
	}
	c.place.Remote = place
	c.quiet()
	meet(a, reader, c)
	same(t, a, reader, c)
}

func TestAPlaceThatTakesAndKeepsNothingOrHalfHasDeliveredNothing(t *testing.T) {
	for rule, keeps := range map[string]func([]byte) []byte{
		"nothing": func([]byte) []byte { return nil },
		"half":    func(data []byte) []byte { return data[:len(data)/2] },
	} {
		t.Run(rule, func(t *testing.T) {
			place := remotetest.NewMemory()
			machines := several(t, 2, place)
			a, b := machines[0], machines[1]
			a.place.Remote = view{Remote: place, keeps: keeps}
			a.yarn("to be delivered")
			for range 2 {
				if _, err := a.Sync(context.Background()); stash.CodeOf(err) != exchange.CodePlace {
					t.Errorf("delivered, it says: %v", err)
				}
			}
			a.place.Remote = place
			a.quiet()
			b.quiet()
			same(t, a, b)
		})
	}
}

func TestWhatNobodyCouldMissIsLookedForOnceADay(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a := machines[0]
	for _, name := range append(objects(t, place, format.KeyPrefix),
		objects(t, place, format.DevicePrefix)...) {
		a.must(place.Delete(context.Background(), name))
	}
	if r := a.quiet(); r.Requests() != 1 {
		t.Errorf("every sync looks over all: %+v", r.Traffic)
	}
	a.clock.at = a.clock.at.Add(exchange.LookEvery)
	if r := a.quiet(); r.PutBack == 0 {
		t.Errorf("nothing was put back: %+v", r)
	}
	newcomer := newMachine(t, "newcomer", place)
	newcomer.join()
	newcomer.quiet()
	same(t, a, newcomer)
}

func TestTheNameOfAFileChangesNothingThatIsKept(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, b := machines[0], machines[1]
	lane := string(a.lane())
	zeros := strings.Repeat("a", 26)
	fakes := []string{
		// claims events
		format.HeadPrefix + lane + "-999-" + zeros + "-" + a.vaultOf().
			Current().
			Name.String() + "-" +
			zeros,
		// claims a newer key
		format.HeadPrefix + lane + "-9-" + zeros + "-7.aaaaaaaa-" + zeros,
		format.SegmentPrefix + lane + "/2-9-" + zeros + "-" + zeros + ".seg",
		format.DevicePrefix + lane + "-" + zeros + ".age",
		format.KeyPrefix + "7.aaaaaaaa/device-" + zeros + "-" + zeros + ".age",
		format.KeyPrefix + "7.aaaaaaaa/notice-" + zeros + "-" + zeros + ".age",
	}
	for _, name := range fakes {
		place.Plant(name, nil)
	}
	a.yarn("goes on all the same")
	for _, m := range []*machine{a, b, a, b} {
		if r := m.sync(); r.Locked != "" || len(r.Gaps)+len(r.Later)+len(r.Shut)+len(r.Behind) > 0 {
			t.Errorf("%s believes a name: %+v", m.name, r)
		}
	}
	same(t, a, b)
	if c, err := b.Check(context.Background(), true); err != nil || c.OK() ||
		len(c.Missing)+len(c.Gaps)+len(c.Lost) > 0 {
		t.Errorf("the check is blinded: %+v, %v", c, err)
	}
	for _, name := range fakes {
		a.must(place.Delete(context.Background(), remote.Name(name)))
	}
	meet(a, b)
	for _, m := range []*machine{a, b} {
		if s, err := m.Status(context.Background()); err != nil || len(s.Bad) > 0 ||
			s.Locked != "" {
			t.Errorf("a flag stands though its cause is gone: %+v, %v", s, err)
		}
	}
	newcomer := newMachine(t, "newcomer", place)
	newcomer.join()
	newcomer.quiet()
	same(t, a, b, newcomer)
}
