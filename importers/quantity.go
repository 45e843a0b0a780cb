package importers

import (
	"cmp"
	"errors"
	"strings"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// style returns the number style of a cell: a spreadsheet's own number has a
// point whatever people typed elsewhere.
func (r *reader) style(cell *Cell) written.Style {
	if cell.Kind == KindNumber {
		return written.StylePoint
	}
	return r.t.Style
}

// writes says how the numbers of the grid are written: as its cells show, else as the person
// who reads it writes them.
func (t *Table) writes() written.Style {
	if t.Style == written.StyleUnknown && t.habit != nil {
		return t.habit()
	}
	return t.Style
}

// inStyle reads a cell by parse in the number style of the cell.
func inStyle[T any](r *reader, cell *Cell, parse func(string, written.Style) (T, error)) (T, error) {
	if style := r.style(cell); style != written.StyleUnknown {
		return parse(cell.Text, style)
	}
	return written.InHabit(cell.Text, r.t.writes,
		func(s string) (T, error) { return parse(s, written.StyleUnknown) })
}

// number reads a cell's number and notes what it says beyond it. ok is false
// after a problem.
func (r *reader) number(c *Column, cell *Cell) (n written.Number, ok bool) {
	if cell.Kind == KindDate {
		r.problem(c, cell.Row, cell.Text,
			"the spreadsheet holds a date here, where a number is wanted",
			"it turned what was typed (8/2, say) into a date: format the column as text and type it again")
		return written.Number{}, false
	}
	n, err := inStyle(r, cell, written.ParseNumber)
	if err != nil {
		r.refuse(c, cell, err)
		return written.Number{}, false
	}
	if n.Approx {
		r.rec.note(c.noteHeading(), "approx")
	}
	r.rec.note(c.noteHeading(), strings.Clone(n.Note))
	return n, true
}

// withUnit returns the number with its own unit, else the column's.
func (r *reader) withUnit(c *Column, n written.Number) string {
	unit := n.Unit
	if spelt, ok := headingUnits[unit]; ok {
		unit = spelt
	}
	if unit == "" {
		unit = c.Unit
	}
	return n.In(unit)
}

// mass reads a mass. "2x100g" of the net mass is two packages; "3.5 balls" in
// a column for the mass is read as packages.
func (r *reader) mass(c *Column, cell *Cell) {
	if head, within, ok := plusMinus(cell.Text); ok {
		one := *cell
		one.Text = head
		r.mass(c, &one)
		r.within(c, within)
		return
	}
	if m, ok := r.compound(cell.Text,
		func(s string) (int64, error) {
			m, err := measure.ParseMass(s)
			return int64(m), err
		}); ok {
		r.setMass(c.Field, measure.Mass(m), 1)
		return
	}
	if _, counted := written.PackageOf(firstWord(trailingWords(cell.Text))); counted {
		r.packages(c, cell)
		return
	}
	n, ok := r.number(c, cell)
	if !ok {
		return
	}
	m, err := r.cache.mass(r.withUnit(c, n))
	if err == nil && n.Times > 1 && c.Field != FieldNet {
		err = written.Fault("more than one weight", "write the sum")
	}
	if err != nil {
		r.unitProblem(c, cell, err)
		return
	}
	if n.Unit == "" && m < 2*measure.Gram && strings.ContainsAny(cell.Text, "/⁄½⅓⅔¼¾") {
		r.ask("%s %s is read as %s: was a part of a ball or cone meant?", c.Heading, quote(cell.Text), m)
	}
	r.setMass(c.Field, m, n.Times)
}

// plusSigns writes every way to type ± as one.
var plusSigns = strings.NewReplacer("+/-", "±", "+-", "±")

// plusMinus divides "398 ± 5 g" into "398 g" and "5 g".
func plusMinus(text string) (head, within string, ok bool) {
	text = plusSigns.Replace(text)
	head, within, ok = strings.Cut(text, "±")
	head, within = strings.TrimSpace(head), strings.TrimSpace(within)
	if ok && !strings.ContainsFunc(head, isLetter) {
		head += " " + strings.TrimLeft(within, "0123456789., %")
	}
	return strings.TrimSpace(head), within, ok && within != ""
}

// within keeps how far a weight that was just read may be off: so much, or so many per
// cent of it.
func (r *reader) within(c *Column, text string) {
	of := map[Field]*measure.Mass{FieldNet: r.rec.Net, FieldGross: r.rec.Gross,
		FieldTare: r.rec.Tare}[c.Field]
	share, err := measure.ParseRatio(text)
	if of == nil {
		return
	}
	var off measure.Mass
	if err == nil && strings.Contains(text, "%") {
		off = measure.Mass(float64(*of) * share.Float())
	} else if !strings.ContainsFunc(text, isLetter) {
		off, err = r.cache.mass(text + " " + cmp.Or(c.Unit, "g"))
	} else {
		off, err = r.cache.mass(text)
	}
	switch {
	case err != nil || off > *of:
		r.rec.note(c.noteHeading(), "± "+strings.Clone(text))
	case c.Field == FieldTare:
		r.rec.TareWithin = off
	default:
		r.rec.Within = off
	}
}

// compound reads "1 lb 3 oz", which has two numbers; anything else is not ok.
func (r *reader) compound(text string, parse func(string) (int64, error)) (int64, bool) {
	lower := strings.ToLower(text)
	if !strings.Contains(lower, "lb") && !strings.Contains(lower, "ft") &&
		!strings.Contains(lower, "yd") && !strings.Contains(lower, "kg") ||
		strings.ContainsAny(lower, ",+") || r.t.Style != written.StylePoint &&
		strings.Contains(lower, ".") {
		return 0, false
	}
	v, err := parse(text)
	return v, err == nil
}

// trailingWords returns what follows the number that text begins with.
func trailingWords(text string) string {
	return strings.ToLower(strings.TrimLeft(text, "0123456789.,/ ½¼¾~"))
}

func firstWord(text string) string {
	word, _, _ := strings.Cut(text, " ")
	return word
}

func (r *reader) setMass(f Field, m measure.Mass, times int) {
	total := m * measure.Mass(times)
	switch f {
	case FieldGross:
		r.rec.Gross = &total
	case FieldTare:
		r.rec.Tare = &total
	case FieldLabelMass:
		r.rec.LabelMass = &total
	case FieldNet:
		r.rec.Net = &total
		if times > 1 && r.rec.Packages.Number == 0 {
			r.rec.Packages.Number = times
			for range times {
				r.rec.Packages.Masses = append(r.rec.Packages.Masses, m)
			}
		}
	}
}

// unitProblem reports a quantity that measure refused.
func (r *reader) unitProblem(c *Column, cell *Cell, err error) {
	var e *measure.Error
	if errors.As(err, &e) {
		r.problem(c, cell.Row, cell.Text, e.Problem, e.Hint)
		return
	}
	r.refuse(c, cell, err)
}

func (r *reader) length(c *Column, cell *Cell) {
	l, ok := r.compound(cell.Text,
		func(s string) (int64, error) { l, err := measure.ParseLength(s); return int64(l), err })
	if !ok {
		n, fine := r.number(c, cell)
		if !fine {
			return
		}
		length, err := r.cache.length(r.withUnit(c, n))
		if err != nil {
			r.unitProblem(c, cell, err)
			return
		}
		l = int64(length) * int64(n.Times)
	}
	length := measure.Length(l)
	if c.Field == FieldLabelLength {
		r.rec.LabelLength = &length
		return
	}
	r.rec.Length = &length
}

// count reads a grist: "8/2 Ne" as measure reads it, a bare number in the
// unit of the heading. A date here was a count such as 8/2.
func (r *reader) count(c *Column, cell *Cell) {
	text := strings.TrimSpace(cell.Text)
	if cell.Kind == KindDate || written.LooksLikeDate(text) {
		r.number(c, cell)
		return
	}
	if isBare(text) {
		n, ok := r.number(c, cell)
		if !ok {
			return
		}
		text = n.Decimal
	}
	if c.Unit != "" && !strings.ContainsFunc(text, isLetter) {
		text += " " + c.Unit
	}
	reading, err := r.cache.count(text)
	if err != nil {
		r.unitProblem(c, cell, err)
		return
	}
	r.rec.Count = reading
}

func isLetter(r rune) bool { return r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' }

// putUp reads "125 m / 50 g", or a mass or a length alone, of one package as
// sold.
func (r *reader) putUp(c *Column, cell *Cell) {
	mass, length, err := r.cache.putUp(cell.Text)
	if err != nil {
		r.unitProblem(c, cell, err)
		return
	}
	if mass > 0 {
		r.rec.LabelMass = &mass
	}
	if length > 0 {
		r.rec.LabelLength = &length
	}
}

// ParsePutUp reads the mass and length of a package as sold: "125 m / 50 g",
// "50 g = 125 m", "label 420 m / 100 g", also either of them alone; the other
// is then 0. The error is measure's.
func ParsePutUp(text string) (measure.Mass, measure.Length, error) {
	var mass measure.Mass
	var length measure.Length
	text = strings.TrimPrefix(strings.ToLower(strings.TrimSpace(text)), "label")
	for _, part := range strings.FieldsFunc(strings.TrimSuffix(strings.TrimSpace(text), " each"),
		func(r rune) bool { return r == '/' || r == '=' || r == ';' }) {
		m, err := measure.ParseMass(part)
		if err == nil && mass == 0 {
			mass = m
			continue
		}
		l, lengthErr := measure.ParseLength(part)
		if lengthErr != nil {
			return 0, 0, err
		}
		length = l
	}
	return mass, length, nil
}

func (r *reader) packages(c *Column, cell *Cell) {
	if cell.Kind == KindDate {
		r.number(c, cell)
		return
	}
	if m, ok := r.compound(cell.Text,
		func(s string) (int64, error) {
			m, err := measure.ParseMass(s)
			return int64(m), err
		}); ok && r.rec.Net == nil {
		r.setMass(FieldNet, measure.Mass(m), 1)
		return
	}
	p, err := inStyle(r, cell, ParsePackages)
	if err != nil {
		r.refuse(c, cell, err)
		return
	}
	if p.Note != "" {
		r.rec.note(c.noteHeading(), p.Note)
	}
	if p.Mass != "" && r.rec.Net == nil {
		m, err := measure.ParseMass(p.Mass)
		if err != nil {
			r.unitProblem(c, cell, err)
			return
		}
		r.rec.Net = &m
	}
	r.rec.Packages.join(p)
}

// join adds what another column says: one names the form, the other the number.
func (p *Packages) join(q Packages) {
	if q.Form != "" && p.Form == "" {
		p.Form = q.Form
	}
	if q.Number > p.Number || q.Whole != "" {
		p.Number, p.Masses, p.Last, p.Whole = q.Number, q.Masses, q.Last, q.Whole
	}
	p.Part = p.Part || q.Part
}

func (r *reader) doubt(c *Column, cell *Cell) {
	n, ok := r.number(c, cell)
	if !ok {
		return
	}
	ratio, err := measure.ParseRatio(n.In("%"))
	if err != nil || n.Unit != "" && n.Unit != unitPercent {
		r.problem(c, cell.Row, cell.Text, "not a number of percent",
			"write a plain number of percent")
		return
	}
	r.rec.Doubt = &ratio
}

func (r *reader) price(c *Column, cell *Cell) {
	p, err := inStyle(r, cell, func(s string, style written.Style) (written.Price, error) {
		return written.ParsePrice(s, style, c.Basis, c.Currency)
	})
	if err != nil {
		r.refuse(c, cell, err)
		return
	}
	r.rec.Price = &p
}
