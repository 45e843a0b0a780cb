package replica

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
)

// operator runs the shared place and has no key of it. It does with the files
// what it likes.
type operator struct {
	chance *rand.Rand
	place  *remotetest.Memory
	old    []map[remote.Name][]byte // what lay there at some times
	did    *deeds
	t      testing.TB
}

func (o *operator) all() map[remote.Name][]byte {
	out := map[remote.Name][]byte{}
	for _, name := range objects(o.t, o.place, "") {
		out[name] = get(o.t, o.place, name)
	}
	return out
}

func (o *operator) any() remote.Name {
	names := objects(o.t, o.place, "")
	return names[o.chance.IntN(len(names))]
}

func (o *operator) remove(name remote.Name) { _ = o.place.Delete(context.Background(), name) }

// falseName is a name of the same form that says something else.
func (o *operator) falseName(name remote.Name) remote.Name {
	text := []byte(name)
	for range 1 + o.chance.IntN(3) {
		at := strings.IndexByte(string(text), '/') + 1 + o.chance.IntN(len(text)-6)
		if at < len(text) && (text[at] >= 'a' && text[at] <= 'z' || text[at] >= '2' &&
			text[at] <= '7') {
			text[at] = "abc234567"[o.chance.IntN(9)]
		}
	}
	return remote.Name(text)
}

// act does one thing to the files.
func (o *operator) act() string {
	name := o.any()
	data := get(o.t, o.place, name)
	kinds := []string{"add", "remove", "remove", "rename", "repeat", "truncate", "empty", "swap",
		"roll back", "roll back one", "remove many", "remember"}
	what := kinds[o.chance.IntN(len(kinds))]
	switch what {
	case "add":
		o.place.Plant(string(o.falseName(name)), []byte("anything"))
	case "remove":
		o.remove(name)
	case "remove many":
		for range 1 + o.chance.IntN(6) {
			o.remove(o.any())
			if len(objects(o.t, o.place, "")) == 0 {
				break
			}
		}
	case "rename":
		o.remove(name)
		o.place.Plant(string(o.falseName(name)), data)
	case "repeat":
		o.place.Plant(string(o.falseName(name)), data)
	case "truncate":
		o.place.Plant(string(name), data[:o.chance.IntN(len(data)+1)])
	case "empty":
		o.place.Plant(string(name), nil)
	case "swap":
		other := o.any()
		theirs := get(o.t, o.place, other)
		o.place.Plant(string(name), theirs)
		o.place.Plant(string(other), data)
	case "roll back":
		o.rollBack()
	case "roll back one":
		if len(o.old) > 0 {
			for was, data := range o.old[o.chance.IntN(len(o.old))] {
				o.place.Plant(string(was), data)
				break
			}
		}
	case "remember":
		o.old = append(o.old, o.all())
	}
	o.did.add(what, 1)
	return what
}

func (o *operator) rollBack() {
	if len(o.old) == 0 {
		return
	}
	for name := range o.all() {
		o.remove(name)
	}
	for name, data := range o.old[o.chance.IntN(len(o.old))] {
		o.place.Plant(string(name), data)
	}
}

// underOperator is a history in which an operator without keys runs the place.
func underOperator(t *testing.T, seed uint64, did *deeds) {
	chance := rand.New(rand.NewPCG(seed, 21))
	place := remotetest.NewMemory()
	h := &history{t: t, chance: chance, did: did, under: place}
	for i := range 2 + chance.IntN(3) {
		h.addMachine(fmt.Sprintf("m%d", i), false, "")
	}
	first := h.machines[0]
	first.setup()
	h.yarns = append(h.yarns, first.yarn("Ossentarn cotton"))
	h.packages = append(h.packages, first.receive(h.yarns[0], "Y01", 900))
	first.sync()
	for _, m := range h.machines[1:] {
		m.join()
		m.sync()
	}
	o := &operator{chance: chance, place: place, did: did, t: t}
	formatFile := get(t, place, format.FileName)
	defer func() {
		if t.Failed() {
			t.Logf("seed %d\n%s", seed, strings.Join(h.log, "\n"))
		}
	}()
	o.old = append(o.old, o.all())
	for range 10 + chance.IntN(20) {
		m := h.any()
		switch n := chance.IntN(10); {
		case n < 3:
			h.edit(m)
		case n < 7:
			h.tryExchange(m)
		default:
			h.note("operator: %s", o.act())
			if len(objects(t, place, "")) == 0 {
				place.Plant(string(format.FileName), formatFile)
			}
		}
	}
	h.honestAgain(place, formatFile)
}

