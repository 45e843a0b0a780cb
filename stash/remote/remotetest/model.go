package remotetest

import (
	"bytes"
	"maps"
	"slices"
	"strings"
	"testing"

	"endsmeet/stash/remote"
	"pgregory.net/rapid"
)

// modelNames are the names that the random sequences use: few, so that they
// meet, and none the directory of another.
var modelNames = []remote.Name{"format.json", "head/a", "head/a-1", "head/b", "heads/a", "seg/a/1",
	"seg/a/10", "seg/a/2", "seg/a.b/1", "seg/b/1"}

// modelPrefixes are prefixes of those, of none and of all.
var modelPrefixes = []string{"", "f", "head", "head/", "head/a", "seg/", "seg/a", "seg/a/",
	"seg/a/1", "keys/"}

// checkModel runs random sequences of calls against a map.
func checkModel(t *testing.T, fresh func(*testing.T) Place) {
	place := fresh(t)
	r, run := place.Open(t), 0
	rapid.Check(t, func(rt *rapid.T) {
		run++
		if place.Sequences > 0 && run > place.Sequences {
			return
		}
		m := model{r: r, t: rt, want: map[remote.Name][]byte{}}
		for _, name := range modelNames { // the place is used again: empty it
			m.ok(r.Delete(t.Context(), name))
		}
		rt.Repeat(map[string]func(*rapid.T){"put": m.put, "delete": m.delete, "get": m.get,
			"list": m.list})
	})
	if run == 0 {
		t.Fatal("no sequence was tried")
	}
}

// model is the map that a place has to agree with.
type model struct {
	r    remote.Remote
	t    *rapid.T
	want map[remote.Name][]byte
}

func (m *model) ok(err error) {
	if err != nil {
		m.t.Fatalf("%v", err)
	}
}

func (m *model) put(t *rapid.T) {
	name := rapid.SampledFrom(modelNames).Draw(t, "name")
	data := rapid.SliceOfN(rapid.Byte(), 0, 300).Draw(t, "data")
	m.ok(m.r.Put(t.Context(), name, data))
	m.want[name] = data
}

func (m *model) delete(t *rapid.T) {
	name := rapid.SampledFrom(modelNames).Draw(t, "name")
	m.ok(m.r.Delete(t.Context(), name))
	delete(m.want, name)
}

func (m *model) get(t *rapid.T) {
	name := rapid.SampledFrom(modelNames).Draw(t, "name")
	got, err := m.r.Get(t.Context(), name)
	want, there := m.want[name]
	if !there {
		if remote.KindOf(err) != remote.NotFound {
			t.Fatalf("get %s: %v, want not found", name, err)
		}
		return
	}
	m.ok(err)
	if !bytes.Equal(got, want) {
		t.Fatalf("get %s: %x, want %x", name, got, want)
	}
}

func (m *model) list(t *rapid.T) {
	prefix := rapid.SampledFrom(modelPrefixes).Draw(t, "prefix")
	after := rapid.SampledFrom(append([]remote.Name{""}, modelNames...)).Draw(t, "after")
	got, err := m.r.List(t.Context(), prefix, after)
	m.ok(err)
	var want []remote.Name
	for _, name := range slices.Sorted(maps.Keys(m.want)) {
		if strings.HasPrefix(string(name), prefix) && name > after {
			want = append(want, name)
		}
	}
	if !slices.Equal(got.Names, want) {
		t.Fatalf("list %q after %q: %q, want %q", prefix, after, got.Names, want)
	}
}
