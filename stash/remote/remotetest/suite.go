package remotetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"endsmeet/stash/remote"
)

// Place is one empty shared place, as a part's test sets it up.
type Place struct {
	// Open returns a new client of the place, as another machine would have.
	Open func(t *testing.T) remote.Remote

	// Plant puts data into the place behind the client's back, under a name
	// relative to it that may be outside the grammar.
	Plant func(t *testing.T, name string, data []byte)

	// Sequences is how many random sequences of calls are enough where each
	// call takes long; 0 means as many as rapid runs.
	Sequences int
}

// Run holds a part to the contract. fresh sets up an empty place of its own
// for each rule.
func Run(t *testing.T, fresh func(t *testing.T) Place) {
	for _, rule := range rules {
		t.Run(rule.name, func(t *testing.T) {
			place := fresh(t)
			rule.check(t, fixture{place, place.Open(t), t.Context()})
		})
	}
	t.Run("any sequence of calls agrees with a map", func(t *testing.T) { checkModel(t, fresh) })
}

// fixture is what a rule works on.
type fixture struct {
	place  Place
	remote remote.Remote
	ctx    context.Context
}

var rules = []struct {
	name  string
	check func(*testing.T, fixture)
}{
	{"what was put comes back to the byte, in every size", roundTrip},
	{"a put repeated succeeds and changes nothing", putAgain},
	{"a put puts back what a damaged place holds", putHeals},
	{"what was never put, or was deleted, is not found", notFound},
	{"a name that is only a directory is not found", directoryIsNoObject},
	{"deleting what is not there succeeds", deleteAgain},
	{"a list is sorted, under its prefix and after its mark", listRules},
	{"a list of more than a thousand names is whole", listLong},
	{"an empty place lists nothing", listEmpty},
	{"names that are not ours are ignored and counted", ignoreForeign},
	{"names outside the grammar are refused and touch nothing", refuseNames},
	{"another client sees what was put and what was deleted", secondClient},
	{"a context that is done stops every call", cancelled},
	{"many writers of one name and of many leave each whole", concurrent},
	{"bytes handed over and handed out belong to the caller", ownBytes},
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatalf("%v (hint: %s)", err, HintOf(err))
	}
}

func (f fixture) wantContent(t *testing.T, name remote.Name, want []byte) {
	t.Helper()
	got, err := f.remote.Get(f.ctx, name)
	must(t, err)
	if !bytes.Equal(got, want) {
		t.Fatalf("%s: got %d bytes, want %d, or they differ", name, len(got), len(want))
	}
}

func (f fixture) wantNames(t *testing.T, prefix string, after remote.Name, want ...remote.Name) {
	t.Helper()
	got, err := f.remote.List(f.ctx, prefix, after)
	must(t, err)
	if !slices.Equal(got.Names, want) {
		t.Fatalf("list %q after %q: got %q, want %q", prefix, after, got.Names, want)
	}
	if got.Ignored != 0 || got.Unfinished != 0 {
		t.Fatalf("list %q: %d ignored %q, %d unfinished in an honest place", prefix, got.Ignored,
			got.Examples, got.Unfinished)
	}
}

func wantKind(t *testing.T, err error, want remote.Kind) {
	t.Helper()
	if remote.KindOf(err) != want {
		t.Fatalf("got error %v, want one of kind %q", err, want)
	}
}

// pattern returns n bytes with no short period.
func pattern(n int) []byte {
	data, x := make([]byte, n), uint32(n)+1
	for i := range data {
		x = x*1664525 + 1013904223
		data[i] = byte(x >> 24)
	}
	return data
}

func roundTrip(t *testing.T, f fixture) {
	for _, size := range []int{0, 1, 2, 3, 548, 65_536, 1_048_577, 17_000_000} {
		name := remote.Name(fmt.Sprintf("seg/lane/%d.seg", size))
		must(t, f.remote.Put(f.ctx, name, pattern(size)))
		f.wantContent(t, name, pattern(size))
	}
}

func putAgain(t *testing.T, f fixture) {
	for range 3 {
		must(t, f.remote.Put(f.ctx, "head/a", []byte("same")))
		f.wantContent(t, "head/a", []byte("same"))
	}
	f.wantNames(t, "", "", "head/a")
}

func putHeals(t *testing.T, f fixture) {
	for _, damaged := range []string{"", "sa", "other bytes and more"} {
		f.place.Plant(t, "head/a", []byte(damaged))
		must(t, f.remote.Put(f.ctx, "head/a", []byte("same")))
		f.wantContent(t, "head/a", []byte("same"))
	}
}

