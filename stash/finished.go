package stash

import (
	"strings"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash/measure"
)

// FinishedLength is the finished length of one piece of a warp, its hems turned in;
// zero where none was measured.
func (p Piece) FinishedLength() measure.Length {
	if p.Finish == nil || p.Plan == nil {
		return 0
	}
	m := p.Finish.Measures
	length := OfOne(m.Length, p.Plan.Length, max(1, p.Plan.Spec.Pieces))
	if m.HemsOpen && length > 0 {
		length = max(0, length-p.Plan.Spec.Hems())
	}
	return length
}

// OfOne is a length of one of n pieces. On a warp of several it may have been
// noted of one or of all: it is taken as whichever is nearer to the planned
// one, in ratio, as learning does.
func OfOne(measured, one measure.Length, n int) measure.Length {
	if n > 1 && one > 0 && float64(measured)*float64(measured) > float64(one)*float64(one)*float64(n) {
		return measured / measure.Length(n)
	}
	return measured
}

// FinishWords are the figures of a finish, of the body of its event: the size, and what
// went in.
func FinishWords(body []byte, units measure.System) string {
	var f Finish
	if jsonv2.Unmarshal(body, &f) != nil {
		return "a newer version wrote it"
	}
	var used measure.Mass
	for _, d := range f.Debits {
		used += d.Mass
	}
	var parts []string
	if m := f.Measures; m.Width > 0 && m.Length > 0 {
		parts = append(parts, m.Width.Cloth(units)+" × "+m.Length.Cloth(units))
	} else if m.Length > 0 {
		parts = append(parts, m.Length.Cloth(units)+" long")
	} else if m.Width > 0 {
		parts = append(parts, m.Width.Cloth(units)+" wide")
	}
	return strings.Join(append(parts, used.Format(units)+" used"), ", ")
}