// tryExchange syncs; a refusal changes nothing here.
func (h *history) tryExchange(m *machine) bool {
	r, err := m.Sync(context.Background())
	h.note("%s sync: received %d sent %d put back %d bad %d gaps %v later %d: %v", m.name,
		r.Received, r.Sent, r.PutBack, len(r.Bad), r.Gaps, len(r.Later), err)
	if err != nil && stash.CodeOf(err) != exchange.CodePlace &&
		stash.CodeOf(err) != stash.CodeRefused &&
		stash.CodeOf(err) != stash.CodeNewer {
		h.t.Fatalf("%s: %v", m.name, err)
	}
	return err == nil && len(r.Gaps) == 0
}

// honestAgain has the operator keep what is put from now on. Nobody does
// anything but sync, and all come to hold what any of them recorded.
func (h *history) honestAgain(place *remotetest.Memory, formatFile []byte) {
	want := map[stash.EventID]bool{}
	for _, m := range h.machines {
		for id := range events(m) {
			want[id] = true
		}
		m.clock.at = m.clock.at.Add(2 * exchange.LookEvery)
	}
	h.note("honest")
	for range 4 {
		for _, m := range h.machines {
			if !h.tryExchange(m) && !slices.Contains(objects(h.t, place, ""), format.FileName) {
				// it was emptied of all that shows what it is
				place.Plant(string(format.FileName), formatFile)
			}
		}
	}
	newcomer := newMachine(h.t, "newcomer", place)
	newcomer.join()
	for range 2 { // it says what it lacks, and the others put that back
		h.tryExchange(newcomer)
		for _, m := range h.machines {
			h.tryExchange(m)
		}
	}
	if r := newcomer.sync(); len(r.Gaps) > 0 {
		h.t.Errorf("the newcomer lacks %+v", r.Gaps)
	}
	same(h.t, append(slices.Clone(h.machines), newcomer)...)
	if got := events(newcomer); len(got) != len(want) {
		h.t.Errorf("%d events, want %d", len(got), len(want))
	}
	for _, m := range h.machines {
		if r := m.sync(); len(r.Gaps)+len(r.Behind) > 0 || r.Locked != "" {
			h.t.Errorf("%s keeps a flag: %+v", m.name, r)
		}
	}
}

func TestAStoreOperatorWithoutKeysCanOnlyDelay(t *testing.T) {
	t.Parallel()
	histories := number("ENDSMEET_OPERATOR", 30)
	if os.Getenv("ENDSMEET_LONG") != "" {
		histories = 10_000
	}
	did := &deeds{count: map[string]int{}}
	t.Run("history", func(t *testing.T) {
		for i := range histories {
			seed := number("ENDSMEET_SEED", 1) + i
			t.Run(fmt.Sprintf("seed %d", seed), func(t *testing.T) {
				t.Parallel()
				underOperator(t, seed, did)
			})
		}
	})
	for _, what := range []string{"add", "remove", "rename", "repeat", "truncate", "swap",
		"roll back"} {
		if did.count[what] == 0 {
			t.Errorf("in %d histories there was no %s", histories, what)
		}
	}
	t.Logf("%d histories: %v", histories, did.count)
}