func notFound(t *testing.T, f fixture) {
	_, err := f.remote.Get(f.ctx, "head/a")
	wantKind(t, err, remote.NotFound)
	if !errors.Is(err, remote.NotFound) || !strings.Contains(err.Error(), "head/a") {
		t.Fatalf("error %q does not name the object or is not NotFound by errors.Is", err)
	}
	must(t, f.remote.Put(f.ctx, "head/a", []byte("x")))
	must(t, f.remote.Delete(f.ctx, "head/a"))
	_, err = f.remote.Get(f.ctx, "head/a")
	wantKind(t, err, remote.NotFound)
	f.wantNames(t, "", "")
}

func directoryIsNoObject(t *testing.T, f fixture) {
	must(t, f.remote.Put(f.ctx, "seg/lane/1.seg", []byte("x")))
	for _, name := range []remote.Name{"seg", "seg/lane"} {
		_, err := f.remote.Get(f.ctx, name)
		wantKind(t, err, remote.NotFound)
		must(t, f.remote.Delete(f.ctx, name))
	}
	f.wantContent(t, "seg/lane/1.seg", []byte("x"))
}

func deleteAgain(t *testing.T, f fixture) {
	must(t, f.remote.Delete(f.ctx, "no/such/thing"))
	must(t, f.remote.Put(f.ctx, "head/a", []byte("x")))
	must(t, f.remote.Delete(f.ctx, "head/a"))
	must(t, f.remote.Delete(f.ctx, "head/a"))
}

func listRules(t *testing.T, f fixture) {
	for _, name := range []remote.Name{"seg/b/2", "format.json", "head/b", "head/a", "seg/a/1",
		"seg/b/1", "head-2/a", "seg/b.x/1"} {
		must(t, f.remote.Put(f.ctx, name, []byte(name)))
	}
	f.wantNames(t, "", "", "format.json", "head-2/a", "head/a", "head/b", "seg/a/1", "seg/b.x/1",
		"seg/b/1", "seg/b/2")
	f.wantNames(t, "head/", "", "head/a", "head/b")
	f.wantNames(t, "head", "", "head-2/a", "head/a", "head/b")
	f.wantNames(t, "head/", "head/a", "head/b")
	f.wantNames(t, "head/", "head/b")
	f.wantNames(t, "head/", "format.json", "head/a", "head/b") // a mark before all of them
	f.wantNames(t, "seg/b", "", "seg/b.x/1", "seg/b/1", "seg/b/2")
	f.wantNames(t, "seg/b/", "seg/b/1", "seg/b/2")
	f.wantNames(t, "seg/b/", "seg/b/15", "seg/b/2") // a mark that does not exist
	f.wantNames(t, "", "head/b", "seg/a/1", "seg/b.x/1", "seg/b/1", "seg/b/2")
	f.wantNames(t, "keys/", "")
	f.wantNames(t, "head/a", "", "head/a")
}

func listLong(t *testing.T, f fixture) {
	const n = 1_003
	var want []remote.Name
	for i := range n {
		want = append(want, remote.Name(fmt.Sprintf("seg/lane/%06d", i)))
	}
	parallel(t, 8, n, func(i int) error { return f.remote.Put(f.ctx, want[i], []byte("x")) })
	f.wantNames(t, "seg/", "", want...)
	f.wantNames(t, "seg/lane/", want[0], want[1:]...)
	f.wantNames(t, "seg/lane/", want[999], want[1000:]...)
}

func listEmpty(t *testing.T, f fixture) {
	f.wantNames(t, "", "")
	f.wantNames(t, "head/", "")
	f.wantNames(t, "seg/a/b", "seg/a/b")
}

// foreignNames are what syncing services, desktops and people leave behind.
var foreignNames = []string{
	"head/a (conflicted copy 2024-05-01).seg",
	"head/a.sync-conflict-20240501-101010-ABCDEFG",
	"head/desktop.ini~",
	"head/.DS_Store",
	"head/Thumbs.db",
	"head/A",
	"head/a b",
	"head/ünder",
}

