package intake

import (
	"fmt"
	"slices"
	"strings"

	"endsmeet/importers"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// yarnOf gives the facts of a row's yarn, all but its name.
func yarnOf(r *importers.Record) stash.YarnFacts {
	y := stash.YarnFacts{Fibre: treated(r), Construction: built(r), Shedding: r.Shedding,
		Source: stash.Clean(r.Maker)}
	var notes remarkList
	if c := writtenCount(r); c.Count != 0 {
		y.Count = countFact(r, c)
		if o, ok := contradicted(r, *y.Count); ok {
			y.Count.Doubt = y.Count.DoubtBetween(asLabel(o), nil)
		}
	}
	if r.LabelMass != nil {
		y.PutUp = *r.LabelMass
	}
	if r.Fibre != "" && len(r.Content) == 0 {
		notes.add("fibre", r.Fibre)
	}
	if !understood(r) {
		notes.add("", r.Construction)
	}
	fit(&y, r, &notes)
	care(&y, r.Care, &notes)
	var left []string
	for _, f := range r.Flags {
		if !flag(&y, f) {
			left = append(left, f)
		}
	}
	notes.add("flags", strings.Join(left, ", "))
	y.Note = notes.String()
	return y
}

// yarnKey is the same for rows that say the same of their yarn: a hash of all
// that yarnOf reads.
func yarnKey(r *importers.Record) uint64 {
	numbers := fmt.Sprint(r.Count.Count, r.Count.Source, r.Count.Plies, opt(r.LabelMass),
		opt(r.Doubt), opt(r.Shedding))
	if o, ok := contradicted(r, *countFact(r, writtenCount(r))); ok {
		numbers += o.count.String()
	}
	texts := append([]string{r.Fibre, r.Construction, r.Maker, r.Count.Written, string(r.Warp),
		r.WarpText, r.Care, numbers}, r.Flags...)
	for _, f := range r.Facts {
		if f.Of == stash.WhatYarn {
			texts = append(texts, f.Name, string(f.Value))
		}
	}
	return hash(texts...)
}

func opt[T any](p *T) any {
	if p == nil {
		return nil
	}
	return *p
}

// treated gives the fibres, wool among them marked as superwash where the
// description says so: treated not to felt.
func treated(r *importers.Record) fibre.Content {
	part := func(p string) bool { return strings.EqualFold(strings.TrimSpace(p), "superwash") }
	if !slices.ContainsFunc(strings.Split(r.Construction, ","), part) {
		return r.Content
	}
	out := slices.Clone(r.Content)
	for i, p := range out {
		if p.Fibre.Info().Class == fibre.Wool && p.Note == "" {
			out[i].Note = "superwash"
		} else if p.Fibre.Info().Class == fibre.Wool && !p.Superwash() {
			out[i].Note += " superwash"
		}
	}
	return out
}

// remarkList gathers remarks, each with what it is of.
type remarkList struct{ parts []string }

func (l *remarkList) add(of, text string) {
	text = stash.Clean(text)
	switch {
	case text == "":
	case of == "":
		l.parts = append(l.parts, text)
	default:
		l.parts = append(l.parts, stash.Clean(strings.ReplaceAll(of, "_", " "))+": "+text)
	}
}

// String gives the remarks in one line.
func (l *remarkList) String() string { return strings.Join(l.parts, "; ") }

// writtenCount is the row's count, as its description writes it where that says
// the same within half a per cent: "Ne 8/2" is worth more than 6773 m/kg, which
// was rounded.
func writtenCount(r *importers.Record) measure.Reading {
	for part := range strings.SplitSeq(r.Construction, ",") {
		part = strings.TrimSpace(part)
		if r.Count.Count == 0 || !strings.ContainsAny(part, "/0123456789") {
			continue
		}
		c, err := measure.ParseCount(part)
		if off := c.Count - r.Count.Count; err == nil && max(off, -off)*200 <= r.Count.Count {
			c.Source = r.Count.Source
			return c
		}
	}
	return r.Count
}

// understood says whether every part of a description stands in a field of its
// own.
func understood(r *importers.Record) bool {
	for part := range strings.SplitSeq(r.Construction, ",") {
		part = strings.ToLower(strings.TrimSpace(part))
		c, err := measure.ParseCount(part)
		isCount := err == nil && strings.EqualFold(c.Written, writtenCount(r).Written)
		if part != "" && !isCount && partWords[part] == "" && builtWord(part) == "" &&
			part != "superwash" {
			return false
		}
	}
	return true
}

// countFact is a count with its source. The sheet's plus or minus is its doubt
// where the sheet gives one.
func countFact(r *importers.Record, c measure.Reading) *stash.CountFact {
	f := &stash.CountFact{Count: c.Count, Source: c.Source, Written: stash.Clean(c.Written)}
	if f.Written == c.Count.Format(measure.Metric) {
		f.Written = "" // it says nothing that the count does not
	}
	if c.Samples > 0 {
		f.Doubt = c.Doubt
	}
	if r.Doubt != nil {
		f.Doubt = *r.Doubt
	}
	return f
}

// testedFirst are words for what is to be done before a yarn is known to be fit.
var testedFirst = []string{"test", "tug", "try", "tried", "sample", "check"}

// untested says whether what a row says about warp hangs on a test, or on somebody who is
// not sure: that is not known until it was tested.
func untested(r *importers.Record) bool {
	lower := strings.ToLower(r.WarpText)
	return r.Warp == importers.WarpCare && (written.Doubts(lower) ||
		slices.ContainsFunc(testedFirst, func(w string) bool { return strings.Contains(lower, w) }))
}

// fit reads what a row says about warp. A condition stays as a note beside what
// it comes to.
func fit(y *stash.YarnFacts, r *importers.Record, notes *remarkList) {
	lower := strings.ToLower(r.WarpText)
	every := strings.Contains(lower, "every") || strings.Contains(lower, "2nd") ||
		strings.Contains(lower, "3rd")
	switch {
	case every && strings.Contains(lower, "end"):
		y.Fit = stash.FitSpaced
	case untested(r):
	case r.Warp == importers.WarpYes, r.Warp == importers.WarpCare &&
		strings.HasPrefix(lower, "yes"):
		y.Fit = stash.FitWarp
	case r.Warp == importers.WarpNo, strings.HasPrefix(lower, "weft"):
		y.Fit = stash.FitWeftOnly
	}
	if slices.ContainsFunc(fibre.Mentions(lower), speaksOfLatex) {
		y.Stretch = stash.StretchMarked
	}
	if lower != "yes" && lower != "no" {
		notes.add("warp", r.WarpText)
	}
}

// care reads a washing. A text about ironing, or one that says no washing, stays
// a note.
func care(y *stash.YarnFacts, text string, notes *remarkList) {
	if text == "" {
		return
	}
	lower := strings.ToLower(text)
	if strings.Contains(lower, "felts") {
		y.Shrinks = stash.ShrinksFelts
	}
	wash, err := stash.ParseWash(text)
	if err != nil || strings.Contains(lower, "iron") && wash.MaxC == 0 ||
		strings.HasSuffix(lower, "iron only") {
		notes.add("care", text)
		return
	}
	y.Wash = &wash
}

// flag reads one flag and says whether it was understood. One that names a fibre
// of the yarn says nothing new. A flag that speaks of latex or rubber and denies
// nothing counts as latex.
func flag(y *stash.YarnFacts, text string) bool {
	lower := strings.ToLower(strings.TrimSpace(text))
	hazard := flagHazards[lower]
	if said, doubted := written.Undoubted(lower); doubted {
		return flagDoubted(y, said)
	}
	if hazard == "" && (strings.Contains(lower, "latex") || strings.Contains(lower, "rubber")) &&
		slices.ContainsFunc(fibre.Mentions(lower), speaksOfLatex) {
		y.Hazards = appendNew(y.Hazards, "latex")
		return false // what else it says is kept as it is
	}
	switch {
	case hazard != "":
		y.Hazards = appendNew(y.Hazards, hazard)
	case flagBleeds[lower] != "":
		y.Bleeds = flagBleeds[lower]
	case flagOdours[lower] != "":
		y.Odour = joinWords(y.Odour, flagOdours[lower])
	default:
		return lower == "" || namesFibre(y.Fibre, lower)
	}
	return true
}

// flagDoubted reads a flag that somebody is not sure of. Of rubber and of dye the doubt
// itself can be recorded; what else there may be stays a note, which is asked about.
func flagDoubted(y *stash.YarnFacts, said string) bool {
	switch {
	case slices.ContainsFunc(fibre.Mentions(said), speaksOfLatex):
		y.Hazards = appendNew(y.Hazards, "possible latex")
		return flagHazards[said] != ""
	case flagBleeds[said] != "":
		y.Bleeds = stash.May
		return true
	}
	return said == ""
}

func speaksOfLatex(m fibre.Mention) bool {
	h := m.Fibre.Info().Hazards
	return m.Fibre != "" && (h.Has(fibre.Latex) || h.Has(fibre.PossibleLatex))
}

func namesFibre(content fibre.Content, name string) bool {
	if name == "unknown fibre" {
		name = string(fibre.Unknown)
	}
	known, ok := fibre.Lookup(name)
	for _, part := range content {
		if ok && part.Fibre == known.ID || string(part.Fibre) == name {
			return true
		}
	}
	return false
}

func appendNew(words []string, word string) []string {
	for _, w := range words {
		if w == word {
			return words
		}
	}
	return append(words, word)
}

func joinWords(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
}
