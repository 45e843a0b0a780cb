package importers

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"endsmeet/stash"

	"pgregory.net/rapid"
)

func ids(t testing.TB, o Options, lines ...string) (keys, contents []string) {
	t.Helper()
	good, bad := read(t, gridOf(lines...), o)
	if err := bad.Err(); err != nil {
		t.Fatal(err)
	}
	for _, r := range good {
		keys, contents = append(keys, r.Identity.Key), append(contents, r.Identity.Content)
	}
	return keys, contents
}

func TestIdentity(t *testing.T) {
	key, content := ids(t, Options{}, "name|lot|net (g)", "Wool|7|50")
	for _, c := range []struct {
		name                  string
		lines                 []string
		sameKey, sameContents bool
	}{
		{"the same file", []string{"name|lot|net (g)", "Wool|7|50"}, true, true},
		{"columns moved and renamed", []string{"net (g)|Dye lot|yarn", "50|7|Wool"}, true, true},
		{"numbers written otherwise", []string{"name|lot|net (kg)", "Wool|7|0.050"}, true, true},
		{"rows before it", []string{"name|lot|net (g)", "Silk|1|5", "Wool|7|50"}, true, true},
		{"another mass", []string{"name|lot|net (g)", "Wool|7|45"}, true, false},
		{"a note added", []string{"name|lot|net (g)|notes", "Wool|7|50|soft"}, true, false},
		{"another lot", []string{"name|lot|net (g)", "Wool|8|50"}, false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			keys, contents := ids(t, Options{}, c.lines...)
			last := len(keys) - 1
			if (keys[last] == key[0]) != c.sameKey ||
				(contents[last] == content[0]) != c.sameContents {
				t.Errorf("key the same: %v, want %v; content the same: %v, want %v",
					keys[last] == key[0], c.sameKey, contents[last] == content[0], c.sameContents)
			}
		})
	}
	t.Run("rows alike are told apart by their number", func(t *testing.T) {
		keys, contents := ids(t, Options{}, "name|lot", "Wool|7", "Wool|7")
		if keys[0] == keys[1] || contents[0] != contents[1] {
			t.Error(keys, contents)
		}
	})
	t.Run("a number of its own stands for everything else", func(t *testing.T) {
		a, _ := ids(t, Options{}, "id|name|lot", "Y1|Wool|7")
		b, _ := ids(t, Options{}, "id|name|lot", "y1|Wolle|8")
		if a[0] != b[0] {
			t.Error("the key changed with the name")
		}
	})
	t.Run("collections are kept apart by their scope", func(t *testing.T) {
		a, _ := ids(t, Options{Scope: "mine"}, "id|name", "1|Wool")
		b, _ := ids(t, Options{Scope: "yours"}, "id|name", "1|Wool")
		if a[0] == b[0] {
			t.Error("one key in two scopes")
		}
	})
	t.Run("a number that stands twice is refused", func(t *testing.T) {
		_, bad := read(t, gridOf("id|name", "1|Wool", "1|Silk"), Options{})
		if bad.Rows != 1 || !strings.Contains(bad.Error(), "line 2 has this number already") {
			t.Error(bad)
		}
	})
}

// Whatever the order of the rows, the set of keys is the same, and no two rows
// share one; reading twice gives the same identities.
func TestIdentitiesDoNotHangOnTheOrderOfRows(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 30).Draw(rt, "rows")
		rows := make([]string, n)
		for i := range rows {
			rows[i] = fmt.Sprintf("%s|%d|ball",
				rapid.SampledFrom([]string{"Wool", "Silk", "Flax"}).Draw(rt, "name"),
				rapid.IntRange(0, 2).Draw(rt, "lot"))
		}
		header := "name|lot|form"
		first, _ := ids(t, Options{}, append([]string{header}, rows...)...)
		again, _ := ids(t, Options{}, append([]string{header}, rows...)...)
		shuffled, _ := ids(t, Options{},
			append([]string{header}, rapid.Permutation(rows).Draw(rt, "order")...)...)
		if !slices.Equal(first, again) {
			rt.Fatal("reading twice gives other identities")
		}
		slices.Sort(first)
		slices.Sort(shuffled)
		if !slices.Equal(first, shuffled) || len(slices.Compact(first)) != n {
			rt.Fatalf("keys %v and %v", first, shuffled)
		}
	})
}

// Whatever a column can hold is part of what a row says: a sheet in which only that
// was changed holds a changed row.
func TestEveryColumnIsPartOfWhatARowSays(t *testing.T) {
	said := map[Field]string{FieldID: "7", FieldMaker: "Guild", FieldCountSource: "label",
		FieldLabelMass: "50 g", FieldLabelLength: "125 m", FieldPutUp: "125 m / 50 g",
		FieldPackages: "2", FieldGross: "225 g", FieldNet: "200 g", FieldLength: "500 m",
		FieldDoubt: "5", FieldWeighed: "2024-02", FieldFlags: "latex", FieldCount: "8/2 Ne",
		FieldTare: "25 g"}
	for _, f := range fieldNames() {
		text := said[f]
		if what := fields()[f].what; text == "" && what != "" {
			fact, err := stash.FieldOf(what, string(f))
			if err != nil {
				t.Fatal(err)
			}
			text, _, _ = strings.Cut(fact.Help, " to ")
		}
		if f == FieldName {
			continue // without it there is no row
		}
		bare := one(t, "name|"+string(f), "a|")
		told := one(t, "name|"+string(f), "a|"+text)
		if text == "" || bare.Identity.Content == told.Identity.Content {
			t.Errorf("%s: %q is not part of the row", f, text)
		}
	}
}