func ignoreForeign(t *testing.T, f fixture) {
	must(t, f.remote.Put(f.ctx, "head/a", []byte("x")))
	for _, name := range foreignNames {
		f.place.Plant(t, name, []byte("not ours"))
	}
	f.place.Plant(t, "Desktop.ini", []byte("not ours"))
	got, err := f.remote.List(f.ctx, "head/", "")
	must(t, err)
	if !slices.Equal(got.Names, []remote.Name{"head/a"}) || got.Ignored != len(foreignNames) {
		t.Fatalf("got %q and %d ignored, want head/a and %d", got.Names, got.Ignored,
			len(foreignNames))
	}
	if len(got.Examples) != remote.MaxExamples || !slices.Contains(foreignNames, got.Examples[0]) {
		t.Fatalf("examples %q", got.Examples)
	}
	all, err := f.remote.List(f.ctx, "", "")
	must(t, err)
	if all.Ignored != len(foreignNames)+1 {
		t.Fatalf("whole place: %d ignored, want %d", all.Ignored, len(foreignNames)+1)
	}
}

func refuseNames(t *testing.T, f fixture) {
	for _, name := range []remote.Name{"", "../up", "/abs", "a//b", "Upper", "nul", "trailing.",
		".hidden", "a/", "spa ce", remote.Name(strings.Repeat("a", remote.MaxName))} {
		_, getErr := f.remote.Get(f.ctx, name)
		wantKind(t, getErr, remote.Invalid)
		wantKind(t, f.remote.Put(f.ctx, name, []byte("x")), remote.Invalid)
		wantKind(t, f.remote.Delete(f.ctx, name), remote.Invalid)
		if name != "" {
			_, listErr := f.remote.List(f.ctx, "", name)
			wantKind(t, listErr, remote.Invalid)
		}
	}
	for _, prefix := range []string{"..", "../", "/", "Head/", "a//", "-"} {
		_, err := f.remote.List(f.ctx, prefix, "")
		wantKind(t, err, remote.Invalid)
	}
	f.wantNames(t, "", "")
}

func secondClient(t *testing.T, f fixture) {
	other := fixture{f.place, f.place.Open(t), f.ctx}
	must(t, f.remote.Put(f.ctx, "head/a", []byte("x")))
	other.wantContent(t, "head/a", []byte("x"))
	other.wantNames(t, "head/", "", "head/a")
	must(t, other.remote.Delete(f.ctx, "head/a"))
	f.wantNames(t, "head/", "")
}

func cancelled(t *testing.T, f fixture) {
	ctx, cancel := context.WithCancel(f.ctx)
	cancel()
	_, getErr := f.remote.Get(ctx, "head/a")
	_, listErr := f.remote.List(ctx, "", "")
	for _, err := range []error{f.remote.Put(ctx, "head/a", []byte("x")), getErr, listErr,
		f.remote.Delete(ctx, "head/a")} {
		if !errors.Is(err, context.Canceled) {
			t.Fatalf("got %v, want context canceled", err)
		}
	}
	f.wantNames(t, "", "")
}

func concurrent(t *testing.T, f fixture) {
	same, want := pattern(100_000), []remote.Name{"head/same"}
	for i := range 40 {
		want = append(want, remote.Name(fmt.Sprintf("seg/%c/%02d", 'a'+i%4, i)))
	}
	slices.Sort(want)
	parallel(t, 8, 40, func(i int) error {
		name := want[1+i]
		return errors.Join(f.remote.Put(f.ctx, "head/same", same),
			f.remote.Put(f.ctx, name, []byte(name)))
	})
	f.wantNames(t, "", "", want...)
	f.wantContent(t, "head/same", same)
	for _, name := range want[1:] {
		f.wantContent(t, name, []byte(name))
	}
}

func ownBytes(t *testing.T, f fixture) {
	data := []byte("abc")
	must(t, f.remote.Put(f.ctx, "head/a", data))
	data[0] = 'X'
	got, err := f.remote.Get(f.ctx, "head/a")
	must(t, err)
	got[1] = 'X'
	f.wantContent(t, "head/a", []byte("abc"))
}

// parallel calls work(0) to work(n-1) from several goroutines and fails the
// test if any call fails.
func parallel(t *testing.T, workers, n int, work func(int) error) {
	t.Helper()
	jobs, failed := make(chan int), make(chan error, n)
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for i := range jobs {
				if err := work(i); err != nil {
					failed <- err
				}
			}
		})
	}
	for i := range n {
		jobs <- i
	}
	close(jobs)
	all.Wait()
	close(failed)
	for err := range failed {
		t.Fatal(err)
	}
}

// HintOf returns the hint of the *remote.Error in err's chain, "" without one.
func HintOf(err error) string {
	var own *remote.Error
	if errors.As(err, &own) {
		return own.Hint
	}
	return ""
}
