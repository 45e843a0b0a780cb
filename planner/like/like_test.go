package like

import (
	"math"
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
	got := To(mine, yarns["O"], shelf, yarns, func(a, b string) (float64, bool) {
		return 0, a == b
	})
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
