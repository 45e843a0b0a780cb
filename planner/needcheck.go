package planner

import (
	"fmt"
	"strconv"
	"strings"

	"endsmeet/stash/measure"
)

// Bounds within which the integer arithmetic is exact.
const (
	maxEnds    = 1_000_000
	maxPieces  = 4_000
	maxLength  = 10_000_000    // 10 km, for every length that is put in
	maxLoss    = 950_000       // every loss is less; beyond it a unit was mistaken
	maxGain    = 100_000       // what a cloth may gain where a loss is meant: it was learned so
	maxSett    = 100_000_000   // 1000 threads per cm
	maxWarpEnd = 1_000_000_000 // 1000 km
	maxTotal   = 1_000_000_000_000_000
)

// Ceilings of take-up for round yarn that neither stretches nor flattens
// (Peirce 1937, J. Text. Inst. 28, T45; the second by geometry: pi/2 - 1).
const (
	JammedPlain measure.Ratio = 209_200 // both systems crimped alike and jammed: pi/3/sin 60 - 1
	jammedAny   measure.Ratio = 570_796 // the other system dead straight: pi/2 - 1
)

// InputError is one fault of a [Spec] or an [EdgeQuestion].
type InputError struct {
	Field   string // such as "losses.wet_width"
	Problem string
	Hint    string
}

// Error is field and problem in one line.
func (e InputError) Error() string { return e.Field + ": " + e.Problem }

// InputErrors are all faults that were found, at least one.
type InputErrors []InputError

// Error lists every fault.
func (e InputErrors) Error() string {
	lines := make([]string, len(e))
	for i, one := range e {
		lines[i] = one.Error()
	}
	return strings.Join(lines, "; ")
}

// Unwrap gives the faults one by one to errors.As.
func (e InputErrors) Unwrap() []error {
	all := make([]error, len(e))
	for i, one := range e {
		all[i] = one
	}
	return all
}

// tooLarge is the fault of a plan beyond exact arithmetic.
func tooLarge(field, what string) InputError {
	return InputError{field, "asks for more " + what + " than can be planned",
		"check the units and the losses"}
}

// faults lists everything wrong with s; withWidth says that the width counts.
func (s Spec) faults(withWidth bool) InputErrors {
	var bad InputErrors
	bad = append(bad, s.sizeFaults(withWidth)...)
	bad = append(bad, s.lossFaults()...)
	bad = append(bad, s.lengthFaults()...)
	bad = append(bad, s.countFaults()...)
	bad = append(bad, s.finishFaults()...)
	return append(bad, s.edgeFaults()...)
}

// sizeFaults checks size and setts.
func (s Spec) sizeFaults(withWidth bool) InputErrors {
	var bad InputErrors
	positive := func(field string, v, most int64) {
		if v <= 0 || v > most {
			bad = append(bad, InputError{field, "must be above zero and within reason",
				"give it with its unit"})
		}
	}
	positive("pieces", int64(s.Pieces), maxPieces)
	positive("size.length", int64(s.Size.Length), maxLength)
	if withWidth {
		positive("size.width", int64(s.Size.Width), maxLength)
	}
	positive("cloth.sett", int64(s.Cloth.Sett), maxSett)
	if s.Weft.MassPerArea == 0 || s.Cloth.Picks != 0 {
		positive("cloth.picks", int64(s.Cloth.Picks), maxSett)
	}
	positive("ends.modulus", int64(s.Ends.Modulus), maxEnds)
	return bad
}

// lossFaults checks ratios.
func (s Spec) lossFaults() InputErrors {
	var bad InputErrors
	below := func(field string, v, limit measure.Ratio, hint string) {
		if v < -maxGain && !s.drawn || v <= -maxLoss {
			bad = append(bad, InputError{field, "is negative",
				"give the loss as a positive percentage"})
		} else if v >= limit {
			bad = append(bad, InputError{field, "is " + v.String() + ", must be below " +
				limit.String(), hint})
		}
	}
	const share = "a loss is a share of the length before it; hardly anything would be left"
	const jam = "take-up is (yarn - cloth) / cloth; beyond this no round yarn can be woven"
	l := s.Losses
	below("losses.wet_length", l.WetLength, maxLoss, share)
	below("losses.wet_width", l.WetWidth, maxLoss, share)
	below("losses.draw_in", l.DrawIn, maxLoss, share)
	below("losses.stretch", l.Stretch, measure.Whole, "no yarn is woven at double its length")
	if l.Beating <= -maxLoss || l.Beating >= measure.Whole {
		bad = append(bad, InputError{"losses.beating", "is " + l.Beating.String(),
			"nobody beats twice the picks, or hardly any"})
	}
	below("losses.strain", l.Strain, measure.Whole, "no yarn is woven at double its length")
	most := jammedAny + 1
	if s.drawn {
		most = measure.Whole
	}
	below("losses.warp_take_up", l.WarpTakeUp, most, jam)
	below("losses.weft_take_up", l.WeftTakeUp, most, jam)
	return bad
}

