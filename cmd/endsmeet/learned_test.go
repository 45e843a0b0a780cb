package main

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash/measure"
)

// TestALearnedCountIsTheCountOnEveryScreen weaves a scarf whose yarn turns out
// heavier than its label says, and asks every command that tells a count, a length
// or a weight by it.
func TestALearnedCountIsTheCountOnEveryScreen(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("receive", "Ossentarn cotton", "--fibre", "cotton", "--count", "100 tex", "--net", "400g",
		"--net", "400g", "--tag", "O", "--colour", "oat", "--lot", "7")
	size := []string{"--width", "25cm", "--length", "150cm", "--sett", "6/cm", "--picks", "6/cm",
		"--structure", "plain", "--fringe", "10cm"}
	d.run(append([]string{"project", "add", "scarf", "--warp", "O-1", "--weft", "O-2"}, size...)...)
	d.run("start", "scarf")
	var p show.Planned
	answer(t, d.run("--json", "plan", "scarf"), &p)
	warp := measure.Mass(float64(p.WarpTotal) * 0.106) // 106 tex
	finish := d.run("finish", "scarf 1", "--weighed",
		"O-1="+(400*measure.Gram-warp).Format(measure.Metric))

	var items []struct {
		Mtex   measure.Count  `json:"mtex"`
		Basis  *string        `json:"mtex_basis"`
		Net    measure.Mass   `json:"net_mg"`
		Length measure.Length `json:"length_mm"`
	}
	answer(t, d.run("--json", "list", "O-1"), &items)
	it := items[0]
	if it.Mtex < 103_000 || it.Mtex > 106_000 || it.Basis == nil ||
		!strings.Contains(*it.Basis, "1 piece") {
		t.Fatalf("list: %+v", it)
	}
	if want := float64(it.Net) / float64(it.Mtex) * 1e6; math.Abs(float64(it.Length)-want) > 2 {
		t.Errorf("list: %v of %v by %v", it.Length, it.Net, it.Mtex)
	}
	if left := "about " + it.Length.Yarn(measure.Metric); !strings.Contains(finish, left) {
		t.Errorf("finish does not say %q:\n%s", left, finish)
	}
	answer(t, d.run("--json", "plan", "scarf"), &p)
	told := false
	for _, l := range p.Losses {
		told = told || l.Name == "count of Ossentarn cotton" && l.Value == int64(it.Mtex) &&
			l.Basis == *it.Basis
	}
	if want := float64(p.WarpTotal) * float64(it.Mtex) / 1e6; !told ||
		math.Abs(float64(p.Packages[0].Mass)-want) > 2 {
		t.Errorf("plan: %v of warp, want %.0f; %+v", p.Packages[0].Mass, want, p.Losses)
	}
	for _, args := range [][]string{{"show", "O-1"}, {"show", "Ossentarn cotton"}} {
		if shown := d.run(args...); !strings.Contains(shown,
			it.Mtex.Format(measure.Metric)+", "+*it.Basis) {
			t.Errorf("%q does not say %s, %s:\n%s", args, it.Mtex.Format(measure.Metric), *it.Basis,
				shown)
		}
	}
	var took show.Taken
	answer(t, d.run("--json", "use", "O-1", "100m"), &took)
	if want := float64(100_000) * float64(it.Mtex) / 1e6; math.Abs(float64(took.Taken)-want) > 1 {
		t.Errorf("use 100m took %v, want %.0f mg", took.Taken, want)
	}
}

// answer reads a JSON answer.
func answer(t *testing.T, text string, into any) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), into); err != nil {
		t.Fatal(err, text)
	}
}

func TestTheScaleOfAFinishIsThatOfItsThrums(t *testing.T) {
	t.Parallel()
	d := gateDesk(t)
	d.run("start", "scarf")
	d.run("finish", "scarf 1", "--weighed", "O=320g", "--thrums", "20g", "--scale", "10g")
	var items []show.Item
	answer(t, d.run("--json", "list", "--form", "thrums"), &items)
	it := items[0]
	// A display of 10 g gives 10/(2√3) = 2.89 g, 14.4 % of 20 g (GUM, F.2.2.1).
	if doubt := float64(*it.HighMm-*it.LengthMm) / float64(*it.LengthMm); doubt < 0.14 ||
		doubt > 0.17 {
		t.Errorf("%v, up to %v: a doubt of %.3f", *it.LengthMm, *it.HighMm, doubt)
	}
}
