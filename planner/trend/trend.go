// Package trend tells how a stash went: what came in and went out by month,
// what was held, use and holdings by fibre, how old the yarn is, and when this
// pace would empty the shelf. It is pure: it gets the postings of the ledger
// and gives figures.
package trend

import (
	"iter"
	"math"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// Package is one package, its yarn's fibre, and all that the ledger posted to it.
type Package struct {
	Package  stash.Package
	Fibre    fibre.Content
	Postings []stash.Posting
}

// Month is what one month brought and took, and what was held at its end.
type Month struct {
	// First is the first day of the month.
	First time.Time
	// In is what came in; Used is what pieces took, less the thrums that came back;
	// Gone is what was discarded, given or not explained.
	In, Used, Gone, Held measure.Mass
}

// Out is all that left the shelf.
func (m Month) Out() measure.Mass { return m.Used + m.Gone }

// Share is a mass under a name.
type Share struct {
	Name string
	Held measure.Mass
	Used measure.Mass
	Gone measure.Mass
}

// Report is how a stash went.
type Report struct {
	// Months run without a gap from the first movement to now.
	Months []Month
	// Fibres are by what is held, the most first; the shares of blends are counted
	// to each fibre.
	Fibres []Share
	// Ages are what is held, by full years since it was acquired.
	Ages []Share
	Pace Pace
}

// Of reckons the report of packages, told of one after the other, up to a moment.
func Of(packages iter.Seq[Package], now time.Time) Report {
	var r Report
	months, shares, ages := map[time.Time]*Month{}, map[string]*Share{}, map[int]*Share{}
	for p := range packages {
		parts := partsOf(p.Fibre)
		for _, posting := range p.Postings {
			f := flowOf(posting)
			at(months, monthOf(posting.Day(p.Package, now.Location()))).add(f)
			for _, part := range parts {
				at(shares, part.name).add(f, part.share)
			}
		}
		if p.Package.Held > 0 {
			years, _ := stash.YearsSince(now, p.Package.Acquired, p.Package.Arrived)
			at(ages, min(years, oldest)).Held += p.Package.Held
		}
	}
	r.Months = inRow(months, now)
	r.Fibres = byHeld(shares)
	r.Ages = byAge(ages)
	r.Pace = paceOf(r.Months)
	return r
}

// flow is what a posting moved over the edge of the shelf: what was only wound
// from one package onto another is none.
type flow struct{ in, used, gone measure.Mass }

func flowOf(p stash.Posting) flow {
	d := p.Delta
	return flow{in: d.Received, used: d.Used - d.Salvaged, gone: d.Discarded + d.Given +
		d.Unexplained}
}

func (m *Month) add(f flow) { m.In, m.Used, m.Gone = m.In+f.in, m.Used+f.used, m.Gone+f.gone }

func (s *Share) add(f flow, share float64) {
	part := func(m measure.Mass) measure.Mass { return measure.Mass(math.Round(float64(m) * share)) }
	s.Used += part(f.used)
	s.Gone += part(f.gone)
	s.Held += part(f.in) - part(f.used) - part(f.gone)
}

// at is the value of a key, made where there is none.
func at[K comparable, V any](m map[K]*V, key K) *V {
	if m[key] == nil {
		m[key] = new(V)
	}
	return m[key]
}

func monthOf(t time.Time) time.Time {
	return time.Date(t.Year(), t.Month(), 1, 0, 0, 0, 0, time.UTC)
}

// inRow puts months in a row without a gap, and adds up what was held.
func inRow(months map[time.Time]*Month, now time.Time) []Month {
	first := monthOf(now)
	last := first
	for m := range months {
		if m.Before(first) {
			first = m
		}
		if m.After(last) {
			last = m
		}
	}
	var out []Month
	var held measure.Mass
	for m := first; len(months) > 0 && !m.After(last); m = m.AddDate(0, 1, 0) {
		one := Month{First: m}
		if moved := months[m]; moved != nil {
			one = Month{First: m, In: moved.In, Used: moved.Used, Gone: moved.Gone}
		}
		held += one.In - one.Out()
		one.Held = held
		out = append(out, one)
	}
	return out
}

// Years adds up months by calendar year; what is held is that of the last month.
func (r Report) Years() []Month {
	var out []Month
	for _, m := range r.Months {
		n := len(out)
		if n == 0 || out[n-1].First.Year() != m.First.Year() {
			out = append(out, Month{First: time.Date(m.First.Year(), 1, 1, 0, 0, 0, 0, time.UTC)})
			n++
		}
		y := &out[n-1]
		y.In, y.Used, y.Gone, y.Held = y.In+m.In, y.Used+m.Used, y.Gone+m.Gone, m.Held
	}
	return out
}

// Held is what is held now.
func (r Report) Held() measure.Mass {
	if len(r.Months) == 0 {
		return 0
	}
	return r.Months[len(r.Months)-1].Held
}
