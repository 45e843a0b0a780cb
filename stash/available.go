package stash

import (
	"time"

	"endsmeet/stash/measure"
)

// Bar is what keeps yarn of a package from being woven, in a word; empty where
// nothing does.
type Bar string

// The bars, in the order in which the first that holds is told.
const (
	BarRetired    Bar = "retired"
	BarLent       Bar = "lent"
	BarQuarantine Bar = "quarantine"
	BarPerished   Bar = "perished"
	BarUnfit      Bar = "unfit"
	BarEmpty      Bar = "empty"
	BarPromised   Bar = "promised"
)

// Bars are all of them, in that order.
var Bars = []Bar{BarRetired, BarLent, BarQuarantine, BarPerished, BarUnfit, BarEmpty, BarPromised}

// BarOf says what keeps a package from being woven. Claims is the mass that open
// pieces were promised of it.
func BarOf(p Package, y YarnFacts, claims measure.Mass, now time.Time) Bar {
	switch {
	case p.Retired:
		return BarRetired
	case p.LentTo != "":
		return BarLent
	case p.Quarantine != nil:
		return BarQuarantine
	case perished(p, y, now) != "":
		return BarPerished
	case y.Fit == FitDiscard:
		return BarUnfit
	case p.Known && p.Held <= 0:
		return BarEmpty
	case p.Known && p.Held <= p.Promised(claims):
		return BarPromised
	}
	return ""
}

// Promised is the mass that pieces, by their claims, and reserves by hand have a claim on.
func (p Package) Promised(claims measure.Mass) measure.Mass {
	if p.Reserve != nil {
		claims += p.Reserve.Mass
	}
	return claims
}

// AvailableOf is the mass of a package that can be woven now: what it holds and
// nobody was promised, nothing of what is lent, in quarantine, perished, unfit or
// retired. It is the one definition; of a package never weighed it is 0.
func AvailableOf(p Package, y YarnFacts, claims measure.Mass, now time.Time) measure.Mass {
	if BarOf(p, y, claims, now) != "" || !p.Known {
		return 0
	}
	return p.Held - p.Promised(claims)
}

// Words say a bar of a package as the end of a sentence, empty for none.
func (b Bar) Words(p Package, y YarnFacts, now time.Time) string {
	switch b {
	case BarRetired:
		return "is retired"
	case BarLent:
		return "is on loan to " + Clean(p.LentTo)
	case BarQuarantine:
		if p.Quarantine.Over(now) {
			return "is in quarantine, which was to end on " + p.Quarantine.Until + ", and nobody said that it is clean"
		}
		return "is in quarantine"
	case BarPerished:
		return perished(p, y, now)
	case BarUnfit:
		return "is to be discarded"
	case BarEmpty:
		return "holds nothing"
	case BarPromised:
		return "is all promised already"
	}
	return ""
}

// Apart is yarn that a package is said to hold and that is not available since pieces have
// it: Wound is on a loom, Reserved is promised besides, to pieces or by hand.
type Apart struct{ Wound, Reserved measure.Mass }

// ApartOf is what open pieces have of a package and have not been debited with. Of what a
// weighing has debited the warp is the first.
func ApartOf(p Package, open []Piece) Apart {
	var out Apart
	for _, piece := range open {
		if piece.Plan == nil || !piece.Open() {
			continue
		}
		for _, a := range piece.Plan.Promised() {
			if a.Package != p.ID {
				continue
			}
			used, wound := p.UsedIn[piece.ID], measure.Mass(0)
			if all := a.Warp + a.Weft + a.Hemstitch; piece.State == OnLoom && all > 0 {
				wound = max(0, measure.Part(a.Mass, int64(a.Warp), int64(all))-used)
			}
			out.Wound += wound
			out.Reserved += max(0, a.Mass-used) - wound
		}
	}
	out.Reserved += p.Promised(0)
	return out
}
