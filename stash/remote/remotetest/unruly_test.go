package remotetest_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
)

func TestUnrulyWithoutOddsKeepsTheContract(t *testing.T) {
	remotetest.Run(t, func(*testing.T) remotetest.Place {
		m := remotetest.NewMemory()
		return remotetest.Place{
			Open: func(*testing.T) remote.Remote {
				return remotetest.NewUnruly(m, nil, rand.New(rand.NewPCG(1, 1)))
			},
			Plant: func(_ *testing.T, name string, data []byte) { m.Plant(name, data) },
		}
	})
}

// always returns an unruly place that makes one trouble at every chance, with
// one object put through it, and the memory underneath.
func always(t *testing.T, trouble remotetest.Trouble) (*remotetest.Unruly, *remotetest.Memory) {
	m := remotetest.NewMemory()
	must(t, m.Put(t.Context(), "head/old", []byte("old content")))
	return remotetest.NewUnruly(m, remotetest.Evenly(1000, trouble), rand.New(rand.NewPCG(7, 7))), m
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// names lists a place.
func names(t *testing.T, r remote.Remote) []remote.Name {
	t.Helper()
	found, err := r.List(t.Context(), "", "")
	must(t, err)
	return found.Names
}

func TestEachPutTroubleDoesWhatItSays(t *testing.T) {
	for _, c := range []struct {
		trouble    remotetest.Trouble
		fails      bool
		now, later int // bytes stored at once and after Settle; -1 none, -2 fewer than all
	}{
		{remotetest.PutFails, true, -1, -1},
		{remotetest.PutStoredFails, true, 11, 11},
		{remotetest.PutLate, true, -1, 11},
		{remotetest.PutLost, false, -1, -1},
		{remotetest.PutCut, false, -2, -2},
	} {
		t.Run(string(c.trouble), func(t *testing.T) {
			u, m := always(t, c.trouble)
			err := u.Put(t.Context(), "head/new", []byte("new content"))
			if (remote.KindOf(err) == remote.Retry) != c.fails {
				t.Fatalf("error %v, want one: %v", err, c.fails)
			}
			wantStored(t, m, c.now)
			must(t, u.Settle(t.Context()))
			wantStored(t, m, c.later)
			if u.Did()[c.trouble] != 1 {
				t.Fatalf("counted %d times", u.Did()[c.trouble])
			}
		})
	}
}

func wantStored(t *testing.T, m *remotetest.Memory, want int) {
	t.Helper()
	data, err := m.Get(t.Context(), "head/new")
	got := len(data)
	if err != nil {
		got = -1
	} else if got < len("new content") {
		got = -2
	}
	if got != want {
		t.Fatalf("stored %d, want %d", got, want)
	}
}

func TestEachReadAndDeleteTroubleDoesWhatItSays(t *testing.T) {
	u, _ := always(t, remotetest.GetFails)
	if _, err := u.Get(t.Context(), "head/old"); remote.KindOf(err) != remote.Retry {
		t.Fatal(err)
	}
	u, _ = always(t, remotetest.GetGone)
	if _, err := u.Get(t.Context(), "head/old"); remote.KindOf(err) != remote.NotFound {
		t.Fatal(err)
	}
	u, _ = always(t, remotetest.GetCut)
	if data, err := u.Get(t.Context(), "head/old"); err != nil || len(data) >= 11 ||
		!bytes.HasPrefix([]byte("old content"), data) {
		t.Fatalf("%q, %v", data, err)
	}
	for trouble, left := range map[remotetest.Trouble]int{remotetest.DeleteFails: 1,
		remotetest.DeleteDone: 0} {
		u, m := always(t, trouble)
		if err := u.Delete(t.Context(), "head/old"); remote.KindOf(err) != remote.Retry ||
			len(names(t, m)) != left {
			t.Fatalf("%s: %v, %d left", trouble, err, len(names(t, m)))
		}
	}
}

func TestEachListTroubleDoesWhatItSays(t *testing.T) {
	u, _ := always(t, remotetest.ListFails)
	if _, err := u.List(t.Context(), "", ""); remote.KindOf(err) != remote.Retry {
		t.Fatal(err)
	}
	u, _ = always(t, remotetest.ListLate)
	must(t, u.Put(t.Context(), "head/new", nil))
	shown := 0
	for range 20 { // late, but not for ever
		if slices.Contains(names(t, u), "head/new") {
			shown++
		}
	}
	if shown == 0 || shown == 20 {
		t.Fatalf("the late name was shown %d of 20 times", shown)
	}
	u, _ = always(t, remotetest.ListStale)
	must(t, u.Delete(t.Context(), "head/old"))
	if got := names(t, u); !slices.Equal(got, []remote.Name{"head/old"}) {
		t.Fatalf("stale: %q", got)
	}
	u, _ = always(t, remotetest.ListRepeats)
	if got := names(t, u); !slices.Equal(got, []remote.Name{"head/old", "head/old"}) {
		t.Fatalf("repeats: %q", got)
	}
	u, _ = always(t, remotetest.ListLacks)
	if got := names(t, u); len(got) != 0 {
		t.Fatalf("lacks: %q", got)
	}
	u, _ = always(t, remotetest.ListBreaks)
	for i := range 1002 {
		must(t, u.Put(t.Context(), remote.Name(fmt.Sprintf("seg/%04d", i)), nil))
	}
	if got := names(t, u); len(got) != 1000 {
		t.Fatalf("breaks: %d names", len(got))
	}
}

// TestSameChanceMakesTheSameTrouble lets a failing history be run again.
func TestSameChanceMakesTheSameTrouble(t *testing.T) {
	run := func(seed uint64) (string, map[remotetest.Trouble]int) {
		u := remotetest.NewUnruly(remotetest.NewMemory(), remotetest.Evenly(150, remotetest.All...),
			rand.New(rand.NewPCG(seed, 0)))
		var log string
		for i := range 600 {
			name := remote.Name(fmt.Sprintf("seg/%d", i*7%40))
			_, getErr := u.Get(t.Context(), name)
			found, listErr := u.List(t.Context(), "seg/", "")
			log += fmt.Sprint(u.Put(t.Context(), name, []byte("content")), getErr, found.Names,
				listErr)
			if i%3 == 0 {
				log += fmt.Sprint(u.Delete(t.Context(), name))
			}
		}
		return log, u.Did()
	}
	first, did := run(1)
	second, again := run(1)
	other, _ := run(2)
	if first != second || !reflect.DeepEqual(did, again) || first == other {
		t.Fatal("troubles do not depend on chance alone, or not on it at all")
	}
	for _, trouble := range remotetest.All {
		if did[trouble] == 0 && trouble != remotetest.ListBreaks {
			t.Errorf("%q never happened", trouble)
		}
	}
}
