package making

import (
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// asMade is what each package was planned to give, in proportion of what was
// really made: the warp by the ends, the weft by the picks (else by the length
// on the tape) and by the width in the reed, since a narrower web takes shorter
// picks. Hem-stitching of a yarn of its own follows the width.
func asMade(p *stash.Plan, m stash.Measures) []stash.Allotment {
	out := merged(p.Allotments)
	ends, width := endsShare(p, m)*woundShare(p, m), widthShare(p, m)
	for i := range out {
		a := &out[i]
		a.Warp = scaled(a.Warp, ends)
		a.Weft = scaled(a.Weft, wovenShare(p, m)*width)
		a.Hemstitch = scaled(a.Hemstitch, width)
	}
	return out
}

func scaled(l measure.Length, share float64) measure.Length {
	return measure.Length(float64(l)*share + 0.5)
}

// endsShare is the share of the planned ends that was warped.
func endsShare(p *stash.Plan, m stash.Measures) float64 {
	if m.Ends <= 0 || p.Ends <= 0 {
		return 1
	}
	return float64(m.Ends) / float64(p.Ends)
}

// woundShare is the share of the planned length that the ends were wound to.
func woundShare(p *stash.Plan, m stash.Measures) float64 {
	if p.WarpEnd <= 0 {
		return 1
	}
	return float64(p.Warped(m)) / float64(p.WarpEnd)
}

// widthShare is the share of the planned width that was threaded: as measured
// in the reed, else as the ends that were counted take it at the same sett.
func widthShare(p *stash.Plan, m stash.Measures) float64 {
	floats := p.Spec.FloatingSelvedges
	switch {
	case m.Reed > 0 && p.ReedWidth > 0:
		return float64(m.Reed) / float64(p.ReedWidth)
	case m.Ends > floats && p.Ends > floats:
		return float64(m.Ends-floats) / float64(p.Ends-floats)
	}
	return 1
}

// wovenShare is the share of the planned picks that was woven: as they were
// counted, else as the tape says.
func wovenShare(p *stash.Plan, m stash.Measures) float64 {
	n := max(1, p.Spec.Pieces)
	switch {
	case m.Picks > 0 && p.Picks > 0:
		return float64(stash.OfOne(measure.Length(m.Picks), measure.Length(p.Picks),
			n)) / float64(p.Picks)
	case m.Tape > 0 && p.Tape > 0:
		return float64(stash.OfOne(m.Tape, p.Tape, n)) / float64(p.Tape)
	}
	return 1
}
