package planner

import "endsmeet/stash/measure"

// Spec is everything that decides what one warp needs. The zero value of a
// field means none, unless the field says otherwise; Pieces, Size, Cloth and
// Ends.Modulus must be set.
type Spec struct {
	Pieces int // n: equal pieces on this warp, at least 1
	Size   Size
	Cloth  Cloth
	Losses Losses
	Ends   EndPlan
	Weft   WeftPlan
	Edges  EdgePlan
	Loom   LoomPlan
	Limits Limits

	drawn bool // losses are drawn about their means, and may be below zero
}

// Size is the finished size of one piece after wet finishing.
type Size struct {
	Length measure.Length // Lf, without fringe and without the turned-in hems
	Width  measure.Length // Wf; NeedForEnds ignores it
}

// Cloth is the construction of the web on the loom, under tension.
type Cloth struct {
	Sett measure.Sett // e: ends in the reed; a doubled end counts once
	// p: picks; a doubled pick counts once. May be zero if the weft is rags by mass
	Picks measure.Sett
	Plain bool // plain weave: take-up is then checked against the jammed plain cloth
}

// Losses are the ratios by which yarn, web and cloth differ. Each is in parts
// per million. Those who know only one combined loss put it in WetLength and
// WetWidth and leave WarpTakeUp, Stretch and DrawIn at zero.
type Losses struct {
	WarpTakeUp measure.Ratio // cw: (yarn - cloth) / cloth, lengthwise
	WeftTakeUp measure.Ratio // cx: the same for the weft
	WetLength  measure.Ratio // sw: loom-state length lost in wet finishing, of the length before
	WetWidth   measure.Ratio // sx: loom-state width lost in wet finishing, of the width before
	Stretch    measure.Ratio // x: how much longer the web is under tension than relaxed
	Strain     measure.Ratio // ε: how much longer the yarn of the warp is under tension than slack
	DrawIn     measure.Ratio // d: reed width lost at the fell, of the reed width
	// how many more picks are beaten than the cloth's, below zero for fewer
	Beating measure.Ratio
}

// EndPlan says how the ends are counted and wound.
type EndPlan struct {
	Modulus int  // M: threaded ends are a multiple of this (repeat, bunch), at least 1
	Least   int  // or this and so many more (balance ends); 0 means none
	Given   int  // threaded ends whatever the width asks for and M allows; 0 for none
	Floats  int  // f: floating selvedge ends, 0 or 2
	Strands int  // yarns run together as one end; 0 means 1
	Loops   bool // wound in loops of two: the number of lengths wound is even
}

// WeftPlan says how the weft is thrown and what it costs beside the picks.
type WeftPlan struct {
	Strands int  // yarns run together as one pick; 0 means 1
	Clasped bool // two wefts linked in the shed: two strands lie in every pick
	// reckon the weft on the reed width, as handbooks do, instead of on the cloth width
	OnReedWidth bool
	Joins       int            // joins expected in the whole weft
	Overlap     measure.Length // weft that overlaps at each join
	// rag weft by mass per square metre of finished cloth; 0 means by picks
	MassPerArea measure.Mass
}

// EdgePlan says how both ends of each piece are finished.
type EdgePlan struct {
	Fringe measure.Length // F: raw fringe, for each side
	Twist  Twist          // twisted, braided or knotted fringe; sets F, so leave Fringe at zero
	Other  *End           // the end woven last, where it differs from the first
	// cloth turned in for hems, finished, in all for one piece; instead of a fringe
	Hem measure.Length
	// edges of one piece finished in a way that takes weft: 0, 1 or 2 of each
	Finished [Finishes]int
}

// Twist is a fringe that is twisted, braided or knotted, as it shall hang.
// Raw fringe F = (Finished + Knot + Trim) / (1 - Loss).
type Twist struct {
	Kind     FringeKind     // what is done to it; Raw is taken as Twisted
	Finished measure.Length // finished length wanted, without the knot; 0 means no such fringe
	// length lost in the working; 15 to 25 % is a starting figure (common practice, no source)
	Loss measure.Ratio
	Knot measure.Length // length that the knot takes up
	Trim measure.Length // cut off after knotting
}

// LoomPlan is the warp that the loom and the weaver need beside the pieces.
type LoomPlan struct {
	Front        measure.Length // a: waste at the front, tie-on, under tension
	Back         measure.Length // b: waste behind the reed, under tension
	Margin       measure.Length // wound beyond the middle of what pieces need
	Sample       measure.Length // h: warp kept for sampling
	SampleInWeft bool           // the sample is woven in the piece's own weft
	HeaderWarp   measure.Length // warp taken by the header, once for each warp
	// own weft taken by the header, once for each warp; 0 if it is woven in scrap
	HeaderWeft measure.Length
	Gap        measure.Length // warp left between two pieces; 0 means both fringes
}

// Limits are what loom and reed can take; zero means unknown.
type Limits struct {
	LoomWidth measure.Length // weaving width
	ReedWidth measure.Length // length of the reed
	Heddles   int            // heddles: one for each threaded end, floats need none
	MaxWarp   measure.Length // longest warp that the beam or the frame takes
}

// strands of yarn in one end.
func (e EndPlan) strands() int { return max(1, e.Strands) }

// strands of yarn that lie in one shed.
func (w WeftPlan) strands() int {
	if w.Clasped {
		return 2 * max(1, w.Strands)
	}
	return max(1, w.Strands)
}

// woven is the finished length of one piece with its hems.
func (s Spec) woven() measure.Length { return s.Size.Length + s.Edges.Hem }
