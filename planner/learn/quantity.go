package learn

import (
	"math"

	"endsmeet/planner/levels"
	"endsmeet/stash/measure"
)

// The quantities lengthwise, in logarithms: the yarn is longer under tension than slack
// by strain; an end runs through the taut web by straight more than the web is long, and
// through the relaxed one by straight + bend; washing takes the last.
const (
	strain   = iota // ln(1 + ε)
	straight        // ln(1 + c_t)
	bend            // ln((1 + c)/(1 + c_t))
	washing         // −ln(1 − s)
)

// The quantities widthwise.
const (
	drawingIn   = iota // ln(reed / web)
	washingWide        // ln(web / finished)
	weftBend           // ln(weft / width of the web)
	beating            // ln(picks woven / planned)
)

// What figures are made of. What the tape loses when the tension goes is strain and
// bend; take-up of the relaxed cloth is straight and bend: they share the bend, and the
// two learned apart would count it twice or not at all.
var (
	strainOf  = levels.Vector{strain: 1}
	stretchOf = levels.Vector{strain: 1, bend: 1}
	takeUpOf  = levels.Vector{straight: 1, bend: 1}
	shrinkOf  = levels.Vector{washing: 1}
	// from the tape to the finished length
	finishingOf  = levels.Vector{strain: 1, bend: 1, washing: 1}
	drawInOf     = levels.Vector{drawingIn: 1}
	shrinkWideOf = levels.Vector{washingWide: 1}
	narrowingOf  = levels.Vector{drawingIn: 1, washingWide: 1}
	weftTakeUpOf = levels.Vector{weftBend: 1}
	beatingOf    = levels.Vector{beating: 1}
)

// kind is a loss: how it stands in the quantities of a direction.
type kind struct {
	name string
	d    direction
	sense
	take levels.Vector
}

// kinds are the losses in the order of a project's fields.
var kinds = []kind{
	{crimpWarp, lengthwise, gains, takeUpOf}, {crimpWeft, widthwise, gains, weftTakeUpOf},
	{shrinkLength, lengthwise, losses, shrinkOf}, {shrinkWidth, widthwise, losses, shrinkWideOf},
	{stretch, lengthwise, gains, stretchOf}, {strained, lengthwise, gains, strainOf},
	{drawIn, widthwise, losses, drawInOf}, {beaten, widthwise, gains, beatingOf},
}

// of is the loss of quantities so in doubt, and its standard uncertainty.
func (k kind) of(mean levels.Vector, cov levels.Matrix) (value, u measure.Ratio) {
	return k.ratio(float64(k.sense)*k.take.Dot(mean), math.Sqrt(k.take.Dot(cov.Times(k.take))))
}
