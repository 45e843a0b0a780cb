package replica

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// vaultOf reads what a machine knows of the vault.
func (m *machine) vaultOf() (v *exchange.Membership) {
	m.t.Helper()
	m.view(func(tx *sqlite.Tx) (err error) {
		v, _, err = exchange.LoadMembership(tx)
		return err
	})
	return v
}

// objects gives the names that lie in a place under a prefix.
func objects(t testing.TB, place remote.Remote, prefix string) []remote.Name {
	t.Helper()
	found, err := place.List(context.Background(), prefix, "")
	if err != nil {
		t.Fatal(err)
	}
	return found.Names
}

func get(t testing.TB, place remote.Remote, name remote.Name) []byte {
	t.Helper()
	data, err := place.Get(context.Background(), name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// damaged puts another content under the name of an object.
func damaged(place *remotetest.Memory, name remote.Name, data []byte) {
	place.Plant(string(name), data)
}

func TestEveryFlippedBitAndEveryTruncationIsNamedAndChangesNothing(t *testing.T) {
	place := remotetest.NewMemory()
	a := newMachine(t, "anneke", place)
	a.setup()
	cone := a.receive(a.yarn("Ossentarn cotton"), "Y01", 400)
	a.use(cone, 10, time.Time{})
	a.quiet()
	b := newMachine(t, "bo", place)
	b.join()
	before := b.ledger()
	v := b.vaultOf()
	tried := map[string]int{}
	for _, prefix := range []string{format.SegmentPrefix, format.HeadPrefix,
		format.DevicePrefix, format.KeyPrefix} {
		for _, name := range objects(t, place, prefix) {
			good := get(t, place, name)
			for i := range damages(good) {
				data := damage(good, i)
				if step := look(v, name, data); step == "" {
					t.Fatalf("%s: damage %d is not noticed", name, i)
				}
				tried[prefix]++
			}
		}
	}
	for _, prefix := range []string{format.SegmentPrefix, format.HeadPrefix,
		format.DevicePrefix, format.KeyPrefix} {
		if tried[prefix] == 0 {
			t.Errorf("nothing under %s was damaged", prefix)
		}
	}
	// What a sync makes of it: the object is named, nothing comes in.
	seg := objects(t, place, format.SegmentPrefix)[0]
	good := get(t, place, seg)
	for _, i := range []int{0, 1600, 8 * 200, 8*len(good) - 1, 8*len(good) + 1,
		8*len(good) + len(good) - 1} {
		damaged(place, seg, damage(good, i))
		r, err := b.Sync(context.Background())
		b.must(err)
		if len(r.Bad) != 1 || r.Bad[0].Name != seg || r.Received != 0 || len(r.Gaps) != 1 {
			t.Errorf("damage %d of a segment: %+v", i, r)
		}
		if b.ledger() != before {
			t.Fatal("a damaged segment changed the ledger")
		}
	}
	damaged(place, seg, good)
	if r := b.quiet(); r.Received != 3 {
		t.Errorf("after the segment was put back %d events came in", r.Received)
	}
	b.holds(cone, 390)
	b.view(func(tx *sqlite.Tx) error {
		bad, err := tx.Quarantined()
		if len(bad) != 0 {
			t.Errorf("still held back: %v", bad)
		}
		return err
	})
}

// damages is how many ways there are to flip one bit or to cut.
func damages(good []byte) int { return 8*len(good) + len(good) }

func damage(good []byte, i int) []byte {
	if i >= 8*len(good) {
		return good[:i-8*len(good)]
	}
	data := slices.Clone(good)
	data[i/8] ^= 1 << (i % 8)
	return data
}

// look verifies an object of any kind and gives the check that it failed.
func look(v *exchange.Membership, name remote.Name, data []byte) format.Step {
	var err error
	switch {
	case strings.HasPrefix(string(name), format.SegmentPrefix):
		_, err = v.Unseal(name, data)
	case strings.HasPrefix(string(name), format.HeadPrefix):
		_, err = v.OpenHead(name, data)
	case strings.HasPrefix(string(name), format.DevicePrefix):
		n, _ := format.ParseDevice(name)
		_, err = v.OpenDevice(n, data)
	default:
		n, _ := format.ParseKey(name)
		_, _, err = format.Unwrap(n, data, nil)
	}
	return format.StepOf(err)
}
