package replica

import (
	"context"
	"testing"
	"time"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/object"
	"endsmeet/stash/remote/remotetest"
)

func TestMachinesMeetThroughObjectStores(t *testing.T) {
	remotetest.EachServer(t, func(t *testing.T, s *remotetest.Running) {
		open := func() remote.Remote {
			store, err := object.New(object.Options{Bucket: remotetest.Bucket, Prefix: "stash",
				Endpoint: s.Endpoint})
			if err != nil {
				t.Fatal(err)
			}
			return store
		}
		a, b := newMachine(t, "anneke", open()), newMachine(t, "bo", open())
		a.setup()
		cone := a.receive(a.yarn("Ossentarn cotton"), "Y01", 400)
		a.quiet()
		b.join()
		b.quiet()
		a.use(cone, 80, time.Time{})
		b.use(cone, 50, time.Time{})
		meet(a, b)
		a.holds(cone, 270)
		for range sixteen {
			a.use(cone, 1, time.Time{})
			a.quiet()
		}
		a.clock.at = a.clock.at.Add(2 * time.Hour)
		a.quiet()
		b.quiet()
		newcomer := newMachine(t, "newcomer", open())
		newcomer.join()
		newcomer.quiet()
		same(t, a, b, newcomer)
		b.quiet() // reads what the newcomer has seen
		if r := b.quiet(); r.Requests() != 1 {
			t.Errorf("nothing new took %+v", r.Traffic)
		}
		if c, err := b.Check(context.Background(), true); err != nil || !c.OK() {
			t.Errorf("check: %+v, %v", c, err)
		}
	})
}
