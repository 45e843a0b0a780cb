package stash

import (
	"math"
	"time"

	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// Amount is how much yarn a package has left, and how sure that is.
type Amount struct {
	// Net is the yarn in the package, Available the part of it that can be woven
	// now. Both are meaningless unless Known.
	Net, Available measure.Mass
	Known          bool
	// Length of Net, with one standard uncertainty below and above it;
	// meaningless unless LengthKnown.
	Length, Low, High measure.Length
	LengthKnown       bool
	// Strand is the greatest length of one piece of it, zero where it runs through.
	Strand measure.Length
	Doubt
}

// Doubt holds the standard uncertainties behind a length. Reading is of this
// package alone; a tare that was assumed is of its own too, unless the
// packages share the form and the guess. Count and Humidity are shared by
// all packages of a yarn.
type Doubt struct {
	Reading measure.Mass  // of this package alone: of the scale, and Said, mg
	Said    measure.Mass  // what somebody said of the package beyond all others, mg
	Tare    measure.Mass  // of a tare not weighed, mg
	Count   measure.Ratio // relative
	Room    measure.Ratio // relative, from the humidity of the room
}

// AmountOf works out what a package has left. Claims is the mass that open
// pieces have been promised of it. The uncertainties follow the GUM (JCGM
// 100:2008): each reading of a scale of step d gives d/(2√3); a tare within
// ±s of a guess gives s/√3.
func AmountOf(p Package, y YarnFacts, s Settings, claims measure.Mass, now time.Time) Amount {
	a := Amount{Net: p.Held, Known: p.Known, Strand: p.Strand(s), Doubt: doubtOf(p, y, s)}
	a.Available = AvailableOf(p, y, claims, now)
	if !p.Known || y.Tex() == 0 {
		return a
	}
	own := measure.Combine(float64(a.Reading), float64(a.Tare))
	shared := measure.Combine(a.Count.Float(), a.Room.Float())
	a.Low, a.Length, a.High = measure.LengthRange(max(p.Held, 0), y.Tex(), own, shared)
	a.LengthKnown = true
	return a
}

func doubtOf(p Package, y YarnFacts, s Settings) Doubt {
	step := p.Step
	if step == 0 {
		step = s.ScaleStep
	}
	reading := measure.ResolutionU(step)
	var d Doubt
	d.Reading = measure.Mass(reading)
	if t := p.Tare; t != nil && !p.OwnTare {
		if t.Source != TareWeighed {
			d.Tare = tareDoubt(*t)
		} else if t.Mass > 0 {
			d.Reading = measure.Mass(measure.Combine(reading, reading))
		}
	}
	d.Count = y.CountDoubt(s.Doubts)
	d.Room = fibre.HumidityDoubt(y.Fibre)
	net := float64(max(p.Held, 0))
	reckoned := measure.Combine(float64(d.Reading), float64(d.Tare), d.Count.Float()*net,
		d.Room.Float()*net)
	if said := p.LengthDoubt.Float() * net; said > reckoned {
		d.Said = measure.Mass(math.Sqrt(said*said - reckoned*reckoned))
		d.Reading = measure.Mass(measure.Combine(float64(d.Reading), float64(d.Said)))
	}
	return d
}

// assumedSpread is the half-width of an assumed tare for which none is given
// (common practice, no source: cones of one make differ by about 10 g).
const assumedSpread = 10 * measure.Gram

func tareDoubt(t Tare) measure.Mass {
	spread := t.Spread
	if spread == 0 {
		spread = assumedSpread
	}
	return measure.Mass(measure.RectangularU(spread))
}
