package planner

import "endsmeet/stash/measure"

// Needs is what one warp needs, and what comes off it. Needs are rounded up,
// sizes that come out are rounded down, to whole millimetres and milligrams.
type Needs struct {
	Spec Spec // the question

	RelaxedLength measure.Length // Lr: one piece off the loom, before wet finishing
	TapeLength    measure.Length // Lt: weave until the tape, under tension, reads this
	RawFringe     measure.Length // F, of the end woven first
	WarpEnd       measure.Length // l: length of every end

	ReedWanted    measure.Length // Wr: width in the reed that the finished width asks for
	ReedWidth     measure.Length // width in the reed that the ends really take
	Threaded      int            // ends without floats, of those that the pattern allows
	ThreadedBelow int            // the number next below that it allows
	Ends          int            // Threaded and floats
	// lengths of yarn to wind: ends times strands, even if wound in loops
	Windings  int
	WarpTotal measure.Length // Windings times WarpEnd

	ClothWidth     measure.Length // Wc, on the loom after draw-in
	FinishedWidth  measure.Length // what the ends really give
	FinishedLength measure.Length // Lf

	Picks            int            // N, for each piece
	HemstitchPerEdge measure.Length // hem-stitching yarn for one edge
	HemstitchTotal   measure.Length // hem-stitching yarn for all edges
	WeftTotal        measure.Length // all weft, with hem-stitching, sample, header and joins
	RagMass          measure.Mass   // rag weft by mass; zero if the weft is reckoned by picks

	Warp        []Allowance // the lines that add up to WarpEnd
	Weft        []Allowance // the lines that add up to WeftTotal
	DivideNotes []DivideNote
	Warnings    []Warning
}

// Allowance is one line of a sum of lengths.
type Allowance struct {
	Name   string
	Length measure.Length
	Why    string
}

// Need computes what s needs. The error is an [InputErrors] that lists every
// fault of s.
func Need(s Spec) (Needs, error) {
	if s.Ends.Given > 0 {
		return NeedForEnds(s, s.Ends.Given)
	}
	if bad := s.faults(true); len(bad) > 0 {
		return Needs{}, bad
	}
	threaded := s.Ends.counts().From(s.wanted())
	if threaded > maxEnds {
		return Needs{}, InputErrors{tooLarge("size.width", "ends")}
	}
	return s.need(int(threaded))
}

// wanted is the least whole number of ends that gives the finished width. A
// width in inches was rounded to the millimetre: where the sett is not a round
// metric one, it is taken as the eighths of an inch that it is the rounding of, so
// that 22 inches at 24 ends stay 528. The width is never less than was asked for.
func (s Spec) wanted() int64 {
	f, w := s.ending(), int64(s.Size.Width)
	if inches := s.Cloth.Sett%(measure.PerCentimetre/100) != 0; inches {
		eighth := newFrac(127, 40) // mm
		q := (2*w*eighth.den + eighth.num) / (2 * eighth.num)
		if back := (2*q*eighth.num + eighth.den) / (2 * eighth.den); back == w {
			return f.times(eighth).ceil(q)
		}
	}
	return f.ceil(w)
}

// NeedForEnds computes what s needs when the number of threaded ends (without
// floats) is given; the width wanted is ignored and the modulus only serves
// for the multiple below. The error is an [InputErrors].
func NeedForEnds(s Spec, threaded int) (Needs, error) {
	bad := s.faults(false)
	if threaded < 1 || threaded > maxEnds {
		bad = append(bad, InputError{"ends", "must be from 1 to 1,000,000",
			"count the threaded ends without floating selvedges"})
	}
	if len(bad) > 0 {
		return Needs{}, bad
	}
	return s.need(threaded)
}

// need fills in every part for a valid spec.
func (s Spec) need(threaded int) (Needs, error) {
	n := Needs{Spec: s, Threaded: threaded, Ends: threaded + s.Ends.Floats}
	n.ThreadedBelow = s.Ends.counts().To(threaded - 1)
	s.lengths(&n)
	s.widths(&n)
	s.weft(&n)
	if bad := n.beyond(); len(bad) > 0 {
		return Needs{}, bad
	}
	n.DivideNotes = s.divideNotes()
	n.Warnings = s.warnings(n)
	return n, nil
}

// lengths fills in everything that runs along the warp.
func (s Spec) lengths(n *Needs) {
	woven := int64(s.woven())
	n.FinishedLength = s.Size.Length
	n.RelaxedLength = measure.Length(s.relaxing().ceil(woven))
	n.TapeLength = measure.Length(s.taping().ceil(woven))
	n.RawFringe = s.Edges.Start().Raw()
	n.Picks = int(s.picking().ceil(woven))
	n.Warp = s.warpLines()
	n.WarpEnd = total(n.Warp)
	n.Windings = n.Ends * s.Ends.strands()
	if s.Ends.Loops {
		n.Windings += n.Windings % 2
	}
	if n.WarpEnd <= maxWarpEnd {
		n.WarpTotal = measure.Length(n.Windings) * n.WarpEnd
	}
}

// widths fills in everything that runs across the warp.
func (s Spec) widths(n *Needs) {
	n.ReedWanted = measure.Length(s.reeding().ceil(int64(s.Size.Width)))
	n.ReedWidth = measure.Length(s.reed(n.Threaded).ceil(1))
	n.ClothWidth = measure.Length(s.web(n.Threaded).floor(1))
	n.FinishedWidth = measure.Length(s.finished(n.Threaded).floor(1))
}

// weft fills in weft, hem-stitching and rags.
func (s Spec) weft(n *Needs) {
	if web := s.web(n.Threaded); s.Edges.Finished[HemStitching] > 0 {
		n.HemstitchPerEdge, n.HemstitchTotal = HemStitching.perEdge(web), s.finishLine(HemStitching, web).Length
	}
	n.Weft = s.weftLines(n.Threaded)
	n.WeftTotal = total(n.Weft)
	n.RagMass = s.rags(s.finished(n.Threaded))
}

// total is the sum of lines.
func total(lines []Allowance) measure.Length {
	var sum measure.Length
	for _, l := range lines {
		sum += l.Length
	}
	return sum
}
