package main

import (
	"math"
	"math/big"
	"os"
	"strconv"
	"strings"
	"testing"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/books"
)

// yearAsHledgerAddsItUp holds what `year` says, in yarn and in money, against the
// balances of the journal as hledger has them, and gives what the yarn that is there
// was bought for, in thousandths.
func yearAsHledgerAddsItUp(t *testing.T, d *desk, hledger string) int64 {
	t.Helper()
	var y show.YearShape
	answer(t, d.run("--json", "year"), &y)
	d.run("year", "--journal", d.path("year.journal"))
	defer os.Remove(d.path("year.journal"))
	for account, a := range map[string]books.Amount{
		"^stash": y.Closing, "^received": y.Received, "^used": y.Used, "^discarded": y.Discarded,
		"^given": y.Given, "^unexplained": y.Unexplained,
	} {
		sum := func(cost ...string) map[string]float64 {
			got := map[string]float64{}
			args := append([]string{"-f", d.path("year.journal"), "bal", "-N", "--flat", "--format",
				"%(total)", account}, cost...)
			for line := range strings.Lines(output(t, "", hledger, args...)) {
				for part := range strings.SplitSeq(strings.TrimSpace(line), ", ") {
					number, unit, _ := strings.Cut(part, " ")
					n, err := strconv.ParseFloat(number, 64)
					if err != nil && part != "" {
						t.Fatal(line, err)
					}
					got[strings.Trim(unit, `"`)] += n
				}
			}
			return got
		}
		sign := 1.0
		if account == "^received" {
			sign = -1
		}
		if mass := sign * sum()["mg"]; mass != float64(a.Mass) {
			t.Fatalf("%s: %d mg, by hledger %v", account, a.Mass, mass)
		}
		if paid := math.Round(1000 * sign * sum("-B")["EUR"]); paid != float64(a.Paid["EUR"]) {
			t.Fatalf("%s: %d thousandths of EUR, by hledger %v", account, a.Paid["EUR"], paid)
		}
	}
	if y.Opening.Mass+y.Received.Mass-y.Used.Mass-y.Discarded.Mass-y.Given.Mass-y.Unexplained.Mass != y.Closing.Mass {
		t.Fatalf("the year does not add up: %+v", y)
	}
	left := y.Received.Paid["EUR"] - y.Used.Paid["EUR"] - y.Discarded.Paid["EUR"] - y.Given.Paid["EUR"] - y.Unexplained.Paid["EUR"] - y.Closing.Paid["EUR"]
	if left != y.Rounding["EUR"] {
		t.Fatalf("%d thousandths do not come out even, rounding says %d", left, y.Rounding["EUR"])
	}
	return y.Closing.Paid["EUR"]
}

// boughtFor is what an item's yarn was bought for, to the cent, by its price as a fraction,
// in thousandths.
func boughtFor(p show.Package) int64 {
	if p.Price == nil || p.NetMg == nil {
		return 0
	}
	per := p.Price.Per
	if per == 0 {
		per = p.Received
	}
	r := new(big.Rat).Mul(big.NewRat(p.Price.Milli, int64(per)),
		big.NewRat(int64(*p.NetMg), 10))
	r.Add(r, big.NewRat(1, 2))
	return 10 * new(big.Int).Div(r.Num(), r.Denom()).Int64()
}
