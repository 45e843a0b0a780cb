package intake

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"endsmeet/importers"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// Package is one package of a row: its facts, all but its yarn, and what it
// weighed.
type Package struct {
	Fields  stash.Fields
	Reading stash.Reading
	// Weighed is the day on which it was read, empty where the row does not say.
	Weighed string
}

// Net is what the package's reading comes to; nil where nobody weighed it.
func (p Package) Net() *measure.Mass {
	if !p.Reading.Given() {
		return nil
	}
	var tare stash.Tare
	_ = json.Unmarshal(p.Fields["tare"], &tare)
	net := p.Reading.NetWith(tare.Mass)
	return &net
}

// most is how many packages one row may be.
const most = 1000

// weigh says what each package of a row weighed. Together holds how many lie
// together in one, zero where each stands alone.
func weigh(r *importers.Record) (readings []stash.Reading, together int) {
	n := r.Packages.Number
	switch {
	case len(r.Packages.Masses) > 1:
		for _, m := range r.Packages.Masses {
			readings = append(readings, stash.Reading{Net: &m})
		}
		return readings, 0
	case n > 1 && r.Net == nil && r.Gross == nil:
		return make([]stash.Reading, min(n, most)), 0
	case n > 1:
		together = n
	}
	one := weighOne(r)
	if one.Given() {
		one.Step = 2 * r.Within // a scale that reads to so much is off by half of it at most
	}
	return []stash.Reading{one}, together
}

// weighOne is the one reading of a row, with the cone where that was given.
func weighOne(r *importers.Record) stash.Reading {
	net := r.Net
	if net == nil && r.Gross == nil {
		net = byLength(r)
	}
	if r.Gross != nil && (r.Tare != nil || r.Net == nil) {
		return stash.Reading{Gross: r.Gross}
	}
	return stash.Reading{Net: net}
}

// byLength is the mass of the length that a row gives, where it gives no mass.
func byLength(r *importers.Record) *measure.Mass {
	if r.Length == nil || r.Count.Count == 0 {
		return nil
	}
	if mass, ok := measure.MassOf(*r.Length, r.Count.Count); ok {
		return &mass
	}
	return nil
}

// tareOf is the tare of a package with a reading: the row's, weighed or guessed,
// else the usual one of the form where it was weighed gross.
func tareOf(r *importers.Record, reading stash.Reading, form stash.Form) *stash.Tare {
	switch {
	case r.Tare != nil && reading.Gross == nil && *r.Tare == 0:
		return nil
	case r.Tare != nil && r.TareWithin > 0:
		return &stash.Tare{Mass: *r.Tare, Source: stash.TareAssumed, Spread: r.TareWithin}
	case r.Tare != nil && tareGuessed(r):
		return &stash.Tare{Mass: *r.Tare, Source: stash.TareAssumed}
	case r.Tare != nil:
		return &stash.Tare{Mass: *r.Tare, Source: stash.TareWeighed}
	case reading.Gross != nil:
		tare := stash.UsualTare(form)
		return &tare
	}
	return nil
}

// facts gives what all packages of a row have in common. Notes takes what has no
// field.
func facts(r *importers.Record, colour string, notes *remarkList) stash.PackageFacts {
	p := stash.PackageFacts{Lot: stash.Clean(r.Lot), Colour: stash.Clean(colour),
		Bin: stash.Clean(r.Bin)}
	p.Form = formOf(r, notes)
	if r.Acquired != nil {
		p.Acquired, p.Source = r.Acquired.String(), stash.Clean(r.Acquired.Note)
	}
	p.Price = priceOf(r, notes)
	return p
}

// formOf is the form of the row's packages. Cut ends are thrums, whatever they
// are bundled as; a word that the stash does not have is noted.
func formOf(r *importers.Record, notes *remarkList) stash.Form {
	word := strings.ToLower(r.Packages.Form)
	if cutEnds(r) {
		if word != "thrums" {
			notes.add("form", word)
		}
		return "thrums"
	}
	known, _ := written.PackageOf(word)
	if known.Form != word {
		notes.add("form", word)
	}
	return stash.Form(known.Form)
}

// cutEnds says whether a row is of thrums.
func cutEnds(r *importers.Record) bool {
	return r.Packages.Form == "thrums" || strings.HasPrefix(strings.ToLower(r.Name), "thrums") ||
		strings.Contains(strings.ToLower(r.Construction), "cut ends")
}

// longest reads the greatest length of cut ends: "cut ends 55 to 75 cm". The
// short one counts, since any of them may be it.
func longest(r *importers.Record) measure.Length {
	if !cutEnds(r) {
		return 0
	}
	_, rest, ok := strings.Cut(strings.ToLower(r.Construction), "cut ends")
	if !ok {
		return 0
	}
	rest, _, _ = strings.Cut(rest, ",")
	first, second, ranged := strings.Cut(rest, " to ")
	if !ranged {
		l, err := measure.ParseLength(strings.TrimSpace(rest))
		return onlyIf(l, err)
	}
	unit := strings.TrimLeft(second, "0123456789., \u00a0")
	l, err := measure.ParseLength(strings.TrimSpace(first) + " " + unit)
	return onlyIf(l, err)
}

func onlyIf(l measure.Length, err error) measure.Length {
	if err != nil {
		return 0
	}
	return l
}

// priceOf is the price of a row: for a mass, for each package, or, as a total,
// for the net mass of the row.
func priceOf(r *importers.Record, notes *remarkList) *stash.Price {
	if r.Price == nil {
		return nil
	}
	milli, ok := r.Price.Milli()
	total := r.Price.Per == written.InTotal
	if !ok || total && r.Packages.Number > 1 && r.Net == nil {
		notes.add("price", strings.TrimSpace(r.Price.Amount+" "+string(r.Price.Per)))
		return nil
	}
	per, _ := stash.MassPriced(r.Price.Per)
	p := &stash.Price{Milli: milli, Per: per, Currency: r.Price.Currency}
	if total && r.Packages.Number > 1 {
		p.Per = *r.Net
	}
	return p
}

// tags gives the tag of each of n packages from the sheet's own number; none
// where it cannot be written on a package, and ok is false.
func tags(ref string, n int) (out []string, ok bool) {
	for i := range n {
		tag := ref
		if n > 1 {
			tag = fmt.Sprintf("%s-%d", ref, i+1)
		}
		if _, err := stash.Value(stash.WhatPackage, "tag", tag); err != nil {
			return make([]string, n), ref == ""
		}
		out = append(out, tag)
	}
	return out, true
}

// noteHeadings are headings of columns that say no more than that they are notes.
var noteHeadings = []string{"note", "notes", "comment", "comments", "remark", "remarks", "memo"}

func plainNote(heading string) bool {
	return slices.Contains(noteHeadings, strings.ToLower(strings.TrimSpace(heading)))
}
