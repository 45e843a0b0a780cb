package share

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"endsmeet/stash/outside"
)

// run runs a solver and returns what it wrote into the file out.
func run(t testing.TB, out string, path string, args ...string) string {
	t.Helper()
	msg, err := exec.Command(path, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", path, err, msg)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatalf("%v\n%s", err, msg)
	}
	return string(text)
}

// glpk solves a program with GLPK; ok is false where it found no optimum in time.
func glpk(t testing.TB, path, program string) (value int64, ok bool) {
	dir := t.TempDir()
	in, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.sol")
	write(t, in, program)
	for line := range strings.Lines(run(t, out, path, "--lp", in, "--tmlim", limit(), "-w", out)) {
		if f := strings.Fields(line); len(f) == 6 && f[0] == "s" && f[1] == "mip" {
			return rounded(t, f[5]), f[4] == "o"
		}
	}
	t.Fatal("no solution line")
	return 0, false
}

// cbc solves a program with CBC.
func cbc(t testing.TB, path, program string) (value int64, ok bool) {
	dir := t.TempDir()
	in, out := filepath.Join(dir, "p.lp"), filepath.Join(dir, "p.sol")
	write(t, in, program)
	text := run(t, out, path, in, "ratio", "0", "allow", "0", "sec", limit(), "solve", "solu", out)
	first, _, _ := strings.Cut(text, "\n")
	f := strings.Fields(first)
	if len(f) == 0 || f[0] != "Optimal" {
		return 0, false
	}
	value = rounded(t, f[len(f)-1])
	return max(value, -value), true // it turns a maximum into a minimum
}

// limit is how many seconds an outside solver gets.
func limit() string {
	if os.Getenv("ENDSMEET_LONG") == "1" {
		return "60"
	}
	return "1"
}

func write(t testing.TB, path, text string) {
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func rounded(t testing.TB, text string) int64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	if v < 0 {
		return int64(v - 0.5)
	}
	return int64(v + 0.5)
}

// TestTheOptimumIsThatOfOutsideSolvers holds random instances against GLPK and
// CBC: the same value on every one that they solve.
func TestTheOptimumIsThatOfOutsideSolvers(t *testing.T) {
	for name, solve := range map[string]func(t testing.TB, path, program string) (int64,
		bool){"glpsol": glpk, "cbc": cbc} {
		t.Run(name, func(t *testing.T) {
			path := outside.Program(t, name)
			n := 25
			if os.Getenv("ENDSMEET_LONG") == "1" {
				n = 500
			}
			solved := 0
			for seed := range n {
				in := randomInstance(uint64(seed), 2+seed%5, 8+seed%25)
				got, err := Solve(context.Background(), in.problem())
				if err != nil || !got.Proven {
					t.Fatalf("seed %d: %v, value %d, bound %d", seed, err, got.Value, got.Bound)
				}
				want, ok := solve(t, path, in.program())
				if !ok {
					continue
				}
				solved++
				if got.Value != want {
					t.Errorf("seed %d: %d, %s finds %d", seed, got.Value, name, want)
				}
			}
			if solved < n/2 {
				t.Fatalf("%s solved only %d of %d", name, solved, n)
			}
		})
	}
}

// TestOneInstance solves the instance that ENDSMEET_SHARE names, SEED:PROJECTSxPACKAGES or
// SEED:PROJECTS of kind alike, unlike, alike-open, unlike-open, for comparisons side by side,
// and prints its value and gap; with ENDSMEET_SHARE_LP it writes it as an integer program
// instead.
func TestOneInstance(t *testing.T) {
	name := os.Getenv("ENDSMEET_SHARE")
	if name == "" {
		name = "1:4x12"
	}
	var seed uint64
	var projects, packages int
	var kind, program string
	var p Problem
	if n, _ := fmt.Sscanf(name, "%d:%dx%d", &seed, &projects, &packages); n == 3 {
		in := randomInstance(seed, projects, packages)
		p, program = in.problem(), in.program()
	} else if n, err := fmt.Sscanf(name, "%d:%d%s", &seed, &projects, &kind); n == 3 {
		yarns := named
		if strings.HasSuffix(kind, "open") {
			yarns = open
		}
		p = manyWants(seed, projects, strings.HasPrefix(kind, "alike"), yarns).problem
		program = p.program()
	} else {
		t.Fatal(err)
	}
	if path := os.Getenv("ENDSMEET_SHARE_LP"); path != "" {
		write(t, path, program)
		return
	}
	p.Nodes = aSecond
	began := time.Now()
	got, err := Solve(context.Background(), p)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("value %d, gap %.2f%%, %d nodes, %.3f s", got.Value, 100*got.Gap(), got.Nodes,
		time.Since(began).Seconds())
}
