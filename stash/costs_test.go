package stash

import (
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/measure"
)

// TestEntriesComeOutEven draws what happens to a package and holds that every posting
// adds up to nothing in yarn and money, and all of them to what Paid says.
func TestEntriesComeOutEven(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Package{}
		p.Price = &Price{Milli: rapid.Int64Range(0, 99_999).Draw(t, "price")}
		if rapid.Bool().Draw(t, "per mass") {
			p.Price.Per = measure.Mass(rapid.Int64Range(1, 1_000_000).Draw(t, "per"))
		}
		var postings []Posting
		post := func(change func(*Account)) {
			before := p.Account
			change(&p.Account)
			postings = append(postings,
				Posting{Before: before, Delta: difference(p.Account, before)})
		}
		mass := func() measure.Mass {
			return measure.Mass(rapid.Int64Range(1, 400_000).Draw(t, "mass"))
		}
		first := mass()
		post(func(a *Account) { a.Received += first; a.Held += first })
		for range rapid.IntRange(0, 12).Draw(t, "movements") {
			m := mass()
			part := rapid.SampledFrom([]func(*Account) *measure.Mass{
				func(a *Account) *measure.Mass { return &a.Used },
				func(a *Account) *measure.Mass { return &a.Discarded },
				func(a *Account) *measure.Mass { return &a.Given },
				func(a *Account) *measure.Mass { return &a.Unexplained },
				func(a *Account) *measure.Mass { return &a.Out },
			}).Draw(t, "part")
			post(func(a *Account) { *part(a) += m; a.Held -= m })
		}
		var inStash int64
		for _, x := range postings {
			entries, known := x.Entries(p)
			var mass measure.Mass
			var milli int64
			for _, e := range entries {
				mass, milli = mass+e.Mass, milli+e.Milli
				if e.Part == PartStash {
					inStash += e.Milli
				}
			}
			if mass != 0 || milli != 0 || !known {
				t.Fatalf("%+v: %d mg and %d thousandths over, known %v", entries, mass, milli,
					known)
			}
		}
		if want, _ := p.Paid(p.Held); inStash != want {
			t.Fatalf("in the stash for %d, by its price %d", inStash, want)
		}
	})
}

func TestWhatAPartOfAPackageCost(t *testing.T) {
	for name, c := range map[string]struct {
		price    *Price
		received measure.Mass
		in       measure.Mass
		salvaged measure.Mass
		mass     measure.Mass
		want     int64
		known    bool
	}{
		"by mass": {&Price{Milli: 3100, Per: 100_000}, 387_000, 0, 0,
			63_000, 1950, true},
		"the whole, shared out": {&Price{Milli: 22_000}, 102_000, 0, 0, 42_000, 9060,
			true},
		"winding onto it makes it no dearer": {&Price{Milli: 22_000}, 100_000, 50_000, 0, 100_000,
			22_000, true},
		"no price is not nothing":           {nil, 100_000, 0, 0, 10_000, 0, false},
		"thrums are in the cost of a piece": {nil, 0, 8_000, 8_000, 8_000, 0, true},
		"halves are rounded up":             {&Price{Milli: 10, Per: 2}, 10, 0, 0, 1, 10, true},
	} {
		p := Package{}
		p.Price, p.Received, p.In, p.Salvaged = c.price, c.received, c.in, c.salvaged
		if got, known := p.Paid(c.mass); got != c.want || known != c.known {
			t.Errorf("%s: %d, %v; want %d, %v", name, got, known, c.want, c.known)
		}
	}
}
