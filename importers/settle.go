package importers

import (
	"cmp"
	"fmt"
	"math/big"
	"strings"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// combineCells works out what the cells of a row say together: the net mass from
// gross and tare or from label and number, the count from the put-up or the
// construction, the masses of packages. What doesn't agree becomes a question.
func (r *reader) combineCells() {
	r.readFibre()
	r.reckonNet()
	r.reckonCount()
	r.reckonMasses()
}

// readFibre reads the fibre content. What is not understood stays as text,
// and counts as unknown.
func (r *reader) readFibre() {
	if r.rec.Fibre == "" {
		return
	}
	content, err := r.cache.content(r.rec.Fibre)
	if err != nil {
		r.ask("the fibre %s counts as unknown: %s", quote(r.rec.Fibre), reasonOf(err))
		return
	}
	r.rec.Content = content
}

// Two masses agree within nearMass, the step of a kitchen scale, or one part in nearParts.
const (
	nearMass  = measure.Gram
	nearParts = 100
)

// near reports whether two masses agree.
func near(a, b measure.Mass) bool {
	return max(a-b, b-a) <= max(nearMass, max(a, b)/nearParts)
}

func (r *reader) ask(format string, args ...any) {
	r.rec.Questions = append(r.rec.Questions, fmt.Sprintf(format, args...))
}

func (r *reader) reckonNet() {
	rec := &r.rec
	if rec.Gross != nil && rec.Tare != nil {
		net := *rec.Gross - *rec.Tare
		switch {
		case net < 0:
			r.problem(r.column(FieldGross), rec.Line, rec.Gross.String(),
				"less than the tare of "+rec.Tare.String(), "weigh again, or correct the tare")
		case rec.Net == nil:
			rec.Net = &net
		case !near(net, *rec.Net):
			r.ask("gross less tare is %s, and the sheet says net %s: which holds?", net, *rec.Net)
		}
		return
	}
	if rec.Net == nil && rec.Gross == nil {
		r.netFromPackages()
	}
}

// netFromPackages adds up packages that are weighed, or takes "3.5 balls" times
// the mass on the label.
func (r *reader) netFromPackages() {
	rec := &r.rec
	p := &rec.Packages
	switch {
	case len(p.Masses) > 0:
		sum := sumOf(p.Masses)
		rec.Net = &sum
	case rec.LabelMass != nil && p.Number > 0 && (!p.Part || p.Whole != ""):
		times := big.NewRat(int64(p.Number), 1)
		if p.Whole != "" {
			times.SetString(p.Whole)
		}
		net := timesMass(*rec.LabelMass, times)
		rec.Net = &net
		rec.note("net", fmt.Sprintf("not weighed: %s times %s by the label", times.RatString(),
			*rec.LabelMass))
	case rec.LabelMass != nil && p.Last > 0:
		net := *rec.LabelMass*measure.Mass(p.Number-1) + p.Last
		rec.Net = &net
		rec.note("net", fmt.Sprintf("not weighed: %d times %s by the label, and %s", p.Number-1,
			*rec.LabelMass, p.Last))
	}
}

func sumOf(masses []measure.Mass) (sum measure.Mass) {
	for _, m := range masses {
		sum += m
	}
	return sum
}

// timesMass multiplies and rounds once, half to even.
func timesMass(m measure.Mass, times *big.Rat) measure.Mass {
	product, _ := written.Round(new(big.Rat).Mul(big.NewRat(int64(m), 1), times))
	return measure.Mass(product)
}

// reckonCount fills a missing count from the put-up, else from what the
// construction says, else from length and net mass; and says where a stated
// count comes from.
func (r *reader) reckonCount() {
	rec := &r.rec
	r.constructionPutUp()
	if rec.Count.Count == 0 {
		r.countFrom()
	}
	if rec.CountSource != "" && rec.Count.Count != 0 {
		rec.Count = rec.Count.From(sourceOf(rec.CountSource))
	}
}

// constructionPutUp finds "label 125 m / 50 g" among what the construction says.
func (r *reader) constructionPutUp() {
	rec := &r.rec
	if rec.LabelMass != nil || rec.LabelLength != nil {
		return
	}
	for part := range strings.SplitSeq(rec.Construction, ",") {
		body, ok := strings.CutPrefix(strings.TrimSpace(part), "label ")
		if !ok {
			continue
		}
		if mass, length, err := r.cache.putUp(body); err == nil && mass > 0 && length > 0 {
			rec.LabelMass, rec.LabelLength = &mass, &length
			return
		}
	}
}

func (r *reader) countFrom() {
	rec := &r.rec
	if rec.LabelMass != nil && rec.LabelLength != nil {
		if reading, err := r.cache.count("label " + rec.LabelLength.Exact() + " / " +
			rec.LabelMass.Exact()); err == nil {
			rec.Count = reading
			return
		}
	}
	for part := range strings.SplitSeq(rec.Construction, ",") {
		if words := strings.Fields(part); len(words) == 0 || isForm(words[len(words)-1]) {
			continue // "2 skeins" is a number of packages, not a Yorkshire count
		}
		if reading, err := r.cache.count(strings.TrimSpace(part)); err == nil {
			rec.Count = reading
			rec.note("count", "read from the construction: "+strings.TrimSpace(part))
			return
		}
	}
	if rec.Net == nil || rec.Length == nil || *rec.Net == 0 || *rec.Length == 0 {
		return
	}
	if reading, err := r.cache.count(rec.Length.Exact() + " / " + rec.Net.Exact()); err == nil {
		rec.Count = reading.From(measure.SourceUnknown)
		rec.note("count", "worked out from the row's length and net weight")
	}
}

func isForm(word string) bool {
	_, ok := written.PackageOf(word)
	return ok
}

// sourceOf returns the source that a sheet's words name: the first of measure's
// words that they begin with.
func sourceOf(text string) measure.Source {
	lower := strings.ToLower(text)
	for _, s := range measure.Sources() {
		if strings.HasPrefix(lower, s.String()) {
			return s
		}
	}
	return measure.SourceUnknown
}

// reckonMasses works out the masses of packages where the row leaves no choice,
// and asks where it does: nothing is shared out evenly, since no warp end can
// be longer than the package it comes from.
func (r *reader) reckonMasses() {
	rec := &r.rec
	p := &rec.Packages
	switch {
	case rec.Net == nil:
	case p.Number == 1 && len(p.Masses) == 0:
		p.Masses = []measure.Mass{*rec.Net}
	case len(p.Masses) > 0:
		if sum := sumOf(p.Masses); !near(sum, *rec.Net) {
			r.ask("they add up to %s, and the sheet says net %s: which holds?", sum,
				*rec.Net)
		}
		return
	case p.Number > 1 && r.byLabel():
		return
	}
	switch {
	case p.Number > 1 && len(p.Masses) == 0:
		r.ask("%s whose weights are not given one by one"+keptAsOne,
			measure.Counted(p.Number, cmp.Or(p.Form, "item")))
	case p.Number == 0 && p.Form != "" && p.Form != "thrums" && p.Form != "bundle":
		r.ask("how many there are (%s) is not said"+keptAsOne, p.Form)
	}
}

// AsksForEach says whether a question is about items that came in together, and is
// answered by taking them apart.
func AsksForEach(question string) bool { return strings.HasSuffix(question, keptAsOne) }

// keptAsOne ends the questions of AsksForEach.
const keptAsOne = ", and kept as one"

// byLabel takes whole packages at the mass of their label when that, with the
// last one if it is given, makes the net mass.
func (r *reader) byLabel() bool {
	p, net := &r.rec.Packages, *r.rec.Net
	if r.rec.LabelMass == nil || p.Part && p.Last == 0 && p.Whole == "" {
		return false
	}
	label, whole := *r.rec.LabelMass, p.Number
	last := p.Last
	if p.Part {
		whole--
	}
	if p.Whole != "" {
		last = net - label*measure.Mass(whole)
	}
	if last < 0 || p.Whole != "" && last > label || label*measure.Mass(whole)+last != net {
		return false
	}
	for range whole {
		p.Masses = append(p.Masses, label)
	}
	if p.Part {
		p.Masses = append(p.Masses, last)
	}
	r.rec.note("weights", "by the label, not weighed one by one")
	return true
}

// Complete works out of a record what a row's record has worked out: net mass,
// count, masses of packages, the fibres understood. The error is a *Problems
// with what contradicts itself; what is open becomes a question.
func (rec *Record) Complete() error {
	r := newReader(&Table{Grid: &Grid{}})
	r.rec = *rec
	r.combineCells()
	if len(r.problems) > 0 {
		return &Problems{List: r.problems, Rows: 1}
	}
	*rec = r.rec
	return nil
}
