package main

import (
	"fmt"
	"html/template"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/book"
	"endsmeet/planner/picture"
	"endsmeet/planner/trend"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// report reckons how the stash went.
func (m *bookMaker) report() (trend.Report, error) {
	var err error
	packages := func(yield func(trend.Package) bool) {
		err = m.tx.EachPostings(func(p stash.Package, postings []stash.Posting) error {
			if p.Yarn != "" { // else its coming was undone
				yield(trend.Package{Package: p, Fibre: m.s.Yarns[p.Yarn].Fibre,
					Postings: postings})
			}
			return nil
		})
	}
	r := trend.Of(packages, m.tx.Now())
	return r, err
}

func (m *bookMaker) plots() ([]book.Plot, error) {
	r, err := m.report()
	if err != nil || len(r.Months) == 0 {
		return nil, err
	}
	out := []book.Plot{m.heldPlot(r), m.flowPlot(r)}
	out = append(out, m.sharePlot("Fibres on the shelf and used",
		"Blends are counted to each fibre by its share.", "fibre", r.Fibres, true))
	return append(out, m.sharePlot("Age of the shelf", "By the day it was acquired, else recorded.",
		"since it came", r.Ages, false)), nil
}

// chartMonths is how many months a chart has room for: five years of months.
const chartMonths = 60

func (m *bookMaker) heldPlot(r trend.Report) book.Plot {
	c := picture.Chart{Title: "Held weight", Line: true, Least: "0"}
	months := r.Months
	var most measure.Mass
	for i, month := range months {
		most = max(most, month.Held)
		c.Columns = append(c.Columns, picture.Column{Label: yearLabel(months, i),
			Level: float64(month.Held)})
	}
	c.Most = most.Whole(m.k.units)
	c.Description = fmt.Sprintf("From %s to %s; now %s, at most %s.", show.MonthWords(months[0]),
		show.MonthWords(months[len(months)-1]), r.Held().Whole(m.k.units), c.Most)
	p := book.Plot{
		Title: "What was held", Words: r.Pace.Words() +
			" Yarn counts from the day it was acquired, where that is recorded.",
		Drawing: template.HTML(c.Inline("held")), Head: []string{"year", "came in", "used",
			"gone otherwise", "held at the end"},
	}
	years := r.Years()
	for i, y := range years {
		if y.In == 0 && y.Out() == 0 && i < len(years)-1 {
			continue // nothing came or went
		}
		p.Rows = append(p.Rows, book.Row{Cells: []string{fmt.Sprint(y.First.Year()), m.mass(y.In),
			m.mass(y.Used), m.mass(y.Gone), m.mass(y.Held)}})
	}
	return p
}

func (m *bookMaker) flowPlot(r trend.Report) book.Plot {
	months := r.Months[max(0, len(r.Months)-chartMonths):]
	c := picture.Chart{Title: "In and out by month"}
	var in, out measure.Mass
	for i, month := range months {
		in, out = max(in, month.In), max(out, month.Out())
		c.Columns = append(c.Columns, picture.Column{Label: yearLabel(months, i),
			Up: float64(month.In), Down: float64(month.Out())})
	}
	c.Most, c.Least = m.mass(in), m.mass(out)
	c.Description = fmt.Sprintf("From %s to %s: at most %s came in and %s went out in one month.",
		show.MonthWords(months[0]), show.MonthWords(months[len(months)-1]), c.Most, c.Least)
	words := "Filled columns above the line came in, open ones below it went out."
	return book.Plot{Title: "In and out by month", Words: words + " " + c.Description,
		Drawing: template.HTML(c.Inline("flow"))}
}

// yearLabel labels the months in which a year begins, no more than ten of them.
func yearLabel(months []trend.Month, i int) string {
	first := months[i].First
	every := len(months)/120 + 1
	if i > 0 && (first.Month() != 1 || first.Year()%every != 0) {
		return ""
	}
	if i == 0 && len(months) > 12 && first.Month() > 6 {
		return ""
	}
	return first.Format("2006")
}

func (m *bookMaker) mass(mass measure.Mass) string { return mass.Whole(m.k.units) }

// sharePlot is a table with a bar for each share of what is held.
func (m *bookMaker) sharePlot(title, words, head string, shares []trend.Share,
	used bool) book.Plot {
	p := book.Plot{Title: title, Words: words, Head: []string{head, "held"}}
	if used {
		p.Head = append(p.Head, "used")
	}
	p.Head = append(p.Head, "share of the shelf")
	var sum, most measure.Mass
	for _, s := range shares {
		sum, most = sum+max(0, s.Held), max(most, s.Held)
	}
	for _, s := range shares {
		row := book.Row{Cells: []string{s.Name, m.mass(s.Held)}}
		if used {
			row.Cells = append(row.Cells, m.mass(s.Used))
		}
		row.Cells = append(row.Cells,
			fmt.Sprintf("%.0f%%", 100*float64(max(0, s.Held))/float64(max(1, sum))))
		row.HasBar, row.Bar = true,
			book.Bar{Known: true, Percent: int(max(0, s.Held) * 100 / max(1, most))}
		p.Rows = append(p.Rows, row)
	}
	return p
}
