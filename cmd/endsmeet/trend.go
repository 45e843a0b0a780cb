package main

import (
	"io"
	"math"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/trend"
	"endsmeet/stash/sqlite"
)

func trendCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "trend", Category: groupLooking,
		Usage: "See what came in and went out, by year and fibre, and when this pace empties the shelf.",
		Description: "Yarn counts from the day it was acquired, where that is recorded. Gone is what was discarded, given\n" +
			"or is unexplained. The pace is that of the last twelve full months.",
		Flags: []cli.Flag{&cli.BoolFlag{Name: "months", Usage: "by month, the last two years"},
			barsFlag()},
		Action: action(e, 0, 0, showTrend),
	}
}

func showTrend(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		s, err := newShelf(tx)
		if err != nil {
			return err
		}
		r, err := (&bookMaker{k: k, tx: tx, s: s}).report()
		if err != nil {
			return err
		}
		v := show.TrendView{Units: k.units, Bars: k.drawn(), Months: k.Bool("months")}
		return k.answer(trendShapeOf(r), func(w io.Writer) { show.PrintTrend(w, r, v) })
	})
}

func trendShapeOf(r trend.Report) show.TrendAnswer {
	shape := show.TrendAnswer{HeldMg: r.Held(), Fibres: trendShares(r.Fibres),
		Ages: trendShares(r.Ages)}
	for _, m := range r.Months {
		shape.Months = append(shape.Months, show.TrendMonth{Month: m.First.Format("2006-01"), InMg: m.In, UsedMg: m.Used,
			GoneMg: m.Gone, HeldMg: m.Held})
	}
	if !r.Pace.Known() {
		return shape
	}
	shape.Pace = &show.TrendPace{OfMonths: r.Pace.Months, InMg: r.Pace.In, OutMg: r.Pace.Out}
	if years, ever := r.Pace.Empty(); ever {
		shape.Pace.EmptyYears = tenth(years)
	}
	if years, ever := r.Pace.WithoutNew(); ever {
		shape.Pace.IdleYears = tenth(years)
	}
	return shape
}

func tenth(x float64) *float64 {
	x = math.Round(x*10) / 10
	return &x
}

func trendShares(all []trend.Share) []show.TrendShare {
	var out []show.TrendShare
	for _, s := range all {
		out = append(out, show.TrendShare{Name: s.Name, HeldMg: s.Held, UsedMg: s.Used, GoneMg: s.Gone})
	}
	return out
}
