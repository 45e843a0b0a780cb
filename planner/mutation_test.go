package planner

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// mutations are one wrong text for each constant and each term.
var mutations = []struct{ pkg, file, is, wrong string }{
	{".", "needfinish.go", `"edges.hem_stitched", 4, 0`, `"edges.hem_stitched", 5, 0`},
	{".", "needfinish.go", `"edges.bound", 2, 5 *`, `"edges.bound", 3, 5 *`},
	{".", "needfinish.go", `2, 5 * measure.Percent`, `2, 0 * measure.Percent`},
	{".", "needfinish.go", `s.Pieces*s.Edges.Finished[f]`, `s.Edges.Finished[f]`},
	{".", "needweft.go", `{"sample", s.sampleWeft(a)`, `{"sample", 0`},
	{".", "needweft.go", `{"header", s.Loom.HeaderWeft`, `{"header", 0`},
	{".", "needweft.go", `s.finishLine(f, a.web)`, `s.finishLine(f, a.reed)`},
	{".", "needweft.go", `measure.Length(s.Weft.Joins) * s.Weft.Overlap`,
		`measure.Length(s.Weft.Joins)`},
	{".", "needweft.go", `many := int64(s.Pieces) * int64(s.Weft.strands())`,
		`many := int64(s.Pieces)`},
	{".", "needweft.go", `newFrac(whole+int64(s.Losses.WeftTakeUp), whole)`,
		`newFrac(whole, whole)`},
	{".", "needweft.go", `newFrac(int64(web)*whole, whole-int64(s.Losses.DrawIn))`,
		`newFrac(int64(web), 1)`},
	{".", "needweft.go", `int64(s.Pieces) * int64(s.Weft.MassPerArea)`,
		`int64(s.Weft.MassPerArea)`},
	{".", "needlines.go", `n * s.woven()`, `s.woven()`},
	{".", "needlines.go", `taken - relaxed, s`, `(taken - relaxed) / 2, s`},
	{".", "needlines.go", `(n - 1) * s.gap()`, `n * s.gap()`},
	{".", "needlines.go", `max(0, s.Edges.Start().Raw()-front)`, `s.Edges.Start().Raw()`},
	{".", "needlines.go", `max(0, s.Edges.Last().Raw()-back)`, `0`},
	{".", "needlines.go", `{"sample", s.Loom.Sample`, `{"sample", 0`},
	{".", "needlines.go", `{"header", s.Loom.HeaderWarp`, `{"header", 0`},
	{".", "needinverse.go", `s.Unwoven() + s.Loom.Margin`, `s.Unwoven()`},
	{".", "needwaste.go", `measure.Length(s.Pieces-1)*s.gap() + s.Front()`, `s.Front()`},
	{".", "needwaste.go", `s.Back() + s.Loom.Sample`, `s.Back()`},
	{".", "needmath.go", `return newFrac(int64(s.Pieces)*(whole+int64(s.Losses.WarpTakeUp)),`,
		`return newFrac(int64(s.Pieces)*whole,`},
	{".", "needmath.go", `	whole-int64(s.Losses.WetLength))
}

// taping`, `	whole)
}

// taping`},
	{".", "needmath.go", `newFrac(whole+int64(s.Losses.Stretch), whole-int64(s.Losses.WetLength))`, `newFrac(whole, whole-int64(s.Losses.WetLength))`},
	{".", "needmath.go", `(whole+int64(s.Losses.Stretch))*threadsLow(s.beaten())`,
		`whole*threadsLow(s.beaten())`},
	{".", "needmath.go", `float64(s.Cloth.Picks)*s.Losses.Beating.Float()`,
		`float64(s.Cloth.Picks)*0`},
	{".", "needmath.go", `(whole-int64(s.Losses.WetWidth))*(whole-int64(s.Losses.DrawIn)))`,
		`(whole-int64(s.Losses.WetWidth))*whole)`},
	{".", "needwaste.go", `newFrac(whole, whole+int64(s.Losses.Strain))`,
		`newFrac(whole, whole)`},
	{".", "balance.go", `(1 + l.WarpTakeUp.Float()) / (1 + l.Stretch.Float())`,
		`1 / (1 + l.Stretch.Float())`},
	{".", "balance.go", `(1 + l.Strain.Float()) * l.PerTape()`, `l.PerTape()`},
	{".", "balance.go", `1/l.PerTape()-1`, `1/l.PerTape()-0.9`},
	{"./search", "search/items.go", `web := width * spec.Losses.Damp()`,
		`web := width / spec.Losses.Damp() / 2`},
	{"./search", "search/items.go", `least / slack, most * slack`, `least * 1.3, most * slack`},
	{"./search", "search/items.go", `least / slack, most * slack`, `least / slack, most * 0.5`},
	{"./search", "search/items.go", `rags(width) / slack`, `rags(width) * 1.5`},
	{"./search", "search/items.go", `s.least/slack - 2`, `s.least*1.3 - 2`},
	{"./search", "search/judge.go", `return 2, 2 * end`, `return 2, end`},
	{"./search", "search/judge.go", `(ends*max(1, j.base.Ends.Strands) + per - 1) / per`,
		`(ends + per - 1) / per`},
	{"./search", "search/judge.go", `* per / max(1, j.base.Ends.Strands)`, `* per`},
	{"./search", "search/judge.go", `s.Losses.WarpTakeUp /= measure.Ratio(n)`,
		`s.Losses.WarpTakeUp /= 1`},
	{"./search", "search/judge.go", `s.Cloth.Sett /= measure.Sett(n)`, `s.Cloth.Sett /= 1`},
	{"./search", "search/judge.go", `have -= j.warpOf(t.ends[i], t.end)`, `have -= 0`},
	{"./search", "search/judge.go", `ends/(2*colours)`, `ends/(4*colours)`},
	{"./search", "search/query.go", `left < q.Rest`, `left < 0`},
	{"./search", "search/judge.go", `used += t.weft`, `used += 0`},
	{"./search", "search/judge.go", `Finished[planner.HemStitching] = 0`,
		`Finished[planner.HemStitching] += 0`},
	{"./search", "search/judge.go", `/weft.tex) + 1`, `/weft.tex) / 2`},
	{"./search", "search/lot.go", `low95 = 1.959964`, `low95 = 1.0`},
	{"./search", "search/shape.go", `larger = 1.05`, `larger = 1.5`},
	{"./search", "search/shape.go", `widths = 48`, `widths = 2`},
	{"./search", "search/answer.go", `hi-lo > 1 && lo < 1000`, `hi-lo > 400 && lo < 1000`},
	{"./making", "making/taking.go", `now, counted = *all, either`, `now = *all`},
	{"./making", "making/taking.go", `k.ForWarp && warp[key(&p)], k.ForWeft && weft[key(&p)]`,
		`k.ForWarp, k.ForWeft`},
	{"./share", "making/otherlots.go", `warp[n%len(warp)], weft[n/len(warp)]`, `warp[0*n], weft[n/len(warp)]`},
	{"./share", "making/leeway.go", `spec.Loom.Margin = windingOf(e.set, middle).margin()`,
		`spec.Loom.Margin = 0`},
	{"./share", "share/builder.go", `long.WarpEnd * measure.Length(per)`,
		`(long.WarpEnd - long.Spec.Loom.Margin) * measure.Length(per)`},
	{"./share", "verdict/case.go", `given = o.Allotments`, `given = p.Plan.Allotments`},
	{"./share", "making/second.go", `b.Pieces = 1`, `b.Pieces = 2`},
	{"./chance", "chance/family.go", `a.mean + share*(b.mean-a.mean)`, `a.mean + 0.9*share*a.mean`},
}

