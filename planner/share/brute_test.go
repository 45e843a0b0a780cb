package share

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
)

// tiny draws a problem of any shape that trying everything can solve: pools that
// overlap, options without warp or weft, several windings in one option.
func tiny(seed uint64) Problem {
	r := rand.New(rand.NewPCG(seed, 5))
	var p Problem
	for range 1 + r.IntN(4) {
		p.Packages = append(p.Packages, r.Int64N(30))
	}
	pool := func() []int {
		var out []int
		for i := range p.Packages {
			if r.IntN(2) == 0 {
				out = append(out, i)
			}
		}
		return out
	}
	for range 1 + r.IntN(3) {
		var options []Option
		for range r.IntN(4) {
			o := Option{Value: r.Int64N(20)}
			for range r.IntN(3) {
				o.Windings = append(o.Windings, Windings{pool(), r.IntN(4), 1 + r.Int64N(9)})
			}
			for range r.IntN(3) {
				o.Wefts = append(o.Wefts, Weft{pool(), r.Int64N(15)})
			}
			options = append(options, o)
		}
		for range 1 + r.IntN(3)/2 { // some projects are alike
			p.Projects = append(p.Projects, options)
		}
	}
	return p
}

// tryAll is the greatest value of all choices that can be cut, each winding and
// each millimetre tried in every package.
func tryAll(p Problem, b int, rest []int64, value int64, asked []Option) int64 {
	if b == len(p.Projects) {
		if cutAll(rest, asked, 0, 0) {
			return value
		}
		return 0
	}
	best := tryAll(p, b+1, rest, value, asked)
	for _, o := range p.Projects[b] {
		best = max(best, tryAll(p, b+1, rest, value+o.Value,
			append(asked[:len(asked):len(asked)], o)))
	}
	return best
}

// cutAll cuts the windings one by one, then looks for room for the wefts.
func cutAll(rest []int64, asked []Option, o, w int) bool {
	if o == len(asked) {
		return weaveAll(rest, asked)
	}
	if w == len(asked[o].Windings) {
		return cutAll(rest, asked, o+1, 0)
	}
	return cutOne(rest, asked, o, w, asked[o].Windings[w].Count, 0)
}

func cutOne(rest []int64, asked []Option, o, w, left, from int) bool {
	if left == 0 {
		return cutAll(rest, asked, o, w+1)
	}
	d := asked[o].Windings[w]
	for at := from; at < len(d.Pool); at++ {
		i := d.Pool[at]
		if rest[i] < d.Length {
			continue
		}
		rest[i] -= d.Length
		ok := cutOne(rest, asked, o, w, left-1, at)
		rest[i] += d.Length
		if ok {
			return true
		}
	}
	return false
}

// weaveAll is Hall's condition: no set of wefts asks for more than all packages
// that any of them may use hold.
func weaveAll(rest []int64, asked []Option) bool {
	var wefts []Weft
	for _, o := range asked {
		wefts = append(wefts, o.Wefts...)
	}
	for set := range 1 << len(wefts) {
		var need, have int64
		may := map[int]bool{}
		for d, w := range wefts {
			if set>>d&1 == 1 {
				need += w.Length
				for _, i := range w.Pool {
					may[i] = true
				}
			}
		}
		for i := range may {
			have += rest[i]
		}
		if need > have {
			return false
		}
	}
	return true
}

func TestTheOptimumIsThatOfTryingEverything(t *testing.T) {
	made := 0
	for seed := range uint64(4000) {
		p := tiny(seed)
		got, err := Solve(context.Background(), p)
		if err != nil || !got.Proven {
			t.Fatalf("seed %d: %v, %+v", seed, err, got)
		}
		if want := tryAll(p, 0, append([]int64(nil), p.Packages...), 0, nil); got.Value != want {
			t.Fatalf("seed %d: %d, trying everything finds %d\n%+v", seed, got.Value, want, p)
		}
		if problem := wrong(p, got); problem != "" {
			t.Fatalf("seed %d: %s", seed, problem)
		}
		if got.Value > 0 {
			made++
		}
	}
	if made < 1000 {
		t.Fatalf("only %d instances make anything", made)
	}
}

// wrong holds what a solution takes of the packages against what it chose.
func wrong(p Problem, s Solution) string {
	rest := append([]int64(nil), p.Packages...)
	value := int64(0)
	for b, at := range s.Choice {
		if at < 0 {
			if len(s.Uses[b]) > 0 {
				return fmt.Sprintf("project %d is not made and takes yarn", b)
			}
			continue
		}
		o := p.Projects[b][at]
		value += o.Value
		windings, weft := make([]int, len(o.Windings)), make([]int64, len(o.Wefts))
		for _, u := range s.Uses[b] {
			for d, n := range u.Windings {
				windings[d] += n
				rest[u.Package] -= int64(n) * o.Windings[d].Length
				if n > 0 && !contains(o.Windings[d].Pool, []int{u.Package}) {
					return "a winding from outside its pool"
				}
			}
			for d, v := range u.Weft {
				weft[d] += v
				rest[u.Package] -= v
				if v > 0 && !contains(o.Wefts[d].Pool, []int{u.Package}) {
					return "weft from outside its pool"
				}
			}
		}
		for d, w := range o.Windings {
			if windings[d] != w.Count {
				return fmt.Sprintf("project %d: %d windings of %d", b, windings[d], w.Count)
			}
		}
		for d, w := range o.Wefts {
			if weft[d] != w.Length {
				return fmt.Sprintf("project %d: %d mm of %d", b, weft[d], w.Length)
			}
		}
	}
	for i, r := range rest {
		if r < 0 {
			return fmt.Sprintf("package %d is overdrawn by %d mm", i, -r)
		}
	}
	if value != s.Value {
		return fmt.Sprintf("a value of %d is called %d", value, s.Value)
	}
	return ""
}
