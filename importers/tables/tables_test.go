package tables_test

import (
	"encoding/csv"
	"io"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/importers"
	"endsmeet/importers/csvfile"
	"endsmeet/importers/tables"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func TestGuardedCellsAreNoFormulasAndComeBack(t *testing.T) {
	cells := rapid.OneOf(rapid.String(),
		rapid.SampledFrom([]string{"=1+1", "+1", "-5", "-5.5", "--5", "@SUM(A1)", "'=1", "''", "'",
			"\t=1", "\r=1", "+44 1", "1e5", "-1e5", "="}))
	rapid.Check(t, func(t *rapid.T) {
		cell := cells.Draw(t, "cell")
		safe := tables.Guard(cell)
		if back := tables.Unguard(safe); back != cell {
			t.Fatalf("%q is guarded as %q and read back as %q", cell, safe, back)
		}
		if safe != "" && strings.ContainsRune("=@\t\r", rune(safe[0])) {
			t.Fatalf("%q is guarded as %q", cell, safe)
		}
	})
	for _, cell := range []string{"-5", "12.5", "+3"} {
		if tables.Guard(cell) != cell {
			t.Errorf("the number %s is not left alone", cell)
		}
	}
	for _, cell := range []string{"=1", "+1+1", "-1+1", "@x", "\tx", "\rx"} {
		if !strings.HasPrefix(tables.Guard(cell), "'") {
			t.Errorf("%q is not guarded", cell)
		}
	}
}

// gridOf writes a table as CSV and opens it as a file is opened.
func gridOf(t interface{ Fatal(...any) }, tab tables.Table) *importers.Grid {
	var text strings.Builder
	w := csv.NewWriter(&text)
	if err := tab.Guarded(w.Write); err != nil {
		t.Fatal(err)
	}
	w.Flush()
	open := func() (io.ReadCloser, error) {
		return io.NopCloser(strings.NewReader(text.String())), nil
	}
	g, err := csvfile.New(tab.Name+".csv", open,
		csvfile.Options{Delimiter: ',', Encoding: csvfile.UTF8})
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func TestPackagesAreReadBackAsTheyStood(t *testing.T) {
	mass := func(t *rapid.T, name string) measure.Mass {
		return measure.Mass(rapid.Int64Range(-50_000, 2_000_000).Draw(t, name))
	}
	text := rapid.SampledFrom([]string{"", "oat", "=cmd()", "a, b", `"quoted"`, "'apostrophe",
		"json:{}", "-"})
	rapid.Check(t, func(t *rapid.T) {
		p := stash.Package{ID: "aaaaaaaaaaaa",
			PackageFacts: stash.PackageFacts{Yarn: "bbbbbbbbbbbb", Colour: text.Draw(t, "colour"),
				Note: text.Draw(t, "note"), Lot: text.Draw(t, "lot")}}
		if rapid.Bool().Draw(t, "tare") {
			p.Tare = &stash.Tare{Mass: max(0, mass(t, "tare mass")), Source: stash.TareAssumed}
		}
		if p.Known = rapid.Bool().Draw(t, "known"); p.Known {
			p.Held, p.OwnTare, p.Step = mass(t, "held"), rapid.Bool().Draw(t, "own"), 100
		}
		tab := tables.Packages(func(tell func(tables.Item) error) error {
			return tell(tables.Item{Package: p, Yarn: "Thing"})
		})
		var s tables.Stash
		yarn := tables.Yarns([]tables.Yarn{{ID: "bbbbbbbbbbbb",
			Facts: stash.Fields{"name": []byte(`"Thing"`)}}})
		if err := s.Read("yarns", gridOf(t, yarn)); err != nil {
			t.Fatal(err)
		}
		if err := s.Read("items", gridOf(t, tab)); err != nil {
			t.Fatal(err)
		}
		got := s.Packages[0]
		tare := measure.Mass(0)
		if p.Tare != nil {
			tare = p.Tare.Mass
		}
		if got.Reading.Given() != p.Known || p.Known &&
			(got.Reading.NetWith(tare) != p.Held || got.Reading.Step != p.Step) {
			t.Fatalf("held %s came back as %+v", p.Held, got.Reading)
		}
		for name, want := range map[string]string{"colour": p.Colour, "note": p.Note,
			"lot": p.Lot} {
			if back := stash.ValueText(stash.WhatPackage, name, got.Fields[name]); want != "" &&
				back != stash.ValueText(stash.WhatPackage, name, quote(want)) {
				t.Fatalf("%s %q came back as %q", name, want, back)
			}
		}
	})
}

func TestWhatCannotBeReadBackIsToldWithItsPlace(t *testing.T) {
	head := "item_id,yarn,yarn_id,tag,net_g,reading,tare,arrived\n"
	tests := map[string]string{
		"items.csv:2:1: \"item_id\": \"short\": not an id": head +
			"short,x,bbbbbbbbbbbb,,1,net,,\n",
		"items.csv:2:5: \"net_g\": \"much\": ": head +
			"aaaaaaaaaaaa,x,bbbbbbbbbbbb,,much,net,,\n",
		"items.csv:2:6: \"reading\": \"maybe\": neither gross nor net": head +
			"aaaaaaaaaaaa,x,bbbbbbbbbbbb,,1,maybe,,\n",
		"items.csv:2:8: \"arrived\": \"lately\": no such moment": head +
			"aaaaaaaaaaaa,x,bbbbbbbbbbbb,,1,net,,lately\n",
		"items.csv:2:3: \"yarn_id\": \"cccccccccccc\": the table of yarn": head +
			"aaaaaaaaaaaa,x,cccccccccccc,,1,net,,\n",
		"items.csv:1: the table has no column item_id": "yarn,net\nx,1\n",
	}
	for want, text := range tests {
		var s tables.Stash
		if err := s.Read("yarns",
			gridOf(t, tables.Yarns([]tables.Yarn{{ID: "bbbbbbbbbbbb",
				Facts: stash.Fields{"name": []byte(`"x"`)}}}))); err != nil {
			t.Fatal(err)
		}
		open := func() (io.ReadCloser, error) { return io.NopCloser(strings.NewReader(text)), nil }
		g, err := csvfile.New("items.csv", open, csvfile.Options{})
		if err == nil {
			err = s.Read("items", g)
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v\nwant %s", err, want)
		}
	}
}

func quote(s string) []byte { return []byte(`"` + strings.ReplaceAll(s, `"`, `\"`) + `"`) }