// A change whose text no longer stands in its file changes nothing.
func TestEveryMutationFindsItsText(t *testing.T) {
	for _, m := range mutations {
		source, err := os.ReadFile(m.file)
		if n := strings.Count(string(source), m.is); err != nil || n != 1 {
			t.Errorf("%s: %q stands there %d times, not once (%v)", m.file, m.is, n, err)
		}
	}
}

// TestEveryTermOfTheReckoningIsHeldByATest changes each constant and each term of what
// warp and weft of a piece need, and of the bounds that `fits` takes from it, one at a
// time: with any of them wrong some test fails. It builds each change with the compiler's
// overlay; the files stay as they are.
func TestEveryTermOfTheReckoningIsHeldByATest(t *testing.T) {
	if os.Getenv("ENDSMEET_LONG") != "1" {
		t.Skip("minutes; set ENDSMEET_LONG=1")
	}
	for _, m := range mutations {
		t.Run(m.wrong, func(t *testing.T) {
			if out, passes := mutated(t, m.pkg, m.file, m.is, m.wrong); passes {
				t.Errorf("%s with %q for %q: no test fails\n%s", m.file, m.wrong, m.is, out)
			}
		})
	}
}

// mutated runs the tests of a package with one text of a file in place of another, and
// says whether they pass. What does not compile is no change.
func mutated(t *testing.T, pkg, file, is, wrong string) (string, bool) {
	t.Helper()
	path, err := filepath.Abs(file)
	if err != nil {
		t.Fatal(err)
	}
	source, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if strings.Count(string(source), is) != 1 {
		t.Fatalf("%s: %q stands there %d times, not once", file, is,
			strings.Count(string(source), is))
	}
	changed := filepath.Join(t.TempDir(), "changed.go")
	overlay := filepath.Join(t.TempDir(), "overlay.json")
	replace, err := json.Marshal(map[string]map[string]string{"Replace": {path: changed}})
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{changed: []byte(strings.Replace(string(source), is,
		wrong, 1)), overlay: replace} {
		if err := os.WriteFile(name, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command("go", "test", "-count=1", "-overlay", overlay, pkg, "-args",
		"-rapid.nofailfile")
	cmd.Env = append(os.Environ(), "ENDSMEET_LONG=")
	out, err := cmd.CombinedOutput()
	if strings.Contains(string(out), "[build failed]") {
		t.Fatalf("%s with %q does not compile:\n%s", file, wrong, out)
	}
	return string(out), err == nil
}
