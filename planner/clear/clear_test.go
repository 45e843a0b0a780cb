package clear

import (
	"context"
	"testing"
	"time"

	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

var today = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)

// shelfOf makes a shelf of one package for each row.
func shelfOf(t *testing.T, rows ...row) making.Shelf {
	t.Helper()
	s := making.Shelf{Settings: stash.DefaultSettings(), Yarns: map[stash.YarnID]stash.Yarn{},
		Claims: map[stash.PackageID]measure.Mass{}, Now: today}
	for _, r := range rows {
		y := stash.Yarn{ID: stash.YarnID("yarn " + r.tag)}
		y.Name, y.Fit, y.Hazards = r.tag, r.fit, r.hazards
		y.Fibre, _ = fibre.ParseContent(r.fibre)
		y.Count = &stash.CountFact{Count: 150 * measure.Tex, Source: measure.Label}
		p := stash.Package{ID: stash.PackageID(r.tag)}
		p.Yarn, p.Tag, p.Acquired, p.Known, p.Held, p.Step = y.ID, r.tag, r.acquired, true,
			r.grams*measure.Gram, measure.Gram
		p.Used, p.Moved, p.Arrived = r.used, r.moved, r.arrived
		s.Yarns[y.ID] = y
		s.Packages = append(s.Packages, p)
	}
	return s
}

type row struct {
	tag, fibre, acquired string
	grams                measure.Mass
	fit                  stash.WarpFit
	hazards              []string
	used                 measure.Mass
	moved, arrived       time.Time
}

func query() Query {
	return Query{Years: 3, Kinds: kinds.Usual(), Weights: search.Weights{Size: 60, Use: 20,
		Rest: 10, Lots: 10}, Rest: 25_000}
}

func idleOn(shelf making.Shelf) (Answer, error) {
	stock := search.Empty(shelf, search.Query{}, func(ids []stash.PackageID) (out []stash.Package, _ error) {
		for _, id := range ids {
			p, _ := shelf.Find(id)
			out = append(out, p)
		}
		return out, nil
	})
	l := NewLooking(shelf, stock, query())
	for _, p := range shelf.Packages {
		l.Add(p)
	}
	return l.Idle(context.Background())
}

func TestWhatLiesIdleAndWhy(t *testing.T) {
	year := func(y int) time.Time { return time.Date(y, 6, 1, 0, 0, 0, 0, time.UTC) }
	for name, c := range map[string]struct {
		row  row
		want Why
	}{
		"rubber over ten years old has perished": {row{fibre: "cotton 65, elastodiene 35",
			acquired: "2011", grams: 28}, Perished},
		"rubber of nine years has not": {row{fibre: "cotton 65, elastodiene 35",
			acquired: "2017-02", grams: 900}, Untouched},
		"elastane is no rubber": {row{fibre: "cotton 93, elastane 7",
			acquired: "2011", grams: 900}, Untouched},
		"what is marked perished is, at any age": {row{fibre: "cotton 100", acquired: "2026",
			grams: 900, hazards: []string{"perished"}}, Perished},
		"what is to be discarded is unfit": {row{fibre: "cotton 100", acquired: "2026",
			grams: 900, fit: stash.FitDiscard}, Unfit},
		"a gram makes nothing": {row{fibre: "cotton 100", acquired: "2026",
			grams: 1}, TooSmall},
		"nothing taken since 2020 is untouched": {row{fibre: "cotton 100", acquired: "2020",
			grams: 900}, Untouched},
		"a year alone counts to its end": {row{fibre: "cotton 100", acquired: "2023",
			grams: 900}, ""},
		"weighing alone is no use": {row{fibre: "cotton 100", acquired: "2020",
			grams: 900, moved: year(2025)}, Untouched},
		"what was used last year is in use": {row{fibre: "cotton 100", acquired: "2010",
			grams: 900, used: 1, moved: year(2025)}, ""},
		"without a date it is as old as in the ledger": {row{fibre: "cotton 100", grams: 900,
			arrived: year(2020)}, Untouched},
		"of no known age it is not untouched": {row{fibre: "cotton 100", grams: 900}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			c.row.tag = "P"
			a, err := idleOn(shelfOf(t, c.row))
			if err != nil {
				t.Fatal(err)
			}
			got := Why("")
			if len(a.Items) > 0 {
				got = a.Items[0].Why
			}
			if got != c.want {
				t.Errorf("%q, want %q: %+v", got, c.want, a.Items)
			}
		})
	}
}

func TestPiecesUseUpWhatLiesIdleNoLotTwice(t *testing.T) {
	shelf := shelfOf(t,
		row{tag: "A", fibre: "cotton 100", acquired: "2019", grams: 110},
		row{tag: "B", fibre: "cotton 100", acquired: "2019", grams: 95},
		row{tag: "C", fibre: "cotton 100", acquired: "2025", grams: 200},
		row{tag: "D", fibre: "cotton 100", acquired: "2018", grams: 300},
	)
	a, err := idleOn(shelf)
	if err != nil || len(a.Items) != 3 || len(a.Pieces) == 0 {
		t.Fatal(err, len(a.Items), len(a.Pieces))
	}
	taken := map[stash.PackageID]bool{}
	for i, u := range a.Pieces {
		if u.Idle <= 0 || i > 0 && u.Idle > a.Pieces[i-1].Idle {
			t.Errorf("piece %d takes %d idle", i, u.Idle)
		}
		mine := map[stash.PackageID]bool{}
		for _, id := range append(append([]stash.PackageID(nil), u.Piece.Warp...),
			u.Piece.Weft...) {
			mine[id] = true
			if taken[id] {
				t.Errorf("%s is used twice", id)
			}
		}
		for id := range mine {
			taken[id] = true
		}
	}
}
