package main

import (
	"fmt"
	"io"
	"math"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/trend"
	"endsmeet/stash/measure"
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

// trendShape is the JSON shape of `trend`; nothing is known of a pace of fewer than
// six full months.
type trendShape struct {
	HeldMg measure.Mass `json:"held_mg"`
	Months []trendMonth `json:"months"`
	Fibres []trendShare `json:"fibres"`
	Ages   []trendShare `json:"ages"`
	Pace   *trendPace   `json:"pace"`
}

type trendMonth struct {
	Month  string       `json:"month"`
	InMg   measure.Mass `json:"in_mg"`
	UsedMg measure.Mass `json:"used_mg"`
	GoneMg measure.Mass `json:"gone_mg"`
	HeldMg measure.Mass `json:"held_mg"`
}

type trendShare struct {
	Name   string       `json:"name"`
	HeldMg measure.Mass `json:"held_mg"`
	UsedMg measure.Mass `json:"used_mg"`
	GoneMg measure.Mass `json:"gone_mg"`
}

// trendPace is for a year; null where the shelf never empties.
type trendPace struct {
	OfMonths   int          `json:"of_months"`
	InMg       measure.Mass `json:"in_mg"`
	OutMg      measure.Mass `json:"out_mg"`
	EmptyYears *float64     `json:"empty_in_years"`
	IdleYears  *float64     `json:"empty_in_years_without_new_yarn"`
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
		return k.answer(trendShapeOf(r), func(w io.Writer) { k.printTrend(w, r) })
	})
}

func trendShapeOf(r trend.Report) trendShape {
	shape := trendShape{HeldMg: r.Held(), Months: []trendMonth{}, Fibres: trendShares(r.Fibres),
		Ages: trendShares(r.Ages)}
	for _, m := range r.Months {
		shape.Months = append(shape.Months, trendMonth{m.First.Format("2006-01"), m.In, m.Used,
			m.Gone, m.Held})
	}
	if !r.Pace.Known() {
		return shape
	}
	shape.Pace = &trendPace{OfMonths: r.Pace.Months, InMg: r.Pace.In, OutMg: r.Pace.Out}
	if years, ever := r.Pace.Empty(); ever {
		shape.Pace.EmptyYears = tenth(years)
	}
	if years, ever := r.Pace.Idle(); ever {
		shape.Pace.IdleYears = tenth(years)
	}
	return shape
}

func tenth(x float64) *float64 {
	x = math.Round(x*10) / 10
	return &x
}

func trendShares(all []trend.Share) []trendShare {
	out := []trendShare{}
	for _, s := range all {
		out = append(out, trendShare{s.Name, s.Held, s.Used, s.Gone})
	}
	return out
}

// printTrend answers first when this pace empties the shelf, then shows the years,
// the fibres and how old the yarn is.
func (k *call) printTrend(w io.Writer, r trend.Report) {
	if len(r.Months) == 0 {
		fmt.Fprintln(w, "Nothing came in yet.")
		return
	}
	fmt.Fprint(w, show.Wrap(fmt.Sprintf("%s held. %s", r.Held().Whole(k.units),
		r.Pace.Words()), "",
		show.PageWidth))
	if r.Pace.Known() {
		fmt.Fprint(w, show.Wrap(fmt.Sprintf("In a year %s come in, %s are used and %s go otherwise, as in the last %s.",
			r.Pace.In.Whole(k.units), r.Pace.Used.Whole(k.units),
			(r.Pace.Out-r.Pace.Used).Whole(k.units),
			measure.Counted(r.Pace.Months, "full month")), "",
			show.PageWidth))
	}
	fmt.Fprintln(w)
	k.printTimes(w, r)
	fmt.Fprintln(w)
	k.printShares(w, "fibre", r.Fibres, true)
	fmt.Fprintln(w)
	k.printShares(w, "since it came", r.Ages, false)
}

// monthsShown is how many months --months shows, yearsShown how many years are
// shown else.
const monthsShown, yearsShown = 24, 10

// printTimes prints years, or months, with a bar of what was held.
func (k *call) printTimes(w io.Writer, r trend.Report) {
	times, layout, head := r.Years(), "2006", "year"
	times = times[max(0, len(times)-yearsShown):]
	if k.Bool("months") {
		times, layout, head = r.Months[max(0, len(r.Months)-monthsShown):], "2006-01", "month"
	}
	var most measure.Mass
	for _, t := range times {
		most = max(most, t.Held)
	}
	t := show.NewTable(head, ">came in", ">used", ">gone", ">held")
	if k.drawn() {
		t = show.NewTable(head, ">came in", ">used", ">gone", ">held", "of the most")
	}
	for _, m := range times {
		row := []string{m.First.Format(layout), m.In.Whole(k.units),
			m.Used.Whole(k.units), m.Gone.Whole(k.units),
			m.Held.Whole(k.units)}
		t.Add(k.withBar(row, m.Held, most)...)
	}
	t.Print(w)
}

func (k *call) withBar(row []string, part, whole measure.Mass) []string {
	if !k.drawn() {
		return row
	}
	return append(row, show.Bar(show.PercentOf(part, whole)))
}

func (k *call) printShares(w io.Writer, head string, shares []trend.Share, used bool) {
	heads := []string{head, ">held"}
	if used {
		heads = append(heads, ">used")
	}
	if k.drawn() {
		heads = append(heads, "of the shelf")
	}
	var sum measure.Mass
	for _, s := range shares {
		sum += max(0, s.Held)
	}
	t := show.NewTable(heads...)
	for _, s := range shares {
		row := []string{s.Name, s.Held.Whole(k.units)}
		if used {
			row = append(row, s.Used.Whole(k.units))
		}
		t.Add(k.withBar(row, s.Held, sum)...)
	}
	t.Print(w)
}
