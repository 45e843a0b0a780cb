package like

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

func yarn(id, content string, tex measure.Count) stash.Yarn {
	y := stash.Yarn{ID: stash.YarnID(id)}
	y.Name = id
	y.Fibre, _ = fibre.ParseContent(content)
	if tex > 0 {
		y.Count = &stash.CountFact{Count: tex * measure.Tex, Source: measure.Label}
	}
	return y
}

func TestTheLikestComesFirst(t *testing.T) {
	yarns := map[stash.YarnID]stash.Yarn{}
	for _, y := range []stash.Yarn{yarn("O", "cotton", 148), yarn("near", "cotton", 140),
		yarn("half", "cotton 50, linen 50", 148), yarn("wool", "wool", 148),
		yarn("thick", "cotton", 900), yarn("dark", "", 0)} {
		yarns[y.ID] = y
	}
	item := func(tag, yarn, lot string) stash.Package {
		p := stash.Package{ID: stash.PackageID(tag)}
		p.Tag, p.Yarn, p.Lot, p.Known, p.Held = tag, stash.YarnID(yarn), lot, true, measure.Gram
		return p
	}
	mine := item("O1", "O", "7")
	shelf := []stash.Package{mine, item("half", "half", ""), item("wool", "wool", ""),
		item("thick", "thick", ""), item("O3", "O", "8"), item("near", "near", ""),
		item("O2", "O", "7"), item("dark", "dark", "")}
	gone := item("gone", "O", "7")
	gone.Retired = true
	shelf = append(shelf, gone)
	search := Search{Of: mine, Yarns: yarns,
		Colours: func(a, b string) (float64, bool) { return 0, a == b }}
	for _, p := range shelf {
		search.Add(p)
	}
	got := search.Matches()
	want := []string{"O2", "O3", "near"}
	if len(got) < len(want) {
		t.Fatalf("%+v", got)
	}
	for i, tag := range want {
		if got[i].Package.Tag != tag {
			t.Errorf("place %d is %s, want %s", i, got[i].Package.Tag, tag)
		}
	}
	for _, m := range got {
		if m.Package.Tag == "wool" || m.Package.Tag == "thick" || m.Package.Tag == "gone" {
			t.Errorf("%s is like it", m.Package.Tag)
		}
		if m.Package.Tag == "near" && math.Abs(m.Finer-8.0/140) > 1e-9 {
			t.Errorf("finer by %v", m.Finer)
		}
	}
}

// TestTheFirstOfManyAreThoseOfAll holds a search for a few, which forgets what is less
// like as it goes, against one for all.
func TestTheFirstOfManyAreThoseOfAll(t *testing.T) {
	yarns := map[stash.YarnID]stash.Yarn{}
	for i := range 40 {
		y := yarn(fmt.Sprint("y", i), "cotton", measure.Count(100+i*7%40))
		yarns[y.ID] = y
	}
	mine := stash.Package{ID: "mine"}
	mine.Yarn, mine.Tag = "y0", "mine"
	none := func(string, string) (float64, bool) { return 0, false }
	few, all := Search{Of: mine, Yarns: yarns, Colours: none, Top: 7},
		Search{Of: mine, Yarns: yarns, Colours: none}
	for i := range 5000 {
		p := stash.Package{ID: stash.PackageID(fmt.Sprint(i))}
		p.Yarn, p.Tag = stash.YarnID(fmt.Sprint("y", i*13%40)), fmt.Sprint("T", i*31%500)
		few.Add(p)
		all.Add(p)
	}
	got, want := few.Matches(), all.Matches()
	if len(want) != 5000 || len(got) != 7 {
		t.Fatal(len(got), len(want))
	}
	for i, m := range got {
		if m.Package.ID != want[i].Package.ID {
			t.Errorf("place %d is %s, want %s", i, m.Package.ID, want[i].Package.ID)
		}
	}
}

// TestNoYarnCrowdsOutAnother holds several balls of one yarn that is like another, and one ball
// of each of two further yarns that are: all three yarns are found.
func TestNoYarnCrowdsOutAnother(t *testing.T) {
	yarns := map[stash.YarnID]stash.Yarn{}
	s := Search{Yarns: yarns, Top: 4, Colours: func(a, b string) (float64, bool) { return 0, true }}
	add := func(id, tag string, tex int64) stash.Package {
		y := stash.Yarn{ID: stash.YarnID(id)}
		y.Count = &stash.CountFact{Count: measure.Count(tex) * measure.Tex}
		yarns[y.ID] = y
		p := stash.Package{ID: stash.PackageID(tag)}
		p.Tag, p.Yarn, p.Known, p.Held = tag, y.ID, true, 100
		return p
	}
	s.Of = add("mine", "mine", 200)
	for _, tag := range []string{"a1", "a2", "a3", "a4", "a5"} {
		s.Add(add("a", tag, 205))
	}
	s.Add(add("b", "b", 215))
	s.Add(add("c", "c", 225))
	var found []string
	for _, m := range s.Matches() {
		found = append(found, m.Package.Tag)
	}
	if want := []string{"a1", "a2", "b", "c"}; !slices.Equal(found, want) {
		t.Errorf("%v, want %v", found, want)
	}
}
