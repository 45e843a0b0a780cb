package fit

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"endsmeet/stash/measure"
	"endsmeet/stash/outside"
)

// ilp writes the whole-end problem at one finished length as an integer program:
// the greatest weft that is left when `ends` ends are cut from the packages.
//
//	maximise   Σ_weft usable_i − end·Σ_mixed n_i
//	subject to Σ n_i = ends,  0 ≤ n_i ≤ R_i/end, n_i integer
//
// The bound is left fractional, so that rounding down is the solver's work.
func ilp(r Request, ends int, end float64) string {
	var b strings.Builder
	b.WriteString("Maximize\n obj: 0 none")
	for i, k := range r.Packages {
		if k.ForWarp && k.ForWeft {
			fmt.Fprintf(&b, " - %g n%d", end, i)
		}
	}
	b.WriteString("\nSubject To\n cut:")
	for i := range r.Packages {
		fmt.Fprintf(&b, " + n%d", i)
	}
	fmt.Fprintf(&b, " = %d\n", ends)
	for i, k := range r.Packages {
		if k.ForWarp {
			fmt.Fprintf(&b, " c%d: %g n%d <= %d\n", i, end, i, k.Length)
		} else {
			fmt.Fprintf(&b, " c%d: n%d = 0\n", i, i)
		}
	}
	b.WriteString("Bounds\n")
	for i := range r.Packages {
		fmt.Fprintf(&b, " n%d >= 0\n", i)
	}
	b.WriteString("General\n")
	for i := range r.Packages {
		fmt.Fprintf(&b, " n%d\n", i)
	}
	b.WriteString("End\n")
	return b.String()
}

// solveILP runs glpsol; ok is false where the program is infeasible.
func solveILP(t testing.TB, path, program string) (objective float64, ok bool) {
	t.Helper()
	dir := t.TempDir()
	in, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.sol")
	if err := os.WriteFile(in, []byte(program), 0o600); err != nil {
		t.Fatal(err)
	}
	if msg, err := exec.Command(path, "--lp", in, "-w", out).CombinedOutput(); err != nil {
		t.Fatalf("glpsol: %v\n%s", err, msg)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(string(text), "\n") {
		f := strings.Fields(line)
		if len(f) == 6 && f[0] == "s" && f[1] == "mip" { // s mip rows columns status objective
			objective, err = strconv.ParseFloat(f[5], 64)
			return objective, err == nil && f[4] == "o"
		}
	}
	t.Fatalf("no solution line in\n%s", text)
	return 0, false
}

// randomRequest draws packages of real sizes.
func randomRequest(r *rand.Rand) Request {
	req := Request{
		Geometry: plain{fixed: 400 + r.Int64N(500), num: 115 + r.Int64N(20), den: 100, gap: 2,
			pick: 2},
		Join: measure.Length(20 * r.IntN(3)),
	}
	for i := range 2 + r.IntN(10) {
		k := ball(i, 4000+r.Int64N(60000))
		k.ForWarp = i == 0 || r.IntN(4) > 0
		k.ForWeft = r.IntN(3) > 0
		req.Packages = append(req.Packages, k)
	}
	return req
}

// TestWholeEndsAreThoseOfTheIntegerProgram asks GLPK at the greatest length found and
// one millimetre above it, for a random end count of each instance.
func TestWholeEndsAreThoseOfTheIntegerProgram(t *testing.T) {
	path := outside.Program(t, "glpsol")
	n := 40
	if os.Getenv("ENDSMEET_LONG") == "1" {
		n = 1000
	}
	open := 0
	for seed := range n {
		r := rand.New(rand.NewPCG(uint64(seed), 3))
		req := randomRequest(r)
		ends := 1 + r.IntN(60)
		req.Ends.Min, req.Ends.Max = ends, ends
		res, err := Solve(req)
		if err != nil {
			t.Fatal(err)
		}
		var lf measure.Length
		if len(res.Frontier) == 1 {
			lf = res.Frontier[0].Length
			open++
		}
		if lf > 0 && !programFits(t, path, req, ends, lf) {
			t.Errorf("seed %d: GLPK finds no way at %d mm", seed, lf)
		}
		if programFits(t, path, req, ends, lf+1) {
			t.Errorf("seed %d: GLPK finds a way at %d mm, Solve stops at %d", seed, lf+1, lf)
		}
	}
	if open < n/3 {
		t.Fatalf("only %d of %d instances have a size", open, n)
	}
}

// programFits decides a size with GLPK.
func programFits(t testing.TB, path string, r Request, ends int, lf measure.Length) bool {
	most, ok := solveILP(t, path, ilp(r, ends, float64(r.Geometry.WarpEnd(lf))))
	if !ok {
		return false
	}
	usable, join := 0.0, 0.0
	for _, k := range r.Packages {
		if k.ForWeft && k.Length > r.Join {
			usable += float64(k.Length - r.Join)
			join = float64(r.Join)
		}
	}
	return usable+join+most >= float64(r.Geometry.Weft(ends, lf))-1e-6
}

// BenchmarkGLPKProcess is one size decided by a glpsol process; Solve searches all sizes.
func BenchmarkGLPKProcess(b *testing.B) {
	path := outside.Program(b, "glpsol")
	req := randomRequest(rand.New(rand.NewPCG(4, 3)))
	for b.Loop() {
		programFits(b, path, req, 20, 500)
	}
}

// BenchmarkSameInstance is the search over all lengths of the instance of BenchmarkGLPKProcess.
func BenchmarkSameInstance(b *testing.B) {
	req := randomRequest(rand.New(rand.NewPCG(4, 3)))
	s := newSolver(&req)
	for b.Loop() {
		s.greatestLength(20)
	}
}
