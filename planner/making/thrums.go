package making

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// ThrumsInput is thrums cut from the warp.
type ThrumsInput struct {
	// ID is the id for the new package.
	ID stash.PackageID
	// Of is what they are of: an item, a stripe, a colour or a yarn of the warp; empty
	// where the warp is all alike.
	Of   string
	Mass measure.Mass
	Step measure.Mass
}

// warpPart is what one package gave to a warp: what is debited now, and what weighings on
// the loom debited before.
type warpPart struct {
	stash.Package
	yarn   stash.Yarn
	stripe string
	mass   measure.Mass // less what thrums are of already
}

// thrums makes a package of each of the thrums.
func (s Shelf) thrums(piece stash.Piece, in []ThrumsInput, debits []stash.Debit) ([]stash.Thrums,
	error) {
	warp := s.warpOf(piece, debits)
	longest := lengthOr(piece.Plan.Spec.BackWaste, s.Settings.BackWaste)
	var out []stash.Thrums
	for _, t := range in {
		if t.Mass <= 0 {
			return nil, stash.Refuse(stash.CodeInput, "leave --thrums out if none were kept",
				"the weight of the thrums must be more than nothing")
		}
		from, err := thrumsFrom(piece, warp, t.Of)
		if err != nil {
			return nil, err
		}
		if left := cutFrom(from, t.Mass); left < 0 {
			return nil, stash.Refuse(stash.CodeInput, "weigh them again",
				"thrums of %s cannot come from %s of warp of that yarn",
				t.Mass.Format(s.Settings.Units), (t.Mass + left).Format(s.Settings.Units))
		}
		fields, err := thrumsFields(piece, from, longest)
		if err != nil {
			return nil, err
		}
		out = append(out, stash.Thrums{Package: t.ID, Mass: t.Mass, Step: t.Step, Fields: fields})
	}
	return out, nil
}

// Cut is yarn of one package that is kept as thrums.
type Cut struct {
	From   stash.PackageID
	Thrums stash.Thrums
	Mass   measure.Mass
}

// CutsOf says what of each package thrums are of; together they are of their weight.
func (s Shelf) CutsOf(piece stash.Piece, in []ThrumsInput, f stash.Finish) ([]Cut, error) {
	warp := s.warpOf(piece, f.Debits)
	var out []Cut
	for i, t := range f.Thrums {
		from, err := thrumsFrom(piece, warp, in[i].Of)
		if err != nil {
			return nil, err
		}
		left := t.Mass
		for _, p := range from {
			if off := min(p.mass, left); off > 0 {
				out = append(out, Cut{p.ID, t, off})
				p.mass, left = p.mass-off, left-off
			}
		}
	}
	return out, nil
}

// warpOf lists what gave the warp of a piece.
func (s Shelf) warpOf(piece stash.Piece, debits []stash.Debit) []*warpPart {
	var out []*warpPart
	for _, p := range s.Packages {
		y := s.Yarns[p.Yarn]
		part := &warpPart{p, y, s.colourIn(p, y, piece.Plan.Spec), max(0, p.UsedIn[piece.ID])}
		gave := slices.ContainsFunc(piece.Plan.Allotments,
			func(a stash.Allotment) bool { return a.Package == p.ID && a.Warp > 0 })
		for _, d := range debits {
			if d.Package == p.ID && d.Role == stash.RoleWarp {
				gave = true
				part.mass += d.Mass
			}
		}
		if gave {
			out = append(out, part)
		}
	}
	return out
}

// cutFrom takes thrums off what gave them and says what is left of that, below zero for
// what they are too heavy by.
func cutFrom(from []*warpPart, thrums measure.Mass) (left measure.Mass) {
	for _, p := range from {
		off := min(p.mass, thrums)
		p.mass, thrums = p.mass-off, thrums-off
		left += p.mass
	}
	return left - thrums
}

// thrumsFrom are the parts of a warp that thrums are of, which have one yarn and colour:
// those named, all where nothing is. An item wins over a stripe, that over a colour, and
// a whole name over the beginning of one.
func thrumsFrom(piece stash.Piece, warp []*warpPart, of string) ([]*warpPart, error) {
	from := warp
	for _, is := range []func(*warpPart) string{
		func(p *warpPart) string { return p.Tag },
		func(p *warpPart) string { return p.Label() },
		func(p *warpPart) string { return string(p.ID) },
		func(p *warpPart) string { return p.stripe },
		func(p *warpPart) string { return p.ColourOf(p.yarn.Name) },
		func(p *warpPart) string { return p.yarn.Name },
		func(p *warpPart) string { return firstLetters(p.yarn.Name, of) },
		func(p *warpPart) string { return firstLetters(string(p.ID), of) },
	} {
		if of == "" {
			break
		}
		from = slices.DeleteFunc(slices.Clone(warp),
			func(p *warpPart) bool { return !strings.EqualFold(is(p), of) })
		if len(from) > 0 {
			break
		}
	}
	if len(from) == 0 {
		return nil, stash.Refuse(stash.CodeInput, waysToSay(warp),
			"nothing in the warp of %s is called %s", piece.Name, stash.Quote(of))
	}
	for _, p := range from[1:] {
		if p.Yarn != from[0].Yarn || !strings.EqualFold(p.Colour, from[0].Colour) {
			return nil, stash.Refuse(stash.CodeInput, waysToSay(from),
				"the warp has more than one yarn or colour, so say which the thrums are of")
		}
	}
	return from, nil
}

// firstLetters is as much of a name as a word is long.
func firstLetters(name, word string) string {
	return string([]rune(name)[:min(len([]rune(name)), len([]rune(word)))])
}

// waysToSay are the options that name the parts of a warp.
func waysToSay(warp []*warpPart) string {
	if len(warp) == 0 {
		return "leave --thrums out"
	}
	var ways []string
	for _, p := range warp {
		ways = append(ways, "--thrums "+p.Label()+"=WEIGHT")
	}
	return strings.Join(ways, ", or ")
}

// thrumsFields are the facts of thrums: what all that they are of have.
func thrumsFields(piece stash.Piece, from []*warpPart, longest measure.Length) (stash.Fields,
	error) {
	fields, err := stash.WoundOff(from[0].PackageFacts, nil)
	if err != nil {
		return nil, err
	}
	for _, p := range from[1:] {
		other, err := stash.WoundOff(p.PackageFacts, nil)
		if err != nil {
			return nil, err
		}
		for name, value := range fields {
			if !bytes.Equal(other[name], value) {
				delete(fields, name)
			}
		}
	}
	for name, value := range map[string]any{
		"form": "thrums", "longest": longest, "note": fmt.Sprintf("cut from the warp of %s",
			piece.Name),
	} {
		raw, err := json.Marshal(value)
		if err != nil {
			return nil, err
		}
		fields[name] = raw
	}
	return fields, nil
}
