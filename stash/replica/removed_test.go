package replica

import (
	"context"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

func TestARemovedMachineIsShutOutAndTheOthersGoOn(t *testing.T) {
	ctx := context.Background()
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	a, b, lost := machines[0], machines[1], machines[2]
	lost.must(lost.Rename(ctx, "this", "lost laptop"))
	lost.yarn("in time")
	lost.quiet()
	b.quiet()
	if _, err := a.Remove(ctx, "lost laptop", phrase); err == nil {
		t.Error("the old pass-phrase is taken for the new one")
	}
	const next = "a heddle too far north"
	done, err := a.Remove(ctx, "lost laptop", next)
	a.must(err)
	if done.Machine.Name != "lost laptop" || done.Code == "" {
		t.Errorf("removed %+v", done)
	}
	lost.yarn("too late")
	if r, err := lost.Sync(ctx); err != nil || r.Locked == "" {
		t.Errorf("the removed machine is not told: %+v, %v", r, err)
	}
	b.yarn("meanwhile")
	meetLoosely(a, b)
	if v := b.vaultOf(); v.Current().Name != a.vaultOf().Current().Name {
		t.Error("the machine that stays has not got the new key")
	}
	same(t, a, b)
	for id := range events(b) {
		if !events(a)[id] {
			t.Error("an event is missing")
		}
	}
	if r := b.sync(); len(r.Shut) == 0 {
		t.Errorf("that the removed machine still writes is not said: %+v", r)
	}
	checkLocked(t, place, lost.vaultOf(), a.vaultOf())
	newcomer := newMachine(t, "newcomer", place)
	if err := newcomer.Join(ctx, "there", phrase, ""); stash.CodeOf(err) != exchange.CodeSecret {
		t.Errorf("the old pass-phrase opens: %v", err)
	}
	newcomer.must(newcomer.Join(ctx, "there", next, ""))
	newcomer.sync()
	meetLoosely(a, b, newcomer)
	same(t, a, b, newcomer)
	for _, m := range []*machine{a, b, newcomer} {
		m.view(func(tx *sqlite.Tx) error {
			bad, err := tx.Quarantined()
			if len(bad) > 0 {
				t.Errorf("%s holds back %v, which was good once", m.name, bad)
			}
			return err
		})
	}
	if got := len(events(newcomer)); got != 3+1+1 {
		t.Errorf("the newcomer holds %d events, want 5: all but the one that came too late", got)
	}
	if c, err := newcomer.Check(ctx, true); err != nil ||
		len(c.Missing)+len(c.Gaps)+len(c.Lost) > 0 {
		t.Errorf("check: %+v, %v", c, err)
	}
}

func checkLocked(t *testing.T, place *remotetest.Memory, old, now *exchange.Membership) {
	t.Helper()
	latest, newSegments := *now, 0
	latest.Epochs = now.Epochs[len(now.Epochs)-1:]
	for _, name := range objects(t, place, format.SegmentPrefix) {
		data := get(t, place, name)
		if _, err := latest.Unseal(name, data); err != nil {
			continue // of before
		}
		newSegments++
		if _, err := old.Unseal(name, data); format.StepOf(err) != format.StepKey {
			t.Errorf("%s: the removed machine gets %v", name, err)
		}
	}
	if newSegments == 0 {
		t.Error("nothing was sealed with the new key")
	}
}

func TestARemovedMachineThatIsLetInAgainGoesOnUnderANewLane(t *testing.T) {
	ctx := context.Background()
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	a, b, back := machines[0], machines[1], machines[2]
	back.must(back.Rename(ctx, "this", "kitchen"))
	const next = "a heddle too far north"
	_, err := a.Remove(ctx, "kitchen", next)
	a.must(err)
	back.yarn("too late")
	if r := back.sync(); r.Locked == "" || r.Sent != 1 {
		t.Errorf("the removed machine: %+v", r)
	}
	back.yarn("later still")
	lane, secret := back.lane(), back.secret()
	back.must(back.Leave(ctx, true))
	back.must(back.Join(ctx, "there", next, ""))
	if back.lane() == lane || back.secret() == secret {
		t.Error("it goes on under the lane or with the secret that was shut out")
	}
	back.sync()
	back.yarn("under the new lane")
	meetLoosely(a, b, back)
	same(t, a, b, back)
	if n := len(events(b)); n != 6 {
		t.Errorf("%d events, want 6: with what it wrote while it was shut out", n)
	}
	for _, m := range machines {
		if r := m.sync(); len(r.Gaps)+len(r.Bad)+len(r.Twins) > 0 || r.Locked != "" {
			t.Errorf("%s is not at rest: %+v", m.name, r)
		}
		if c, err := m.Check(ctx, true); err != nil || !c.OK() {
			t.Errorf("%s: check: %+v, %v", m.name, c, err)
		}
	}
	_, err = a.Remove(ctx, string(back.lane()[:8]), "weft and warp apart")
	a.must(err)
	if r := back.sync(); r.Locked == "" {
		t.Error("it cannot be removed a second time")
	}
}

func (m *machine) secret() string {
	m.t.Helper()
	secret, err := m.store.DeviceSecret(func() (string, error) { return "", nil })
	m.must(err)
	return secret
}

func TestWhoWasShutOutIsToldSoAndFindsNoDamage(t *testing.T) {
	ctx := context.Background()
	machines := several(t, 3, remotetest.NewMemory())
	a, b, lost := machines[0], machines[1], machines[2]
	_, err := a.Remove(ctx, string(lost.lane()[:8]), "a heddle too far north")
	a.must(err)
	b.must(b.Meet(ctx)) // before it has synced: it gets the key
	if v := b.vaultOf(); v.Current().Name != a.vaultOf().Current().Name {
		t.Error("looking who is there does not find the new key")
	}
	c, err := lost.Check(ctx, true)
	lost.must(err)
	if c.Locked == 0 || len(c.Bad) > 0 {
		t.Errorf("the removed machine finds %+v", c)
	}
	s, err := lost.Status(ctx)
	lost.must(err)
	if s.Locked == "" || len(s.Bad) > 0 {
		t.Errorf("status of the removed machine: %+v", s)
	}
}

func TestARemovedMachineCannotBringInAnother(t *testing.T) {
	ctx := context.Background()
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	a, b, lost := machines[0], machines[1], machines[2]
	_, err := a.Remove(ctx, string(lost.lane()[:8]), "a heddle too far north")
	a.must(err)
	accomplice := newMachine(t, "accomplice", place)
	v := lost.vaultOf()
	code, err := lost.Invite(ctx) // under the old key
	lost.must(err)
	if err := accomplice.Join(ctx, "there", code, ""); stash.CodeOf(err) != exchange.CodeSecret {
		t.Errorf("an invitation under the old key opens: %v", err)
	}
	accomplice.yarn("smuggled")
	signers, err := accomplice.store.Signers()
	accomplice.must(err)
	n, data, err := v.SealDevice(format.Device{Lane: signers[0].Lane, Key: signers[0].Public(),
		Name: "accomplice"}, signers[0])
	a.must(err)
	place.Plant(string(n.Name()), data)
	meetLoosely(a, b)
	for _, m := range []*machine{a, b} {
		if _, known := m.vaultOf().Device(signers[0].Lane); known {
			t.Errorf("%s knows a machine that a removed one brought in", m.name)
		}
	}
}

func TestWhatARemovedMachineWroteInTimeIsVouchedForByWhoHasIt(t *testing.T) {
	ctx := context.Background()
	machines := several(t, 3, remotetest.NewMemory())
	a, b, lost := machines[0], machines[1], machines[2]
	a.fault = func(p exchange.Point) {
		if p == exchange.PointRekeying { // too late for the one who removes, in time for the other
			lost.yarn("just in time")
			lost.sync()
			b.sync()
		}
	}
	_, err := a.Remove(ctx, string(lost.lane()[:8]), "a heddle too far north")
	a.must(err)
	a.fault = nil
	meetLoosely(b, a)
	same(t, a, b)
	if n := len(events(a)); n != 4 {
		t.Errorf("%d events, want 4: one that a machine that stays had taken in is lost", n)
	}
}

func TestTwoRemovalsAtOnceAreSaid(t *testing.T) {
	ctx := context.Background()
	machines := several(t, 4, remotetest.NewMemory())
	a, b, x, y := machines[0], machines[1], machines[2], machines[3]
	a.fault = func(p exchange.Point) {
		if p != exchange.PointRekeying {
			return
		}
		a.fault = nil
		_, err := b.Remove(ctx, string(y.lane()[:8]), "weft and warp apart")
		b.must(err)
	}
	_, err := a.Remove(ctx, string(x.lane()[:8]), "a heddle too far north")
	a.must(err)
	meetLoosely(a, b)
	for _, m := range []*machine{a, b} {
		if r := m.sync(); !r.TwoKeys {
			t.Errorf("%s does not say that there are two keys", m.name)
		}
		if v := m.vaultOf(); len(v.Removed) != 2 {
			t.Errorf("%s knows of %d removals", m.name, len(v.Removed))
		}
	}
	a.yarn("goes on")
	meetLoosely(a, b)
	same(t, a, b)
}

func TestAKeyMadeByARemovedMachineIsNotTaken(t *testing.T) {
	ctx := context.Background()
	machines := several(t, 3, remotetest.NewMemory())
	a, b, lost := machines[0], machines[1], machines[2]
	_, err := a.Remove(ctx, string(lost.lane()[:8]), "a heddle too far north")
	a.must(err)
	meetLoosely(a, b)
	good := b.vaultOf().Current().Name
	_, err = lost.Remove(ctx, string(a.lane()[:8]), "now I am in charge")
	lost.must(err)
	r := b.sync()
	if v := b.vaultOf(); v.Current().Name != good || len(v.Removed) != 1 {
		t.Errorf("a key of a removed machine was taken: %v, removed %v", v.Current().Name,
			v.Removed)
	}
	if len(r.Bad) == 0 && len(r.Shut) == 0 {
		t.Errorf("and nobody says so: %+v", r)
	}
	a.yarn("goes on")
	meetLoosely(a, b)
	same(t, a, b)
}
