package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/outside"
	"endsmeet/stash/sqlite"
)

// drawCommand draws a command of a weaver who weighs, weaves, winds, corrects and
// dates what she does now and then wrongly.
func drawCommand(r *rand.Rand) []string {
	tag := []string{"A", "B", "C", "T1"}[r.IntN(4)]
	mass, small := fmt.Sprintf("%dg", 1+r.IntN(350)), fmt.Sprintf("%dg", 1+r.IntN(30))
	piece := fmt.Sprintf("band %d", 1+r.IntN(2))
	commands := [][]string{
		{"receive", "Ossentarn cotton", "--net", mass, "--lot", "7"},
		{"weigh", tag, "--net", mass, "--as-read"},
		{"use", tag, small}, {"discard", tag, small},
		{"give", tag, small, "--to", "a guild"}, {"lend", tag, "--to", "a guild"},
		{"return", tag, "--gross", mass, "--as-read"}, {"retire", tag, "--leftover", "given"},
		{"wind", tag, small, "--tag", "T1"}, {"wind", tag, small, "--into", "B"}, {"start", "band"},
		{"use", tag, small, "--piece", piece},
		{"finish", piece, "--weighed", tag + "=" + mass, "--thrums", "2g"},
		{"finish", piece, "--thrums", "2g"}, {"finish", piece},
		{"finish", piece, "--abandon", "no time"}, {"undo"}, {"undo", "--last", "1"},
		{"set", tag, "acquired=2026-02"}, {"set", tag, "tare=12g", "--as-read"},
	}
	args := commands[r.IntN(len(commands))]
	if r.IntN(3) == 0 && args[0] != "undo" {
		args = append(args, "--on", time.Date(2026, 3, 1, r.IntN(24), r.IntN(60), 0, 0,
			time.UTC).AddDate(0, 0, r.IntN(25)-5).Format("2006-01-02 15:04"))
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
	t.Parallel()
	hledger := outside.Program(t, "hledger")
	ran, usedPieces := map[string]int{}, 0
	for history := range histories(15) {
		r := rand.New(rand.NewPCG(uint64(history), 7))
		d := newDesk(t)
		now := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
		d.env.now = func() time.Time { return now }
		d.run("receive", "Ossentarn cotton", "--fibre", "cotton", "--count", "8/2 Ne", "--net",
			"300g", "--tag", "A", "--lot", "7", "--price", "3.17 EUR per 100g")
		d.run("receive", "Ossentarn cotton", "--net", "200g", "--tag", "B", "--lot", "7", "--price",
			"7.99 EUR")
		d.run("receive", "Ossentarn cotton", "--gross", "150g", "--tare", "20g", "--form", "cone",
			"--tag", "C", "--lot", "7")
		d.run("project", "add", "band", "--warp", "A", "--weft", "B", "--width", "6cm", "--length",
			"60cm", "--sett", "6/cm", "--picks", "6/cm", "--structure", "plain")
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
		for line := range strings.Lines(output(t, "", hledger, "-f", d.path("stash.journal"), "bal",
			"-N", "--flat", "--format", "%(account)|%(total)", "stash", "received", "used")) {
			account, total, _ := strings.Cut(strings.TrimSpace(line), "|")
			mg, err := strconv.ParseInt(strings.Fields(total)[0], 10, 64)
			if err != nil {
				t.Fatal(line, err)
			}
			sums[account] += mg
		}
		usedPieces += d.usedAsInJournal(hledger, history)
		var items []show.Item
		answer(t, d.run("--json", "list", "--retired"), &items)
		closing := yearAsHledgerAddsItUp(t, d, hledger)
		want := map[string]int64{} // by tag: one may be given again when what bore it is retired
		for _, it := range items {
			var p show.Package
			answer(t, d.run("--json", "show", string(it.ID)), &p)
			want["stash:"+it.Tag] += int64(orZero(p.NetMg))
			want["received:"+it.Tag] -= int64(p.Received)
			closing -= boughtFor(p)
		}
		if closing != 0 {
			t.Fatalf("history %d: what is there was bought for %d thousandths of EUR more than its prices say", history, closing)
		}
		for account, mg := range want {
			if sums[account] != mg {
				t.Fatalf("history %d: %s is %d mg, by hledger %d", history, account, mg,
					sums[account])
			}
		}
	}
	if usedPieces == 0 {
		t.Error("no piece used anything")
	}
	for _, name := range []string{"weigh", "use", "start", "finish", "undo", "wind", "retire"} {
		if ran[name] == 0 {
			t.Errorf("no %s among the histories: %v", name, ran)
		}
	}
}

// usedAsInJournal holds what each item gave to each piece, less the thrums that
// came back out of it, against the sums of hledger, and counts the sums.
func (d *desk) usedAsInJournal(hledger string, history int) int {
	d.t.Helper()
	want := map[string]int64{}
	s, err := sqlite.Open(context.Background(), d.path(d.stash), d.env.options())
	if err != nil {
		d.t.Fatal(err)
	}
	defer s.Close()
	err = s.View(context.Background(), func(tx *sqlite.Tx) error {
		pieces, err := tx.Pieces(false)
		if err != nil {
			return err
		}
		packages, err := tx.Packages(false)
		for _, p := range packages {
			for _, piece := range pieces {
				want[p.Label()+"|used:"+piece.Name] += int64(p.UsedIn[piece.ID])
				if piece.Finish != nil {
					want[p.Label()+"|used:"+piece.Name] -= salvagedIn(piece.Finish.Thrums, p.ID)
				}
			}
			other := p.Used
			for _, used := range p.UsedIn {
				other -= used
			}
			want[p.Label()+"|used:other"] += int64(other)
		}
		return err
	})
	if err != nil {
		d.t.Fatal(err)
	}
	maps.DeleteFunc(want, func(_ string, mg int64) bool { return mg == 0 })
	got := map[string]int64{}
	rows, err := csv.NewReader(strings.NewReader(output(d.t, "", hledger, "-f",
		d.path("stash.journal"), "register", "used", "-O", "csv"))).ReadAll()
	if err != nil {
		d.t.Fatal(err)
	}
	for _, row := range rows[1:] { // txnidx, date, code, description, account, amount, total
		mg, err := strconv.ParseInt(strings.Fields(row[5])[0], 10, 64)
		if err != nil {
			d.t.Fatal(row, err)
		}
		words := strings.Fields(row[3])
		got[words[len(words)-1]+"|"+row[4]] += mg
	}
	maps.DeleteFunc(got, func(_ string, mg int64) bool { return mg == 0 })
	if !maps.Equal(got, want) {
		d.t.Fatalf("history %d: used %v, by hledger %v", history, want, got)
	}
	return len(got)
}

// salvagedIn is what a finish cut off as thrums into a package.
func salvagedIn(cut []stash.Thrums, id stash.PackageID) (sum int64) {
	for _, c := range cut {
		if c.Package == id {
			sum += int64(c.Mass)
		}
	}
	return sum
}

func orZero(m *measure.Mass) measure.Mass {
	if m == nil {
		return 0
	}
	return *m
}
