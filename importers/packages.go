package importers

import (
	"math/big"
	"strings"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// Packages is what a cell such as "2 skeins (91 g, 102 g)" or "3 balls + part"
// says about the packages of a row.
//
// Number is 0 when the cell names a form and no number ("balls"). Masses holds
// the mass of each package, or is nil when they are not given one by one: then
// nothing is guessed, and a Record with more than one package carries a
// question. Part is set when one of the packages is part used; Whole is the
// number as written when it has a fraction ("3.5").
type Packages struct {
	Form   string         `json:"form,omitempty"`
	Number int            `json:"number"`
	Masses []measure.Mass `json:"masses_mg,omitempty"`
	// of the package behind a plus sign ("2 balls + 9 g"); 0 when not given
	Last  measure.Mass `json:"last_mg,omitempty"`
	Part  bool         `json:"part,omitempty"`
	Whole string       `json:"whole,omitempty"`
	Mass  string       `json:"-"` // a mass and no form: "200 g", to be taken as the net mass
	Note  string       `json:"-"`
}

// partWords say that a package is not whole.
var partWords = map[string]bool{"part": true, "partial": true, "used": true, "partly": true,
	"opened": true, "started": true, "remnant": true, "rest": true, "leftover": true, "bit": true}

// ParsePackages reads a cell about packages:
//
//	cone · hand-wound ball · part skein · balls · 4 · 3.5 balls · ½ skein
//	2 skeins (91 g, 102 g) · 5 skeins (20.4, 19.1, 20.0, 18.6, 20.8 g)
//	3 balls + part · 2 balls + 9 g · 2 x 100 g
//
// A form that is not known is kept as written. The error is a *written.Error.
func ParsePackages(text string, style written.Style) (Packages, error) {
	body, inside := written.CutNote(strings.ToLower(strings.TrimSpace(strings.Map(written.PlainSpace, text))))
	main, extra, more := strings.Cut(body, "+")
	if !more {
		main, extra, more = strings.Cut(body, " and ")
	}
	var p Packages
	if err := p.readMain(strings.TrimSpace(main), style); err != nil {
		return Packages{}, err
	}
	if more {
		if err := p.readExtra(strings.TrimSpace(extra), style); err != nil {
			return Packages{}, err
		}
	}
	if inside != "" && !p.readList(inside, style) {
		p.note(inside)
	}
	return p, nil
}

func (p *Packages) note(text string) {
	if p.Note != "" {
		text = p.Note + "; " + text
	}
	p.Note = text
}

// readMain reads "3.5 balls", "hand-wound ball", "2 x 100 g".
func (p *Packages) readMain(text string, style written.Style) error {
	rest, approx := written.CutApprox(text)
	if !written.StartsNumber(rest) {
		p.readWords(text)
		return nil
	}
	n, err := written.ParseNumber(rest, style)
	if err != nil {
		return err
	}
	if approx || n.Approx {
		p.note("approx")
	}
	if unit, ok := headingUnits[n.Unit]; ok && takesUnit(FieldNet, unit) {
		return p.alike(n, unit)
	}
	if n.Times != 1 {
		return written.Fault("more than one number",
			"write how many there are, and their weights in brackets")
	}
	p.readWords(n.Unit)
	return p.setNumber(n.Decimal)
}

// alike takes "2 x 100 g" for two packages, and "100 g" for a mass.
func (p *Packages) alike(n written.Number, unit string) error {
	mass, err := measure.ParseMass(n.In(unit))
	if err != nil {
		return &written.Error{Reason: reasonOf(err)}
	}
	if n.Times == 1 {
		p.Mass = n.In(unit)
		return nil
	}
	p.Number = n.Times
	for range n.Times {
		p.Masses = append(p.Masses, mass)
	}
	return nil
}

// readWords finds the form among words; "part" among them says so.
func (p *Packages) readWords(text string) {
	var others []string
	for _, word := range strings.Fields(strings.TrimPrefix(strings.TrimSpace(text), "of a ")) {
		known, ok := written.PackageOf(word)
		switch {
		case ok && p.Form == "":
			p.Form = known.Word
			if p.Number == 0 && known.Word != "thrums" && !strings.HasSuffix(word, "s") {
				p.Number = 1
			}
		case partWords[word]:
			p.Part = true
		default:
			others = append(others, word)
		}
	}
	left := strings.Join(others, " ")
	if p.Form == "" {
		p.Form = left
	} else if left != "" {
		p.note(left)
	}
}

// setNumber takes "3.5" for four packages, one of them part used.
func (p *Packages) setNumber(decimal string) error {
	r, _ := new(big.Rat).SetString(decimal)
	whole := new(big.Int).Quo(r.Num(), r.Denom())
	if !whole.IsInt64() || whole.Int64() > written.MaxTimes || r.Sign() == 0 {
		return written.Fault("not how many there are",
			"write how many there are, from 1 to 10000")
	}
	p.Number = int(whole.Int64())
	if !r.IsInt() {
		p.Number++
		p.Part, p.Whole = true, decimal
	}
	return nil
}

// readExtra reads what stands behind a plus sign: one more package, by its
// mass or as "part".
func (p *Packages) readExtra(text string, style written.Style) error {
	p.Number = max(p.Number, 1) + 1
	p.Part = true
	rest, _ := written.CutApprox(text)
	if !written.StartsNumber(rest) {
		before, note := p.Form, p.Note
		p.readWords(text)
		if p.Form == "" || before != "" {
			p.Form, p.Note = before, note
		}
		return nil
	}
	n, err := written.ParseNumber(rest, style)
	if err != nil {
		return err
	}
	unit, ok := headingUnits[n.Unit]
	if !ok || !takesUnit(FieldNet, unit) {
		if p.Number--; n.Unit == "" {
			return written.Fault("a second number without a unit",
				"write the last one as \"+ 9 g\" or \"+ part\"")
		}
		p.note("+ " + text)
		return nil
	}
	if p.Last, err = measure.ParseMass(n.In(unit)); err != nil {
		return &written.Error{Reason: reasonOf(err)}
	}
	return nil
}

// readList reads the masses in a bracket: "91 g, 102 g" or "20.4, 19.1 g". It
// is a list only when it has a unit and as many masses as there are packages.
func (p *Packages) readList(text string, style written.Style) bool {
	sep := ","
	for _, s := range []string{";", ", ", " + ", " and "} {
		if strings.Contains(text, s) {
			sep = s
			break
		}
	}
	parts := strings.Split(text, sep)
	if len(parts) != p.Number || len(parts) < 2 {
		return false
	}
	unit := ""
	masses := make([]measure.Mass, len(parts))
	for i := len(parts) - 1; i >= 0; i-- {
		n, err := written.ParseNumber(strings.TrimSpace(parts[i]), style)
		if err != nil || n.Times != 1 {
			return false
		}
		if n.Unit != "" {
			unit = headingUnits[n.Unit]
		}
		if masses[i], err = measure.ParseMass(n.In(unit)); err != nil {
			return false
		}
	}
	p.Masses = masses
	return true
}
