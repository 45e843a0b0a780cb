package show

import (
	"fmt"
	"io"

	"endsmeet/planner/trend"
	"endsmeet/stash/measure"
)

// percentOf is a part of a whole in per cent, from 0 to 100.
func percentOf(part, whole measure.Mass) int {
	if whole <= 0 {
		return 0
	}
	return int(min(100, max(0, (part*100+whole/2)/whole)))
}

// TrendAnswer is the JSON shape of `trend`; nothing is known of a pace of fewer than
// six full months.
type TrendAnswer struct {
	HeldMg measure.Mass `json:"held_mg"`
	Months []TrendMonth `json:"months"`
	Fibres []TrendShare `json:"fibres"`
	Ages   []TrendShare `json:"ages"`
	Pace   *TrendPace   `json:"pace"`
}

// TrendMonth is what came in, was used and went otherwise in a month, and what was held after it.
type TrendMonth struct {
	Month  string       `json:"month"`
	InMg   measure.Mass `json:"in_mg"`
	UsedMg measure.Mass `json:"used_mg"`
	GoneMg measure.Mass `json:"gone_mg"`
	HeldMg measure.Mass `json:"held_mg"`
}

// TrendShare is the part of a fibre, or of an age, in the shelf.
type TrendShare struct {
	Name   string       `json:"name"`
	HeldMg measure.Mass `json:"held_mg"`
	UsedMg measure.Mass `json:"used_mg"`
	GoneMg measure.Mass `json:"gone_mg"`
}

// TrendPace is for a year; null where the shelf never empties.
type TrendPace struct {
	OfMonths   int          `json:"of_months"`
	InMg       measure.Mass `json:"in_mg"`
	OutMg      measure.Mass `json:"out_mg"`
	EmptyYears *float64     `json:"empty_in_years"`
	IdleYears  *float64     `json:"empty_in_years_without_new_yarn"`
}

// TrendView is how a trend is shown: with bars or not, by months or by years.
type TrendView struct {
	Units        measure.System
	Bars, Months bool
}

// PrintTrend answers first when this pace empties the shelf, then shows the years,
// the fibres and how old the yarn is.
func PrintTrend(w io.Writer, r trend.Report, v TrendView) {
	if len(r.Months) == 0 {
		fmt.Fprintln(w, "Nothing came in yet.")
		return
	}
	fmt.Fprint(w, Wrap(fmt.Sprintf("%s held. %s", r.Held().Whole(v.Units),
		r.Pace.Words()), "", RoomOf(w)))
	if r.Pace.Known() {
		fmt.Fprint(w, Wrap(fmt.Sprintf("In a year %s come in, %s are used and %s go otherwise, as in the last %s.",
			r.Pace.In.Whole(v.Units), r.Pace.Used.Whole(v.Units),
			(r.Pace.Out-r.Pace.Used).Whole(v.Units),
			measure.Counted(r.Pace.Months, "full month")), "", RoomOf(w)))
	}
	fmt.Fprintln(w)
	v.printTimes(w, r)
	fmt.Fprintln(w)
	v.printShares(w, "fibre, its share", r.Fibres, true)
	fmt.Fprintln(w)
	v.printShares(w, "since it came", r.Ages, false)
}

// monthsShown is how many months --months shows, yearsShown how many years are
// shown else.
const monthsShown, yearsShown = 24, 10

// printTimes prints years, or months, with a bar of what was held.
func (v TrendView) printTimes(w io.Writer, r trend.Report) {
	times, layout, head := r.Years(), "2006", "year"
	times = times[max(0, len(times)-yearsShown):]
	if v.Months {
		times, layout, head = r.Months[max(0, len(r.Months)-monthsShown):], "2006-01", "month"
	}
	var most measure.Mass
	for _, t := range times {
		most = max(most, t.Held)
	}
	t := NewTable(head, ">came in", ">used", ">gone", ">held")
	if v.Bars {
		t = NewTable(head, ">came in", ">used", ">gone", ">held", "of the most")
	}
	for _, m := range times {
		row := []string{m.First.Format(layout), m.In.Whole(v.Units),
			m.Used.Whole(v.Units), m.Gone.Whole(v.Units),
			m.Held.Whole(v.Units)}
		t.Add(v.withBar(row, m.Held, most)...)
	}
	t.Print(w)
}

func (v TrendView) withBar(row []string, part, whole measure.Mass) []string {
	if !v.Bars {
		return row
	}
	return append(row, drawBar(percentOf(part, whole)))
}

func (v TrendView) printShares(w io.Writer, head string, shares []trend.Share, used bool) {
	heads := []string{head, ">held"}
	if used {
		heads = append(heads, ">used")
	}
	if v.Bars {
		heads = append(heads, "of the shelf")
	}
	var sum measure.Mass
	for _, s := range shares {
		sum += max(0, s.Held)
	}
	t := NewTable(heads...)
	for _, s := range shares {
		row := []string{s.Name, s.Held.Whole(v.Units)}
		if used {
			row = append(row, s.Used.Whole(v.Units))
		}
		t.Add(v.withBar(row, s.Held, sum)...)
	}
	t.Print(w)
}
