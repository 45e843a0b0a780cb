package intake_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"endsmeet/importers"
	"endsmeet/importers/csvfile"
	"endsmeet/importers/intake"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// sheet reads lines of CSV into records.
func sheet(t *testing.T, lines ...string) []importers.Record {
	t.Helper()
	path := filepath.Join(t.TempDir(), "sheet.csv")
	if err := os.WriteFile(path, []byte(strings.Join(lines, "\n")+"\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	return records(t, path)
}

func records(t *testing.T, path string) []importers.Record {
	t.Helper()
	grid, err := csvfile.Open(path, csvfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	table, err := importers.NewTable(grid, importers.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var out []importers.Record
	for r, err := range table.Records() {
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, r)
	}
	return out
}

// entries turns records into entries, placed among the yarns of a stash.
func entries(t *testing.T, recs []importers.Record, known ...stash.Yarn) ([]intake.Entry,
	[]intake.Placed) {
	t.Helper()
	yarns := intake.NewYarns(known)
	names := intake.NewNames(yarns.Known())
	for i := range recs {
		names.Add(&recs[i])
	}
	var maker intake.Maker
	var out []intake.Entry
	var placed []intake.Placed
	for i := range recs {
		name, colour := names.Split(&recs[i])
		e, err := maker.Of(&recs[i], name, colour)
		if err != nil {
			t.Fatal(err)
		}
		placed = append(placed, yarns.Place(&e,
			func() stash.YarnID { return stash.YarnID(fmt.Sprint("new", i)) }))
		out = append(out, e)
	}
	return out, placed
}

func facts(t *testing.T, e intake.Entry) (y stash.YarnFacts, p stash.PackageFacts) {
	t.Helper()
	for fields, into := range map[*stash.Fields]any{&e.Yarn: &y, &e.Packages[0].Fields: &p} {
		raw, err := json.Marshal(*fields)
		if err == nil {
			err = json.Unmarshal(raw, into)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return y, p
}

func TestWhichPartOfANameIsTheColour(t *testing.T) {
	tests := []struct {
		rule  string
		lines []string
		names []string // of the yarns
		hue   []string
	}{
		{"shared by several rows that differ behind the comma",
			[]string{"Sundry, oat,cotton", "Sundry, slate,cotton"}, []string{"Sundry", "Sundry"},
			[]string{"oat", "slate"}},
		{"alone", []string{"Sundry, oat,cotton", "Other, slate,cotton"},
			[]string{"Sundry, oat", "Other, slate"}, []string{"", ""}},
		{"shared, but not behind the comma", []string{"Sundry, oat,cotton", "Sundry, oat,cotton"},
			[]string{"Sundry, oat", "Sundry, oat"}, []string{"", ""}},
		{"of several fibres", []string{"Sundry, oat,cotton", "Sundry, slate,wool"},
			[]string{"Sundry, oat", "Sundry, slate"}, []string{"", ""}},
		{"a tail with a digit", []string{"Sundry, 8/2,cotton", "Sundry, 10/2,cotton"},
			[]string{"Sundry, 8/2", "Sundry, 10/2"}, []string{"", ""}},
		{"a tail in brackets", []string{"Sundry (a, b),cotton", "Sundry (a, c),cotton"},
			[]string{"Sundry (a, b)", "Sundry (a, c)"}, []string{"", ""}},
		{"in the stash already", []string{"Here, oat,cotton"}, []string{"Here"}, []string{"oat"}},
	}
	for _, tt := range tests {
		t.Run(tt.rule, func(t *testing.T) {
			lines := []string{"yarn,fibre"}
			for _, l := range tt.lines {
				i := strings.LastIndex(l, ",")
				lines = append(lines, `"`+l[:i]+`",`+l[i+1:])
			}
			got, placed := entries(t, sheet(t, lines...),
				stash.Yarn{ID: "here", YarnFacts: stash.YarnFacts{Name: "Here"}})
			for i, e := range got {
				_, p := facts(t, e)
				if placed[i].Name != tt.names[i] || p.Colour != tt.hue[i] {
					t.Errorf("row %d is %q in %q, want %q in %q", i+1, placed[i].Name, p.Colour,
						tt.names[i], tt.hue[i])
				}
			}
		})
	}
	got, placed := entries(t, sheet(t, "yarn,colour", `"Sundry, soft",oat`, `"Sundry, hard",slate`))
	if _, p := facts(t, got[0]); placed[0].Name != "Sundry, soft" || p.Colour != "oat" {
		t.Errorf("with a column for colours: %q in %q", placed[0].Name, p.Colour)
	}
}

func TestWhichRowsAreOfOneYarn(t *testing.T) {
	_, placed := entries(t, sheet(t, "yarn,maker,fibre,count,shedding",
		"Plain,,cotton,8/2 Ne,0", "plain,,cotton,8/2 Ne,2", "Plain,,wool,8/2 Ne,0",
		"Plain,,cotton,10/2 Ne,0", "Plain,,,,", "Plain,Harrow,linen,8/2 Ne,0"))
	var ids, names []string
	for _, p := range placed {
		ids, names = append(ids, string(p.ID)), append(names, p.Name)
	}
	if want := []string{"new0", "new0", "new2", "new3", "new0", "new5"}; !slices.Equal(ids, want) {
		t.Errorf("yarns %v, want %v", ids, want)
	}
	if want := []string{"Plain", "Plain", "Plain (8/2 Ne)", "Plain (10/2 Ne)", "Plain",
		"Harrow Plain"}; !slices.Equal(names, want) {
		t.Errorf("names %q, want %q", names, want)
	}
	if len(placed[1].Differs) != 1 || placed[1].Differs["shedding"] == nil {
		t.Errorf("what the second row says otherwise: %v", placed[1].Differs)
	}
}

func TestHowManyPackagesARowIs(t *testing.T) {
	tests := []struct {
		rule, row string
		nets      []measure.Mass // 0 for not weighed
	}{
		{"one cone with its tare", "412,25,,cone,", []measure.Mass{387 * measure.Gram}},
		{"masses in brackets", ",,60,\"3 skeins (20, 19, 21 g)\",",
			[]measure.Mass{20 * measure.Gram, 19 * measure.Gram, 21 * measure.Gram}},
		{"several with one mass stay one", ",,181,4 balls,", []measure.Mass{181 * measure.Gram}},
		{"several that nobody weighed", ",,,3 balls,", []measure.Mass{0, 0, 0}},
		{"whole ones by the label", ",,100,2 balls,50",
			[]measure.Mass{50 * measure.Gram, 50 * measure.Gram}},
		{"gross alone takes the usual tare of a cone", "412,,,cone,",
			[]measure.Mass{387 * measure.Gram}},
		{"nothing known", ",,,,", []measure.Mass{0}},
	}
	for _, tt := range tests {
		t.Run(tt.rule, func(t *testing.T) {
			got, _ := entries(t, sheet(t, "no,yarn,gross (g),tare (g),net (g),form,label mass (g)",
				"A1,Thing,"+tt.row))
			var nets []measure.Mass
			for i, p := range got[0].Packages {
				net := measure.Mass(0)
				if p.Net() != nil {
					net = *p.Net()
				}
				nets = append(nets, net)
				want := "A1"
				if len(got[0].Packages) > 1 {
					want = fmt.Sprintf("A1-%d", i+1)
				}
				if got[0].Tag(i) != want {
					t.Errorf("package %d has the tag %q, want %q", i+1, got[0].Tag(i), want)
				}
			}
			if !slices.Equal(nets, tt.nets) {
				t.Errorf("nets %v, want %v", nets, tt.nets)
			}
		})
	}
}

func TestFlagsBecomeFactsAndNothingIsDropped(t *testing.T) {
	tests := []struct {
		flag  string
		check func(stash.YarnFacts) bool
	}{
		{"LATEX", func(y stash.YarnFacts) bool {
			return slices.Contains(y.Hazards, "latex") && y.Note == ""
		}},
		{"elastic has latex in it", func(y stash.YarnFacts) bool {
			return slices.Contains(y.Hazards, "latex") &&
				strings.Contains(y.Note, "elastic has latex in it")
		}},
		{"no latex", func(y stash.YarnFacts) bool {
			return len(y.Hazards) == 0 && strings.Contains(y.Note, "no latex")
		}},
		{"elastane (not rubber)", func(y stash.YarnFacts) bool {
			return len(y.Hazards) == 0 && strings.Contains(y.Note, "not rubber")
		}},
		{"possible latex", func(y stash.YarnFacts) bool {
			return slices.Contains(y.Hazards, "possible latex")
		}},
		{"bleeds", func(y stash.YarnFacts) bool { return y.Bleeds == stash.Yes }},
		{"may bleed", func(y stash.YarnFacts) bool { return y.Bleeds == stash.May }},
		{"mothball smell", func(y stash.YarnFacts) bool { return y.Odour == "mothballs" }},
		{"loom dust", func(y stash.YarnFacts) bool { return slices.Contains(y.Hazards, "dust") }},
		{"wool", func(y stash.YarnFacts) bool { return y.Note == "" }}, // the fibre says it
		{"mohair", func(y stash.YarnFacts) bool { return strings.Contains(y.Note, "mohair") }},
		{"zorblax", func(y stash.YarnFacts) bool { return strings.Contains(y.Note, "zorblax") }},
	}
	for _, tt := range tests {
		t.Run(tt.flag, func(t *testing.T) {
			got, _ := entries(t, sheet(t, "yarn,fibre,flags", "Thing,wool 100,"+tt.flag))
			if y, _ := facts(t, got[0]); !tt.check(y) {
				t.Errorf("%q became %+v", tt.flag, y)
			}
		})
	}
}

func TestHowAYarnIsBuiltAndWhatItIsFitFor(t *testing.T) {
	tests := []struct {
		construction, warp string
		built              []string
		fit                stash.WarpFit
	}{
		{"unmercerised", "yes", nil, stash.FitWarp},
		{"mercerised, 2-ply", "yes, close sett", []string{"plied", "mercerised"}, stash.FitWarp},
		{"singles, lea 16/1, line", "no: fails tug test", []string{"singles", "line"},
			stash.FitWeftOnly},
		{"woollen-spun", "every 2nd or 3rd end only", []string{"woollen"}, stash.FitSpaced},
		{"brushed loop", "weft or held double", []string{"loop", "brushed"}, stash.FitWeftOnly},
		{"", "with support", nil, ""},
	}
	for _, tt := range tests {
		got, _ := entries(t, sheet(t, "yarn,construction,warp,lot",
			`Thing,"`+tt.construction+`","`+tt.warp+`",1`))
		y, _ := facts(t, got[0])
		if !slices.Equal(y.Construction, tt.built) || y.Fit != tt.fit {
			t.Errorf("%q, %q: built %v, fit %q, want %v, %q", tt.construction, tt.warp,
				y.Construction, y.Fit, tt.built, tt.fit)
		}
		if len(tt.warp) > 3 && !strings.Contains(y.Note, tt.warp) {
			t.Errorf("the condition %q is not in the note %q", tt.warp, y.Note)
		}
	}
}

// The invented stash of forty rows (package csvfile) comes in whole: every cell
// with letters stands in a fact or a note, and the masses add up.
func TestTheStashOfFortyComesInWhole(t *testing.T) {
	recs := records(t, "../../testdata/sheets/stash40.csv")
	got, placed := entries(t, recs)
	if len(got) != 40 {
		t.Fatalf("%d rows", len(got))
	}
	var sum, want measure.Mass
	yarns := map[stash.YarnID]bool{}
	for i, e := range got {
		yarns[placed[i].ID] = true
		all, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range recs[i].Notes {
			if !strings.Contains(string(all),
				strings.TrimSuffix(strings.TrimPrefix(string(mustJSON(stash.Clean(n.Text))), `"`),
					`"`)) {
				t.Errorf("%s: the remark %q is lost", e.Ref, n.Text)
			}
		}
		for _, p := range e.Packages {
			sum += *p.Net()
		}
		want += *recs[i].Net
	}
	if sum != want || len(yarns) != 38 {
		t.Errorf("%s in %d yarns, want %s in 38", sum, len(yarns), want)
	}
	if y, p := facts(t, got[2]); p.Tare.Source != stash.TareAssumed ||
		y.Count.Doubt != 9*measure.Percent {
		t.Errorf("the guessed tare of Y03: %+v, doubt %s", p.Tare, y.Count.Doubt)
	}
	if y, _ := facts(t, got[33]); !slices.Equal(y.Hazards, []string{"latex", "perished"}) {
		t.Errorf("the rubber of Y34: %v", y.Hazards)
	}
	if y, _ := facts(t, got[34]); len(y.Hazards) != 0 {
		t.Errorf("elastane is no latex: %v", y.Hazards)
	}
	if _, p := facts(t, got[38]); p.Form != "thrums" || p.Longest != 550*measure.Millimetre {
		t.Errorf("the thrums of Y39: %s, %s", p.Form, p.Longest)
	}
}

func TestARemarkThatSpeaksOfALoanIsAQuestionWithItsCommand(t *testing.T) {
	tests := map[string]string{
		"ON LOAN to guild since 2025-02-11, out at 430 g": `endsmeet lend A1 --to guild`,
		"lent out":                             "endsmeet lend A1 --to WHO",
		"RESERVED 60 g for a commission":       "endsmeet set A1 'reserve=60 g for a commission'",
		"reserved for the fair":                "endsmeet set A1 'reserve=WEIGHT for PURPOSE'",
		"QUARANTINE: webbing found 2025-01-30": "endsmeet set A1 'quarantine=2025-01-30 webbing found'",
		"in quarantine; $(rm -rf .)":           "endsmeet set A1 'quarantine=DAY $(rm -rf .)'",
		"unreserved, silent, talent":           "",
	}
	for note, want := range tests {
		got, _ := entries(t, sheet(t, "no,yarn,notes", `A1,Thing,"`+note+`"`))
		command := ""
		if len(got[0].Questions) > 0 {
			command = got[0].Questions[0].Command(got[0].Tag(0))
		}
		if command != want {
			t.Errorf("%q: %q, want %q", note, command, want)
		}
		if _, p := facts(t, got[0]); p.Note != note {
			t.Errorf("the note is %q", p.Note)
		}
	}
}

func mustJSON(v any) []byte {
	raw, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return raw
}

// A sheet of another habit must not panic whatever its cells hold.
func FuzzOf(f *testing.F) {
	seeds := 0
	for _, s := range [][2]string{{"Thing, red", "latex (no), bleeds"},
		{"thrums", "cut ends 55 to 75 cm"}, {",", "not superwash,superwash"},
		{"x", "Ne 8/2,label 50 g / 125 m"}} {
		f.Add(s[0], s[1])
		seeds++
	}
	if seeds == 0 {
		f.Fatal("no seeds")
	}
	f.Fuzz(func(t *testing.T, name, text string) {
		r := importers.Record{Name: name, Construction: text, WarpText: text, Care: text,
			Flags: []string{text, name}, Ref: name, CountSource: text,
			Packages: importers.Packages{Form: text, Number: len(text) % 5}}
		names := intake.NewNames(func(string) bool { return false })
		names.Add(&r)
		yarn, colour := names.Split(&r)
		e, err := new(intake.Maker).Of(&r, yarn, colour)
		if err != nil || len(e.Packages) == 0 {
			t.Fatalf("%d packages, %v", len(e.Packages), err)
		}
		for i, p := range e.Packages {
			if tag := e.Tag(i); tag != "" {
				if _, err := stash.Value(stash.WhatPackage, "tag", tag); err != nil {
					t.Errorf("tag %q: %v", tag, err)
				}
			}
			var facts stash.PackageFacts
			if err := json.Unmarshal(mustJSON(p.Fields), &facts); err != nil {
				t.Error(err)
			}
		}
	})
}
