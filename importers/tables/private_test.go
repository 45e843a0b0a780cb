package tables_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/importers"
	"endsmeet/importers/csvfile"
	"endsmeet/importers/tables"
	"endsmeet/stash"
)

// Every event comes back as the same bytes, whatever its line holds: it may be
// from a newer version, or from a machine that wrote nonsense.
func TestEventsAreReadBackByteForByte(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := tables.Table{Name: "events", Head: tables.EventHead}
		var want []stash.Event
		lines := rapid.SliceOfN(rapid.OneOf(
			rapid.SliceOfN(rapid.Byte(), 1, 40),
			rapid.Map(rapid.SampledFrom([]string{`{"v":1,"body":{"note":"=1+1, \"quoted\""}}`,
				"=1+1", "base64:e30=", "'", "two\nlines", "\r", "-5", "{\x00}"}),
				func(s string) []byte { return []byte(s) }),
		), 1, 5).Draw(t, "lines")
		private := rapid.Bool().Draw(t, "private")
		key := rapid.SliceOfN(rapid.Byte(), 0, 32).Draw(t, "key")
		for i, raw := range lines {
			e := stash.Event{Raw: raw, Lane: "lane", Seq: int64(i + 1)}
			want = append(want, e)
			text.Rows = append(text.Rows, tables.EventRow(e, private, key))
		}
		n := 0
		err := tables.Events(gridOf(t, text), func(e tables.Event) error {
			if !bytes.Equal(e.Raw, want[n].Raw) || e.Seq != want[n].Seq || e.Lane != "lane" ||
				e.Private != private || !bytes.Equal(e.Key, key) || e.ID != want[n].ID().String() {
				t.Fatalf("%q came back as %+v", want[n].Raw, e)
			}
			n++
			return nil
		})
		if err != nil || n != len(want) {
			t.Fatalf("%d of %d events, %v", n, len(want), err)
		}
	})
}

func TestPeopleAndWhomAProjectIsForComeBack(t *testing.T) {
	people := []tables.Person{
		{ID: "aaaaaaaaaaaa", Facts: stash.Fields{"name": []byte(`"Tamsel Orrow"`),
			"rules": []byte(`[{"test":"fibre","value":"wool","answer":"against","why":"itches, \"badly\""}]`), "note": []byte(`"=1+1"`), "gone": []byte("true")}},
		{ID: "bbbbbbbbbbbb", Facts: stash.Fields{"name": []byte(`"The ward"`)}},
	}
	projects := []tables.Project{
		{ID: "cccccccccccc", Facts: stash.Fields{"name": []byte(`"scarf"`),
			"for": []byte(`"aaaaaaaaaaaa"`)}},
		{ID: "dddddddddddd", Facts: stash.Fields{"name": []byte(`"towel"`)}},
	}
	forTable := tables.Projects(projects)
	forTable.For(projects)
	var s tables.Stash
	for kind, table := range map[string]tables.Table{"people": tables.People(people),
		"projects": forTable} {
		if err := s.Read(kind, gridOf(t, table)); err != nil {
			t.Fatal(err)
		}
		var again tables.Stash
		if err := again.Read(kind, table.Grid()); err != nil {
			t.Fatalf("%s as a grid: %v", kind, err)
		}
	}
	for _, pair := range [][2]any{{people, s.People}, {projects, s.Projects}} {
		want, _ := json.Marshal(pair[0])
		if got, _ := json.Marshal(pair[1]); !bytes.Equal(got, want) {
			t.Errorf("got %s\nwant %s", got, want)
		}
	}
	if text := strings.Join(tables.Projects(projects).Head, " ") +
		strings.Join(tables.Projects(projects).Rows[0], " "); strings.Contains(text, "for") ||
		strings.Contains(text, "aaaa") {
		t.Errorf("without being asked the table says for whom: %s", text)
	}
}

func TestWhatIsWrongWithPeopleAndEventsIsToldWithItsPlace(t *testing.T) {
	event := strings.Join(tables.EventHead, ",") + "\n"
	for _, tt := range []struct{ kind, text, want string }{
		{"people", "person_id,rules,name\naaaaaaaaaaaa,,\n",
			"people.csv:2:3: \"name\": the person has no name"},
		{"people", "person_id,rules,name\naaaaaaaaaaaa,wool,x\n",
			"people.csv:2:2: \"rules\": \"wool\": "},
		{"people", "person_id,rules,name\naaaaaaaaaaaa,json:[{]},x\n",
			"people.csv:2:2: \"rules\": \"json:[{]}\": there is no JSON after json:"},
		{"people", "person_id,rules,name\naaaaaaaaaaaa,\"json:{\"\"a\"\":1}\",x\n",
			"not a value of this field"},
		{"people", "name\nx\n", "people.csv:1: the table has no column person_id"},
		{"projects", "project_id,name,for\naaaaaaaaaaaa,x,Tamsel\n",
			"projects.csv:2:3: \"for\": \"Tamsel\": no person"},
		{"projects", "project_id,name,warp\naaaaaaaaaaaa,x,blue\n",
			"projects.csv:2:3: \"warp\": \"blue\": \"blue\" names no yarn and no item"},
		{"settings", "setting,value\nzorblax,1\n",
			"settings.csv:2:1: \"setting\": \"zorblax\": there is no such setting"},
		{"yarns", "yarn_id,name\naaaaaaaaaaaa,x\naaaaaaaaaaaa,y\n",
			"yarns.csv:3:1: \"yarn_id\": \"aaaaaaaaaaaa\": the id is there twice"},
		{"yarns", "yarn_id,name\naaaaaaaaaaaa,\n", "yarns.csv:2:2: \"name\": the yarn has no name"},
		{"events", event + "x,lane,one,false,,,,,,{}\n",
			"events.csv:2:3: \"seq\": \"one\": not a whole number"},
		{"events", event + "x,lane,1,false,?,,,,,{}\n",
			"events.csv:2:5: \"key\": \"?\": not a key"},
		{"events", event + "x,lane,1,false,,,,,,\n",
			"events.csv:2:10: \"raw\": the event is missing"},
		{"events", event + "x,lane,1,false,,,,,,base64:?\n",
			"events.csv:2:10: \"raw\": \"base64:?\": not an event"},
		{"events", "id\n1\n", "events.csv:1: the table has no column event_id"},
	} {
		open := func() (io.ReadCloser, error) {
			return io.NopCloser(strings.NewReader(tt.text)), nil
		}
		g, err := csvfile.New(tt.kind+".csv", open, csvfile.Options{Delimiter: ','})
		if err != nil {
			t.Fatal(err)
		}
		if tt.kind == "events" {
			err = tables.Events(g,
				func(tables.Event) error { return errors.New("a bad row was taken") })
		} else {
			err = new(tables.Stash).Read(tt.kind, g)
		}
		if err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("got %v\nwant %s", err, tt.want)
		}
	}
	stop := errors.New("enough")
	e := stash.Event{Raw: []byte("{}"), Seq: 1}
	one := tables.Table{Name: "events", Head: tables.EventHead,
		Rows: [][]string{tables.EventRow(e, false, nil)}}
	if err := tables.Events(one.Grid(), func(tables.Event) error { return stop }); !errors.Is(err,
		stop) {
		t.Errorf("got %v", err)
	}
	broken := &importers.Grid{File: "events.csv",
		Rows: func(yield func(importers.Row, error) bool) { yield(importers.Row{}, stop) }}
	if err := tables.Events(broken, func(tables.Event) error { return nil }); !errors.Is(err,
		stop) {
		t.Errorf("got %v", err)
	}
}
