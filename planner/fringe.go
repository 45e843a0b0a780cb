package planner

import (
	"fmt"
	"math"

	"endsmeet/stash/measure"
)

// FringeKind is how the ends of a warp are gathered where they hang from a piece.
type FringeKind int

// The kinds. Raw ends hang as they were cut.
const (
	Raw FringeKind = iota
	Knotted
	Twisted
	Braided
	// FringeKinds is how many there are.
	FringeKinds
)

// fringeTable says how many groups make a bunch, what one is called, what is done to it
// and where the usual loss is from. A strand of a braid or twist lies at an angle to it,
// and is 1/cos of that angle as long (geometry of a helix); no printed ratio of either was
// found, so the weaver's own bunch is what counts.
var fringeTable = [FringeKinds]struct {
	name, bunch, to string
	groups          int
	source          string
}{
	Raw: {"raw", "group", "", 1, ""},
	Knotted: {"knotted", "bunch", "knot", 1,
		"one overhand knot for each bunch takes 3 to 4 cm of end (common practice, no source); openly knotted in rows loses 40%: 6 in of fringe from 10 in (an old needlework text, seen)"},
	Twisted: {"twisted", "bunch", "twist", 2,
		"cut 1.25 to 1.5 times as long (common practice, no source)"},
	Braided: {"braided", "braid", "braid", 3,
		"cut 1.25 to 1.5 times as long (common practice, no source)"},
}

// String is the word for the kind.
func (k FringeKind) String() string { return fringeTable[k].name }

// FringeCalled is the kind of a word; Raw for any other, of which nothing is worked.
func FringeCalled(word string) FringeKind {
	for k := range fringeTable {
		if fringeTable[k].name == word {
			return FringeKind(k)
		}
	}
	return Raw
}

// Groups is how many groups of ends are usually made into one bunch: two are twisted
// together, three braided.
func (k FringeKind) Groups() int { return fringeTable[k].groups }

// Bunch is what one bunch of the kind is called.
func (k FringeKind) Bunch() string { return fringeTable[k].bunch }

// To is what is done to a bunch, empty for nothing.
func (k FringeKind) To() string { return fringeTable[k].to }

// Source is where the usual loss of the kind is from.
func (k FringeKind) Source() string { return fringeTable[k].source }

// End is how one end of a piece is finished, as far as that takes warp.
type End struct {
	Fringe measure.Length // F: raw fringe; where Twist is given, zero
	Twist  Twist          // a fringe that is twisted, braided or knotted
}

// Raw is F, the fringe to leave before it is worked and trimmed, rounded up.
func (e End) Raw() measure.Length {
	if e.Twist.Finished == 0 {
		return e.Fringe
	}
	t := e.Twist
	raw := newFrac(int64(measure.Whole), int64(measure.Whole-t.Loss))
	return measure.Length(raw.ceil(int64(t.Finished + t.Knot + t.Trim)))
}

// kind is what is done to the fringe of the end.
func (e End) kind() FringeKind {
	if e.Twist.Finished > 0 && e.Twist.Kind == Raw {
		return Twisted
	}
	return e.Twist.Kind
}

// usualGroups is how many groups are usually made into one bunch.
func (e End) usualGroups() int {
	if e.kind() == Raw {
		return Twisted.Groups()
	}
	return e.kind().Groups()
}

// angle is that at which a strand lies to its bunch, in degrees, if all that is lost is
// lost to it: a strand is 1/cos of the angle as long as the bunch.
func (t Twist) angle() float64 { return math.Acos(1-t.Loss.Float()) * 180 / math.Pi }

// Sum is how the raw length comes about, for a reader of a system of units.
func (e End) Sum(units measure.System) string {
	t := e.Twist
	if t.Finished == 0 {
		return e.Fringe.Cloth(units) + " as it is cut"
	}
	text := fmt.Sprintf("%s to hang", t.Finished.Cloth(units))
	if t.Knot > 0 {
		text += ", " + t.Knot.Cloth(units) + " for the knot"
	}
	if t.Trim > 0 {
		text += ", " + t.Trim.Cloth(units) + " to trim"
	}
	if t.Loss > 0 {
		text += fmt.Sprintf(", %s lost in the working, as where strands lie at %.0f degrees to the bunch (1/cos)", t.Loss, t.angle())
	}
	return text
}

// Start and Last are the end of each piece that is woven first, and the other one.
func (e EdgePlan) Start() End { return End{e.Fringe, e.Twist} }

// Last is the end of each piece that is woven last.
func (e EdgePlan) Last() End {
	if e.Other != nil {
		return *e.Other
	}
	return e.Start()
}

// Fringes is the raw fringe of both ends of a piece, which is what lies between two.
func (e EdgePlan) Fringes() measure.Length { return e.Start().Raw() + e.Last().Raw() }

// Trimmed is what is trimmed off the fringes of a piece.
func (e EdgePlan) Trimmed() measure.Length { return e.Start().trim() + e.Last().trim() }

func (e End) trim() measure.Length {
	if e.Twist.Finished == 0 {
		return 0
	}
	return e.Twist.Trim
}

// faults lists what is wrong with an end by itself.
func (e End) faults(field string) InputErrors {
	var bad InputErrors
	for _, l := range []struct {
		field string
		v     measure.Length
	}{
		{".fringe", e.Fringe}, {".twist.finished", e.Twist.Finished}, {".twist.knot", e.Twist.Knot},
		{".twist.trim", e.Twist.Trim},
	} {
		if l.v < 0 || l.v > maxLength {
			bad = append(bad, InputError{field + l.field, "must be from zero to 10 km",
				"leave it out if there is none"})
		}
	}
	if l := e.Twist.Loss; l < 0 || l >= maxLoss {
		bad = append(bad, InputError{field + ".twist.loss", "is " + l.String() +
			", must be from 0% to below " + measure.Ratio(maxLoss).String(),
			"a loss is a share of the length before it"})
	}
	if e.Twist.Finished > 0 && e.Fringe > 0 {
		bad = append(bad, InputError{field + ".fringe", "is given raw and twisted",
			"give the twisted length or the raw length"})
	}
	if e.Twist.Finished == 0 && e.Twist.Knot+e.Twist.Trim > 0 {
		bad = append(bad, InputError{field + ".twist.finished",
			"is missing, but knot or trim is given", "say how long the twisted fringe shall hang"})
	}
	return bad
}
