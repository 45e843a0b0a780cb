package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"
)

// drawCommand draws a command of a weaver who weighs, weaves, winds, corrects and
// dates what she does now and then wrongly.
func drawCommand(r *rand.Rand) []string {
	tag := []string{"A", "B", "C", "T1"}[r.IntN(4)]
	mass, small := fmt.Sprintf("%dg", 1+r.IntN(350)), fmt.Sprintf("%dg", 1+r.IntN(30))
	piece := fmt.Sprintf("band %d", 1+r.IntN(2))
	commands := [][]string{
		{"receive", "Ossentarn cotton", "--net", mass, "--lot", "7"}, {"weigh", tag, "--net", mass}, {"use", tag, small}, {"discard", tag, small},
		{"give", tag, small, "--to", "a guild"}, {"lend", tag, "--to", "a guild"}, {"return", tag, "--gross", mass}, {"retire", tag, "--leftover", "given"},
		{"wind", tag, small, "--tag", "T1"}, {"wind", tag, small, "--into", "B"}, {"start", "band"}, {"use", tag, small, "--piece", piece},
		{"finish", piece, "--weighed", tag + "=" + mass, "--thrums", "2g"}, {"finish", piece, "--thrums", "2g"}, {"finish", piece},
		{"finish", piece, "--abandon", "no time"}, {"undo"}, {"undo", "--last", "1"},
	}
	args := commands[r.IntN(len(commands))]
	if r.IntN(3) == 0 && args[0] != "undo" {
		args = append(args, "--on", time.Date(2026, 3, 1, r.IntN(24), r.IntN(60), 0, 0, time.UTC).AddDate(0, 0, r.IntN(25)-5).Format("2006-01-02 15:04"))
	}
	return args
}

// histories is how many are drawn: many more where time does not matter.
func histories(n int) int {
	if os.Getenv("ENDSMEET_LONG") != "" {
		return 40 * n
	}
	return n
}

// TestTheJournalOfAnyHistoryBalancesForEachPackage runs commands as they come, on a
// machine whose clock is at times behind, and adds up the journal with hledger: what
// each item received and holds, and what each piece used.
func TestTheJournalOfAnyHistoryBalancesForEachPackage(t *testing.T) {
	hledger := reference(t, "hledger")
	ran := map[string]int{}
	for history := range histories(15) {
		r := rand.New(rand.NewPCG(uint64(history), 7))
		d := newDesk(t)
		now := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
		d.env.now = func() time.Time { return now }
		d.run("receive", "Ossentarn cotton", "--fibre", "cotton", "--count", "8/2 Ne", "--net", "300g", "--tag", "A", "--lot", "7")
		d.run("receive", "Ossentarn cotton", "--net", "200g", "--tag", "B", "--lot", "7")
		d.run("receive", "Ossentarn cotton", "--gross", "150g", "--tare", "20g", "--form", "cone", "--tag", "C", "--lot", "7")
		d.run("project", "add", "band", "--warp", "A", "--weft", "B", "--width", "6cm", "--length", "60cm", "--sett", "6/cm", "--picks", "6/cm", "--structure", "plain")
		d.run("start", "band")
		d.run("lend", "C", "--to", "a guild")
		d.run("return", "C", "--gross", "140g")
		for range 4 + r.IntN(16) {
			now = now.Add(time.Duration(r.IntN(400)-100) * time.Minute)
			args := drawCommand(r)
			if d.try(context.Background(), args...) == 0 {
				ran[args[0]]++
			}
		}
		d.checked()
		d.run("export", "--journal", d.path("stash.journal"))
		sums := map[string]int64{}
		for line := range strings.Lines(output(t, "", hledger, "-f", d.path("stash.journal"), "bal", "-N", "--flat", "--format", "%(account)|%(total)", "stash", "received", "used")) {
			account, total, _ := strings.Cut(strings.TrimSpace(line), "|")
			mg, err := strconv.ParseInt(strings.Fields(total)[0], 10, 64)
			if err != nil {
				t.Fatal(line, err)
			}
			sums[account] += mg
		}
		var items []item
		answer(t, d.run("--json", "list", "--retired"), &items)
		for _, it := range items {
			var p shownPackage
			answer(t, d.run("--json", "show", string(it.ID)), &p)
			if held := sums["stash:"+it.Tag]; p.NetMg == nil && held != 0 || p.NetMg != nil && held != int64(*p.NetMg) {
				t.Fatalf("history %d: %s holds %v, by hledger %d mg", history, it.Tag, p.NetMg, held)
			}
			if got := -sums["received:"+it.Tag]; got != int64(p.Received) {
				t.Fatalf("history %d: %s received %v, by hledger %d mg", history, it.Tag, p.Received, got)
			}
		}
	}
	for _, name := range []string{"weigh", "use", "start", "finish", "undo", "wind", "retire"} {
		if ran[name] == 0 {
			t.Errorf("no %s among the histories: %v", name, ran)
		}
	}
}