// lengthFaults checks every plain length.
func (s Spec) lengthFaults() InputErrors {
	var bad InputErrors
	for _, l := range []struct {
		field string
		v     measure.Length
	}{
		{"edges.hem", s.Edges.Hem}, {"weft.overlap", s.Weft.Overlap},
		{"loom.front", s.Loom.Front}, {"loom.back", s.Loom.Back}, {"loom.sample", s.Loom.Sample},
		{"loom.margin", s.Loom.Margin}, {"loom.header_warp", s.Loom.HeaderWarp},
		{"loom.header_weft", s.Loom.HeaderWeft}, {"loom.gap", s.Loom.Gap},
		{"limits.loom_width", s.Limits.LoomWidth}, {"limits.reed_width", s.Limits.ReedWidth},
		{"limits.max_warp", s.Limits.MaxWarp},
	} {
		if l.v < 0 || l.v > maxLength {
			bad = append(bad, InputError{l.field, "must be from zero to 10 km",
				"leave it out if there is none"})
		}
	}
	if s.Weft.MassPerArea < 0 || s.Weft.MassPerArea > 100*measure.Kilogram {
		bad = append(bad, InputError{"weft.mass_per_area",
			"must be from zero to 100 kg per square metre", "rag rugs take about 1.5 kg"})
	}
	return bad
}

// countFaults checks whole numbers.
func (s Spec) countFaults() InputErrors {
	var bad InputErrors
	within := func(field string, v, most int) {
		if v < 0 || v > most {
			bad = append(bad, InputError{field, "must be from 0 to " + strconv.Itoa(most),
				"leave it out if there is none"})
		}
	}
	within("ends.strands", s.Ends.Strands, 100)
	within("weft.strands", s.Weft.Strands, 100)
	within("weft.joins", s.Weft.Joins, maxEnds)
	within("limits.heddles", s.Limits.Heddles, maxEnds)
	if s.Ends.Floats != 0 && s.Ends.Floats != 2 {
		bad = append(bad, InputError{"ends.floats", "must be 0 or 2",
			"one floating selvedge on each side, or none"})
	}
	return bad
}

// edgeFaults checks that the edges do not contradict each other.
func (s Spec) edgeFaults() InputErrors {
	var bad InputErrors
	e := s.Edges
	bad = append(bad, e.Start().faults("edges")...)
	if e.Other != nil {
		bad = append(bad, e.Other.faults("edges.other")...)
	}
	if len(bad) > 0 {
		return bad
	}
	if e.Hem > 0 && e.Start().Raw() > 0 && e.Last().Raw() > 0 {
		bad = append(bad, InputError{"edges.hem", "is given as well as a fringe",
			"choose a hem or a fringe"})
	}
	if s.Loom.Gap > 0 && s.Pieces > 1 && s.Loom.Gap < e.Fringes() {
		bad = append(bad, InputError{"loom.gap", "is shorter than two raw fringes",
			"leave it out to get two fringes"})
	}
	return bad
}

// beyond lists where the result is outside loom, reed or exact arithmetic.
func (n Needs) beyond() InputErrors {
	var bad InputErrors
	limit := n.Spec.Limits
	if n.WarpEnd > maxWarpEnd || n.WarpEnd < 0 {
		bad = append(bad, tooLarge("size.length", "warp"))
	}
	if n.Picks > maxEnds*1000 || n.WeftTotal > maxTotal || n.WeftTotal < 0 || n.RagMass < 0 ||
		n.RagMass > maxTotal {
		bad = append(bad, tooLarge("cloth.picks", "weft"))
	}
	if len(bad) > 0 {
		return bad
	}
	if limit.LoomWidth > 0 && n.ReedWidth > limit.LoomWidth {
		bad = append(bad, InputError{"limits.loom_width",
			fmt.Sprintf("the warp of %s in the reed is wider than the loom of %s",
				inCm(n.ReedWidth), inCm(limit.LoomWidth)), "plan a narrower piece, or panels"})
	}
	if limit.ReedWidth > 0 && n.ReedWidth > limit.ReedWidth {
		bad = append(bad, InputError{"limits.reed_width",
			fmt.Sprintf("the warp of %s is wider than the reed of %s", inCm(n.ReedWidth),
				inCm(limit.ReedWidth)), "plan a narrower piece or use a longer reed"})
	}
	if limit.Heddles > 0 && n.Threaded > limit.Heddles {
		bad = append(bad, InputError{"limits.heddles",
			fmt.Sprintf("%d ends are more than the %d heddles", n.Threaded, limit.Heddles),
			"add heddles or plan fewer ends"})
	}
	if limit.MaxWarp > 0 && n.WarpEnd > limit.MaxWarp {
		bad = append(bad, InputError{"limits.max_warp",
			fmt.Sprintf("the warp of %s is longer than the %s that the loom takes", inCm(n.WarpEnd),
				inCm(limit.MaxWarp)), "plan fewer or shorter pieces"})
	}
	return bad
}

// inCm is a length for a message.
func inCm(l measure.Length) string { return l.Cloth(measure.Metric) }
