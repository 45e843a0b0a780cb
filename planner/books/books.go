// Package books is the stash as a book-keeper wants it: what was there, what came
// in, where it went, what is there, in yarn and in what was paid for it. Each item
// is reckoned at its own price. It is pure.
package books

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// Sum is an amount in thousandths of each currency. What has no currency is under
// the empty one; different currencies are never added.
type Sum map[string]int64

// Amount is yarn and what it cost.
type Amount struct {
	Mass measure.Mass `json:"mass_mg"`
	Paid Sum          `json:"paid_milli"`
	// Unpriced is the part of Mass of which nobody recorded a price.
	Unpriced measure.Mass `json:"unpriced_mg"`
}

func (a *Amount) add(mass measure.Mass, milli int64, currency string, known bool) {
	a.Mass += mass
	if !known {
		a.Unpriced += mass
		return
	}
	if a.Paid == nil {
		a.Paid = Sum{}
	}
	if milli != 0 {
		a.Paid[currency] += milli
	}
}

// Move is a posting of a package with what it cost.
type Move struct {
	Day      time.Time
	Package  stash.Package
	Yarn     stash.Yarn
	Posting  stash.Posting
	Entries  []stash.Entry
	Priced   bool
	Currency string
}

// MovesOf are the postings of a package, with what they cost.
func MovesOf(p stash.Package, y stash.Yarn, postings []stash.Posting, s stash.Settings,
	where *time.Location) []Move {
	var out []Move
	for _, x := range postings {
		m := Move{Day: x.Day(p, where), Package: p, Yarn: y, Posting: x,
			Currency: s.CurrencyOf(p.Price)}
		if m.Entries, m.Priced = x.Entries(p); len(m.Entries) > 0 {
			out = append(out, m)
		}
	}
	return out
}

// Year is what happened to the stash in a year.
type Year struct {
	Opening     Amount `json:"opening"`
	Received    Amount `json:"received"`
	Used        Amount `json:"used"`
	Discarded   Amount `json:"discarded"`
	Given       Amount `json:"given"`
	Unexplained Amount `json:"unexplained"`
	Closing     Amount `json:"closing"`
	// Rounding is what thousandths do not come out even, and what winding onto an
	// item of another price makes of it.
	Rounding Sum `json:"rounding_milli"`
	// Fibres are what came in, was used and is there, for each fibre content.
	Fibres []Fibre `json:"fibres"`
}

// Fibre is a fibre content with what became of its yarn in a year.
type Fibre struct {
	Name     string `json:"fibre"`
	Received Amount `json:"received"`
	Used     Amount `json:"used"`
	Closing  Amount `json:"closing"`
}

// Sums adds up a year, from its first moment to before its end, out of the moves
// that it is told of, in any order.
type Sums struct {
	from, to time.Time
	year     Year
	fibres   map[string]*Fibre
}

// NewSums begins a year.
func NewSums(from, to time.Time) *Sums {
	return &Sums{from: from, to: to, year: Year{Rounding: Sum{}}, fibres: map[string]*Fibre{}}
}

// Add adds a move.
func (s *Sums) Add(m Move) {
	if !m.Day.Before(s.to) {
		return
	}
	name := FibreName(m.Yarn)
	if s.fibres[name] == nil {
		s.fibres[name] = &Fibre{Name: name}
	}
	for _, e := range m.Entries {
		s.year.add(m, e, m.Day.Before(s.from), s.fibres[name])
	}
}

// Year is what was added up.
func (s *Sums) Year() Year {
	y := s.year
	for _, name := range slices.Sorted(maps.Keys(s.fibres)) {
		if f := s.fibres[name]; f.Received.Mass != 0 || f.Used.Mass != 0 || f.Closing.Mass != 0 {
			y.Fibres = append(y.Fibres, *f)
		}
	}
	return y
}

// FibreName is the fibre content of a yarn in words, for adding up by: without the
// breed, the source and what else stands in brackets.
func FibreName(y stash.Yarn) string {
	var parts []string
	for _, p := range y.Fibre {
		bare := fibre.Part{Fibre: p.Fibre, Doubtful: p.Doubtful, Share: p.Share}
		parts = append(parts, strings.TrimSuffix(strings.TrimSuffix(bare.String(), " 100"), " ?"))
	}
	return cmp.Or(strings.Join(parts, ", "), "not recorded")
}

