package sqlite_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

// calledRecord is a record as the rule of finding sees it.
type calledRecord struct {
	id, tag, name string
	live          bool
}

// plainMatch is the rule of finding, said of records that lie side by side: by
// exact tag, id or name, else by the beginning of one, else by words within.
func plainMatch(query string, all []calledRecord) []string {
	q := stash.Fold(query)
	label := func(r calledRecord) bool {
		id, found := strings.CutPrefix(q, stash.Fold(r.tag)+"/")
		return found && r.tag != "" && len(id) >= 4 && strings.HasPrefix(r.id, id)
	}
	steps := []func(calledRecord) bool{
		func(r calledRecord) bool { return stash.Fold(r.tag) == q || r.id == q || label(r) },
		func(r calledRecord) bool { return stash.Fold(r.name) == q },
		func(r calledRecord) bool { return strings.HasPrefix(stash.Fold(r.tag), q) },
		func(r calledRecord) bool { return len(q) >= 3 && strings.HasPrefix(r.id, q) },
		func(r calledRecord) bool { return strings.HasPrefix(stash.Fold(r.name), q) },
		func(r calledRecord) bool {
			return !slices.ContainsFunc(strings.Fields(q),
				func(word string) bool { return !strings.Contains(stash.Fold(r.name), word) })
		},
	}
	for _, step := range steps {
		for _, live := range []bool{true, false} {
			var ids []string
			for _, r := range all {
				if r.live == live && step(r) {
					ids = append(ids, r.id)
				}
			}
			if q != "" && len(ids) > 0 {
				return ids
			}
		}
	}
	return nil
}

// A look into the indices finds what the rule of finding picks out of all records.
func TestWhatIsFoundIsWhatTheRulePicks(t *testing.T) {
	names := []string{"Oat", "oat 1", "OAT slate", "Ämsel", "slate oat", "a/b", "o", "Oat 10"}
	tags := []string{"", "", "O1", "o10", "ä2", "oat", "S/1", "s"}
	queries := []string{"oat", "o", "O1", "o10", "ä", "ÄMSEL", "slate oat", "oat sl", "s/1", "a",
		"b", "pack", "yar", " ", "S/1/pack", "oat/pack", "o1/packa", "zz", "package0001",
		"yarn00001"}
	rapid.Check(t, func(rt *rapid.T) {
		s, err := stashtest.Open(t.TempDir()+"/stash.db", "one",
			rapid.Uint64Range(1, 1<<30).Draw(rt, "seed"))
		if err != nil {
			rt.Fatal(err)
		}
		defer s.Close()
		yarns, packages := recordNamed(rt, s, names, tags)
		query := rapid.SampledFrom(queries).Draw(rt, "query")
		var found []string
		var foundYarn string
		_ = s.View(ctx, func(tx *sqlite.Tx) error {
			ids, _ := tx.FindPackages(query)
			for _, id := range ids {
				found = append(found, string(id))
			}
			y, _ := tx.FindYarn(query)
			foundYarn = string(y.ID)
			return nil
		})
		if want := plainMatch(query, packages); !slices.Equal(found, want) {
			rt.Errorf("packages called %q: %q, want %q of %+v", query, found, want, packages)
		}
		if want := plainMatch(query, yarns); len(want) == 1 && foundYarn != want[0] ||
			len(want) != 1 && foundYarn != "" {
			rt.Errorf("yarn called %q: %q, want %q of %+v", query, foundYarn, want, yarns)
		}
	})
}

// recordNamed records some yarns and packages, some of them retired since.
func recordNamed(t *rapid.T, s *stashtest.Replica, names, tags []string) (yarns,
	packages []calledRecord) {
	var drafts []stash.Draft
	for i := range rapid.IntRange(1, 3).Draw(t, "yarns") {
		y := calledRecord{id: "yarn0000" + string(rune('1'+i)),
			name: rapid.SampledFrom(names).Draw(t, "name"), live: true}
		yarns = append(yarns, y)
		drafts = append(drafts, stash.Draft{Kind: stash.KindYarn, Of: stash.Subject(y.id),
			Body: stash.Set{What: stash.WhatYarn,
				Fields: stash.Fields{"name": stashtest.JSON(y.name)}}})
	}
	for i := range rapid.IntRange(1, 5).Draw(t, "packages") {
		of := rapid.SampledFrom(yarns).Draw(t, "of")
		p := calledRecord{id: "package000" + string(rune('1'+i)),
			tag: rapid.SampledFrom(tags).Draw(t, "tag"), name: of.name,
			live: rapid.Bool().Draw(t, "live")}
		packages = append(packages, p)
		fields := stash.Fields{"yarn": stashtest.JSON(of.id), "tag": stashtest.JSON(p.tag)}
		drafts = append(drafts, stash.Draft{Kind: stash.KindReceive, Of: stash.Subject(p.id),
			Body: stash.Receive{Fields: fields}})
		if !p.live {
			drafts = append(drafts, stash.Draft{Kind: stash.KindRetire, Of: stash.Subject(p.id),
				Body: stash.Movement{}})
		}
	}
	err := s.Act(ctx, func(tx *sqlite.Tx) error {
		for _, d := range drafts {
			if _, err := tx.Record(d); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return yarns, packages
}

// One tag or name is found without reading those of all others: every step but that
// of words within a name goes by an index.
func TestAnExactNameIsFoundByAnIndex(t *testing.T) {
	s := newStore(t)
	steps := sqlite.IndexedSteps()
	if len(steps) < 8 {
		t.Fatal("no steps found")
	}
	for _, step := range steps {
		rows, err := s.Pool().QueryContext(ctx, "EXPLAIN QUERY PLAN "+step, "q", "r", "", "", "",
			"[]", "package", true)
		if err != nil {
			t.Fatal(err)
		}
		seen := 0
		for rows.Next() {
			var id, parent, none int
			var detail string
			if err := rows.Scan(&id, &parent, &none, &detail); err != nil {
				t.Fatal(err)
			}
			seen++
			if strings.HasPrefix(detail, "SCAN") || strings.Contains(detail, "view_what") {
				t.Errorf("%s: %s", step, detail)
			}
		}
		if err := rows.Close(); err != nil || seen == 0 {
			t.Fatal(seen, err)
		}
	}
}
