package share

import (
	"context"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// named and open say whether many projects name their yarns or take any that serve.
const (
	named = iota
	open
)

// manyWants is more than eight packages can make: n projects, alike or each of a size
// and in yarns of its own.
func manyWants(seed uint64, n int, alike bool, yarns int) *allotting {
	r := rand.New(rand.NewPCG(seed, 21))
	shelf := shelfOf(r, 8)
	for i := range shelf.Packages {
		shelf.Packages[i].Held = measure.Mass(60+r.IntN(240)) * measure.Gram
		shelf.Packages[i].Lot = ""
	}
	all := []stash.YarnID{"oat", "slate", "moss", "sky"}
	var wants []Want
	width, length := 200+r.Int64N(300), 500+r.Int64N(1200)
	warp, weft := all[r.IntN(2)], all[r.IntN(2)]
	for i := range n {
		if !alike {
			width, length = 150+r.Int64N(400), 400+r.Int64N(1500)
			warp, weft = all[i%4], all[i/4%4]
		}
		b := projectOf(fmt.Sprintf("project %d", i), width, length, warp, weft)
		if yarns == open {
			b.Warp, b.Weft = nil, nil
		}
		wants = append(wants, Want{Project: b})
	}
	a, err := newAllotting(context.Background(), shelf, wants, ByCloth)
	if err != nil {
		panic(err)
	}
	return a
}

// aSecond is the work of a second or less, as the command allows.
const aSecond = 1_200_000

// TestManyProjectsOutOfFewPackages: alike and in named yarns the best is proven; any
// others come within 2 %. The same answer comes again.
func TestManyProjectsOutOfFewPackages(t *testing.T) {
	scarce := 0
	for _, seed := range []uint64{1, 3} {
		for name, a := range map[string]*allotting{
			"12 alike": manyWants(seed, 12, true, named), "14 alike": manyWants(seed, 14, true, named),
			"14 unlike":           manyWants(seed, 14, false, named),
			"12 alike, any yarn":  manyWants(seed, 12, true, open),
			"14 unlike, any yarn": manyWants(seed, 14, false, open)} {
			p := a.problem
			p.Nodes = aSecond
			got, err := Solve(context.Background(), p)
			if err != nil {
				t.Fatal(err)
			}
			if problem := wrong(p, got); problem != "" {
				t.Errorf("%s, seed %d: %s", name, seed, problem)
			}
			if got.Gap() > 0.02 || strings.HasSuffix(name, "alike") && !got.Proven {
				t.Errorf("%s, seed %d: %d, which may be %.2f%% short", name, seed, got.Value,
					100*got.Gap())
			}
			if got.Nodes > 0 {
				scarce++
			}
		}
	}
	if scarce < 4 {
		t.Fatalf("only %d had to be searched", scarce)
	}
}

// program writes any problem as an integer program.
func (p Problem) program() string {
	w := programWriter{use: make([]strings.Builder, len(p.Packages))}
	for b, options := range p.Projects {
		if len(options) == 0 {
			continue
		}
		fmt.Fprintf(&w.rows, " o%d:", b)
		for o, c := range options {
			fmt.Fprintf(&w.rows, " + x%d_%d", b, o)
			fmt.Fprintf(&w.binary, " x%d_%d\n", b, o)
			fmt.Fprintf(&w.goal, " + %d x%d_%d\n", c.Value, b, o)
		}
		w.rows.WriteString(" <= 1\n")
		for o, c := range options {
			w.option(fmt.Sprintf("x%d_%d", b, o), c)
		}
	}
	for i := range w.use {
		if w.use[i].Len() > 0 {
			fmt.Fprintf(&w.rows, " p%d:%s <= %d\n", i, w.use[i].String(), p.Packages[i])
		}
	}
	return "Maximize\n obj:" + w.goal.String() + "\nSubject To\n" + w.rows.String() +
		"General\n" + w.general.String() + "Binary\n" + w.binary.String() + "End\n"
}

type programWriter struct {
	goal, rows, general, binary strings.Builder
	use                         []strings.Builder // of each package
	demands                     int
}

// option writes the rows of one option: its windings and wefts out of their pools.
func (w *programWriter) option(x string, c Option) {
	for _, d := range c.Windings {
		w.demands++
		fmt.Fprintf(&w.rows, " d%d:", w.demands)
		for _, i := range d.Pool {
			fmt.Fprintf(&w.rows, " + n%d_%d", w.demands, i)
			fmt.Fprintf(&w.general, " n%d_%d\n", w.demands, i)
			fmt.Fprintf(&w.use[i], " + %d n%d_%d\n", d.Length, w.demands, i)
		}
		fmt.Fprintf(&w.rows, " - %d %s = 0\n", d.Count, x)
	}
	for _, d := range c.Wefts {
		w.demands++
		fmt.Fprintf(&w.rows, " d%d:", w.demands)
		for _, i := range d.Pool {
			fmt.Fprintf(&w.rows, " + v%d_%d", w.demands, i)
			fmt.Fprintf(&w.use[i], " + v%d_%d\n", w.demands, i)
		}
		fmt.Fprintf(&w.rows, " - %d %s = 0\n", d.Length, x)
	}
}