func (y *Year) add(m Move, e stash.Entry, before bool, f *Fibre) {
	if e.Part == stash.PartStash {
		into := []*Amount{&y.Closing, &f.Closing}
		if before {
			into = append(into, &y.Opening)
		}
		for _, a := range into {
			a.add(e.Mass, e.Milli, m.Currency, m.Priced)
		}
		return
	}
	if before {
		return
	}
	switch e.Part {
	case stash.PartReceived:
		y.Received.add(-e.Mass, -e.Milli, m.Currency, m.Priced)
		f.Received.add(-e.Mass, -e.Milli, m.Currency, m.Priced)
	case stash.PartUsed:
		y.Used.add(e.Mass, e.Milli, m.Currency, m.Priced)
		f.Used.add(e.Mass, e.Milli, m.Currency, m.Priced)
	case stash.PartDiscarded:
		y.Discarded.add(e.Mass, e.Milli, m.Currency, m.Priced)
	case stash.PartGiven:
		y.Given.add(e.Mass, e.Milli, m.Currency, m.Priced)
	case stash.PartUnexplained:
		y.Unexplained.add(e.Mass, e.Milli, m.Currency, m.Priced)
	case stash.PartRounding, stash.PartWound:
		if m.Priced {
			y.Rounding[m.Currency] += e.Milli
		}
	}
}

// Worth is what yarn of one kind on the shelf was paid for.
type Worth struct {
	Name string `json:"name"`
	Amount
	Items int `json:"items"`
	// Without is how many items have no price, and Free how many cost nothing: gifts, or
	// one's own.
	Without int `json:"items_without_price"`
	Free    int `json:"items_that_cost_nothing"`
	// Again is what it would cost to buy all of it again, each yarn at the price paid for
	// it last; Unmet is the part of which no price but nothing is known.
	Again Sum          `json:"again_milli"`
	Unmet measure.Mass `json:"again_unknown_mg"`
	// First and Last are the days of which the prices are, the earliest and the latest.
	First string `json:"first_price,omitempty"`
	Last  string `json:"last_price,omitempty"`

	items []left
}

// left is what there is of an item of a yarn.
type left struct {
	yarn stash.YarnID
	held measure.Mass
}

// Prices are the prices paid last for each yarn, for one mass.
type Prices map[stash.YarnID]lastPaid

type lastPaid struct {
	price stash.Price
	day   time.Time
}

// See takes the price of an item, unless one of its yarn was paid later.
func (all Prices) See(p stash.Package) {
	price := p.PerMass()
	if price == nil || price.Milli <= 0 || price.Per <= 0 {
		return
	}
	day, _ := stash.DayOf(PaidOn(p))
	if last, seen := all[p.Yarn]; !seen || day.After(last.day) {
		all[p.Yarn] = lastPaid{*price, day}
	}
}

// again says what it would cost to buy all of it again.
func (w Worth) again(prices Prices, s stash.Settings) Worth {
	for _, of := range w.items {
		last, known := prices[of.yarn]
		if !known {
			w.Unmet += of.held
			continue
		}
		milli, _ := stash.Package{PackageFacts: stash.PackageFacts{Price: &last.price}}.Paid(of.held)
		if w.Again == nil {
			w.Again = Sum{}
		}
		w.Again[s.CurrencyOf(&last.price)] += milli
	}
	return w
}

// WorthSums add up what is on the shelf, in all and by a name for each item.
type WorthSums struct {
	all      Worth
	settings stash.Settings
	prices   Prices
	by       map[string]*Worth
}

// NewWorthSums are sums of nothing yet, with the prices paid last, which need not be known
// before the sums are told.
func NewWorthSums(s stash.Settings, prices Prices) *WorthSums {
	return &WorthSums{settings: s, prices: prices, by: map[string]*Worth{}}
}

// Add adds an item under a name. What holds nothing, or less, is passed over.
func (s *WorthSums) Add(p stash.Package, name string) {
	if p.Retired || p.Yarn == "" || p.Known && p.Held <= 0 {
		return
	}
	if s.by[name] == nil {
		s.by[name] = &Worth{Name: name}
	}
	milli, priced := p.Paid(p.Held)
	for _, w := range []*Worth{&s.all, s.by[name]} {
		w.Items++
		switch {
		case !priced:
			w.Without++
		case p.Price != nil && p.Price.Milli == 0:
			w.Free++
		}
		w.items = append(w.items, left{p.Yarn, p.Held})
		w.add(p.Held, milli, s.settings.CurrencyOf(p.Price), priced)
		w.dated(p)
	}
}

// PaidOn is the day of which the price of an item is: when it was bought, else when it came
// in; empty without a price.
func PaidOn(p stash.Package) string {
	switch {
	case p.Price == nil:
		return ""
	case p.Acquired == "" && !p.Arrived.IsZero():
		return p.Arrived.Format(time.DateOnly)
	}
	return p.Acquired
}

// dated sets the days of the prices, an item more being looked at.
func (w *Worth) dated(p stash.Package) {
	day := PaidOn(p)
	if day == "" {
		return
	}
	if w.First == "" || day < w.First {
		w.First = day
	}
	w.Last = max(w.Last, day)
}

// All is the sum of all.
func (s *WorthSums) All() Worth { return s.all.again(s.prices, s.settings) }

// Each are the sums by name, in the order of the names.
func (s *WorthSums) Each() []Worth {
	var out []Worth
	for _, name := range slices.Sorted(maps.Keys(s.by)) {
		out = append(out, s.by[name].again(s.prices, s.settings))
	}
	return out
}
