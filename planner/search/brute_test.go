package search

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"endsmeet/planner/kinds"
	"endsmeet/stash"
)

// everything reckons every choice through, and sorts the sound ones by the rule
// that doc.go states.
func everything(g *gathering, f *finder, colours int) []found {
	var out []found
	add := func(c choice) {
		y := family{len(c.warp), slices.Contains(c.warp, c.weft)}
		if !f.sound(c, y) || !(f.judge.query.Using == nil ||
			slices.ContainsFunc(c.lots(), func(l *lot) bool { return f.judge.query.Using(g.stock.lotOf(l.of)) })) {
			return
		}
		t := tuple{family: y}
		for i, w := range c.warp {
			t.ranks[i] = int32(w.rank)
		}
		t.ranks[len(c.warp)] = int32(c.weft.rank)
		if one, ok := f.reckon(c, t); ok && f.pairs.allowed(c) {
			out = append(out, one)
		}
	}
	for _, weft := range g.all() {
		if !weft.asWeft || weft.join == 0 {
			continue
		}
		subsets(g.all(), colours, nil, func(warp []*lot) { add(choice{slices.Clone(warp), weft}) })
	}
	slices.SortFunc(out, func(a, b found) int {
		if a.place.before(&b.place) {
			return -1
		}
		return 1
	})
	return out
}

// subsets visits every set of up to most lots that may be warp.
func subsets(lots []*lot, most int, chosen []*lot, visit func([]*lot)) {
	if len(chosen) > 0 {
		visit(chosen)
	}
	if len(chosen) == most {
		return
	}
	for i, l := range lots {
		if l.asWarp {
			subsets(lots[i+1:], most, append(chosen[:len(chosen):len(chosen)], l), visit)
		}
	}
}

func wording(f found) string {
	text := fmt.Sprintf("%d/%d:", f.place.bound, f.at)
	for _, w := range f.choice.warp {
		text += " " + w.label
	}
	return text + " + " + f.choice.weft.label
}

func TestNothingBetterIsMissedThanTryingEverythingFinds(t *testing.T) {
	n := 150
	if os.Getenv("ENDSMEET_LONG") == "1" {
		n = 5000
	}
	all := kinds.Usual()
	answered, pruned := 0, 0
	for seed := range n {
		r := rand.New(rand.NewPCG(uint64(seed), 7))
		shelf := randomShelf(r, 2+r.IntN(10), 3+r.IntN(30))
		q := Query{Kind: all[r.IntN(len(all))], Top: 1 + r.IntN(12), Colours: 1 + r.IntN(3),
			Weights: usualWeights, Rest: 25_000}
		if r.IntN(3) == 0 {
			q.Weights = Weights{r.IntN(50), r.IntN(50), r.IntN(50), r.IntN(50)}
		}
		if r.IntN(4) == 0 {
			q.Using = func(l stash.DyeLot) bool { return l.Yarn == "yarn00001" }
		}
		if r.IntN(3) == 0 {
			q.Kind.Facts.FloatingSelvedges, q.Kind.Facts.Loops = 2, r.IntN(2) == 0
		}
		g, f := NewStock(shelf, q).prepare(q)
		if err := f.run(context.Background(), q.colours()); err != nil {
			t.Fatal(err)
		}
		want := everything(g, f, q.colours())
		var got, best []string
		for _, one := range f.best {
			got = append(got, wording(one))
		}
		for _, one := range want[:min(len(want), q.Top)] {
			best = append(best, wording(one))
		}
		if !slices.Equal(got, best) {
			t.Fatalf("seed %d, %s:\n got %q\nwant %q", seed, q.Kind.Name, got, best)
		}
		answered += len(got)
		if f.looked < len(want) {
			pruned++
		}
	}
	if answered < n || pruned < n/4 {
		t.Fatalf("only %d answers in %d searches, %d pruned", answered, n, pruned)
	}
}

func TestASearchCanBeBrokenOff(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	shelf := randomShelf(rand.New(rand.NewPCG(1, 1)), 100, 800)
	if _, err := Find(ctx, shelf, Query{Kind: usualKind("throw"), Colours: 3, Weights: usualWeights,
		Rest: 25_000}); err == nil {
		t.Error("it went on")
	}
}
