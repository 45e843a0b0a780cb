package learn

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"endsmeet/stash/measure"
)

// Unit is the unit of the numbers of a Row.
type Unit string

// The units. Threads are ends or picks.
const (
	millimetres Unit = "mm"
	threads     Unit = "threads"
	PerMillion  Unit = "ppm"
	milligrams  Unit = "mg"
	Millitex    Unit = "mtex"
)

// Row is one line of a plan against what came of it.
type Row struct {
	Name    string `json:"name"`
	Unit    Unit   `json:"unit"`
	Planned int64  `json:"planned"`
	Actual  int64  `json:"actual"`
	// Reason says where the difference comes from.
	Reason string `json:"reason"`
}

// Words gives both numbers as a person reads them.
func (r Row) Words(sys measure.System) (planned, actual string) {
	return r.Unit.words(r.Planned, sys), r.Unit.words(r.Actual, sys)
}

func (u Unit) words(n int64, sys measure.System) string {
	switch u {
	case millimetres:
		return measure.Length(n).ClothTenth(sys)
	case milligrams:
		return measure.Mass(n).Format(sys)
	case PerMillion:
		return measure.InTenths(measure.Ratio(n).Float())
	case Millitex:
		return measure.Count(n).Format(sys)
	}
	return fmt.Sprint(n)
}

// cause is a factor of a product that came out otherwise than planned.
type cause struct {
	name    string
	planned float64
	actual  float64
	// divides says that the quantity shrinks as the factor grows.
	divides bool
}

// parts divides the difference between actual and planned among the factors of
// the product: each gets its logarithm's share, weighted by the logarithmic
// mean (Vartia; Sato 1976), so that the parts add up exactly.
func parts(planned, actual float64, causes []cause) []float64 {
	mean := planned
	if math.Abs(actual/planned-1) > 1e-9 {
		mean = (actual - planned) / math.Log(actual/planned)
	}
	out := make([]float64, len(causes))
	for i, c := range causes {
		out[i] = mean * math.Log(c.actual/c.planned)
		if c.divides {
			out[i] = -out[i]
		}
	}
	return out
}

// reason names the causes that make more than half a unit of what is shown,
// the greatest first.
func reason(planned, actual float64, causes []cause, least float64,
	show func(float64) string) string {
	type named struct {
		name string
		part float64
	}
	var all []named
	for i, part := range parts(planned, actual, causes) {
		if math.Abs(part) >= least {
			all = append(all, named{causes[i].name, part})
		}
	}
	if len(all) == 0 {
		return "as planned"
	}
	slices.SortStableFunc(all,
		func(a, b named) int { return cmp.Compare(math.Abs(b.part), math.Abs(a.part)) })
	var texts []string
	for _, n := range all {
		texts = append(texts, n.name+" "+show(n.part))
	}
	return strings.Join(texts, ", ")
}

// signed shows a difference with its sign.
func (u Unit) signed(sys measure.System) func(float64) string {
	return func(v float64) string {
		sign := "+"
		if v < 0 {
			sign = "−"
		}
		return sign + u.words(int64(math.Round(math.Abs(v))), sys)
	}
}
