package learn

import (
	"cmp"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// ratios compares every loss that the measures tell by itself.
func (c *comparison) ratios() {
	b, r := c.plan.Spec, c.r
	if r.tape > 0 && r.off > 0 {
		c.ratio(stretch, b.Stretch, r.tape/r.off-1, "weave until the tape reads more",
			"weave until the tape reads less")
	}
	if r.off > 0 && r.wet > 0 {
		c.ratio(shrinkLength, b.ShrinkLength, 1-r.wet/r.off,
			"the wash took more length",
			"the wash took less length")
	}
	if r.reed > 0 && r.offWidth > 0 {
		c.ratio(drawIn, b.DrawIn, 1-r.offWidth/r.reed, "the weft was laid tighter",
			"the weft was laid looser")
	}
	if r.offWidth > 0 && r.width > 0 {
		c.ratio(shrinkWidth, b.ShrinkWidth, 1-r.width/r.offWidth,
			"the wash took more width",
			"the wash took less width")
	}
	if crimp, ok := c.shelf.warpCrimp(c.plan, r); ok {
		c.ratio(crimpWarp, b.TakeUp, crimp,
			"told by the waste and the cloth off the loom",
			"told by the waste and the cloth off the loom")
	}
}

// CannotBe is the reason of a figure that nothing is learned from.
const CannotBe = "cannot be true: one of the measures must be wrong"

// ratio adds a row for a loss; half a per cent is as planned.
func (c *comparison) ratio(name string, planned *measure.Ratio, actual float64, more, less string) {
	if planned == nil {
		return
	}
	why := "as planned"
	switch d := actual - planned.Float(); {
	case !claim{name: name, ratio: actual}.believed():
		why = CannotBe
	case d > 0.005:
		why = more
	case d < -0.005:
		why = less
	}
	c.rows = append(c.rows, Row{name, PerMillion, int64(*planned), int64(measure.RatioOf(actual)),
		why})
}

// yarn compares the mass that one role took, and the count that it shows, if
// all its packages were weighed and are of one yarn of known count.
func (c *comparison) yarn(role stash.Role) {
	uses, ok := c.shelf.weighed(c.piece, role, c.earlier)
	if !ok || len(uses) != 1 {
		return
	}
	count := float64(c.shelf.Yarns[uses[0].yarn].Tex())
	planned, actual := c.warpUse()
	if role == stash.RoleWeft {
		planned, actual = c.weftUse()
	}
	if count <= 0 || planned <= 0 {
		return
	}
	mass := float64(uses[0].mass)
	var causes []cause
	shown := cause{"count", count, mass / actual * 1e6, false}
	switch {
	case role == stash.RoleWeft && actual > 0:
		shown.name = "take-up and count together"
		causes = []cause{{"picks and width", planned, actual, false}, shown}
	case role == stash.RoleWeft:
		causes = c.weftCauses(planned*count/1e6, mass)
	case actual > 0:
		ends := cause{"ends", float64(c.plan.Ends), c.threaded(), false}
		causes = []cause{ends,
			{"length wound", planned / ends.planned, actual / ends.actual, false}, shown}
	default:
		causes = []cause{{"length and count together", planned * count / 1e6, mass, false}}
	}
	c.product(string(role)+"_mass", milligrams, planned*count/1e6, mass, causes)
	if actual > 0 {
		c.add(string(role)+"_count", Millitex, count, shown.actual,
			countReason(role, count, shown.actual))
	}
}

// warpUse is the warp planned, and what the ends really threaded took, which is not known
// of a piece on a shared warp.
func (c *comparison) warpUse() (planned, actual float64) {
	if c.plan.Shared != nil {
		return mm(c.plan.WarpTotal), 0
	}
	return mm(c.plan.WarpTotal), c.threaded() * float64(max(1, c.plan.Spec.EndStrands)) *
		mm(c.plan.Warped(c.piece.Finish.Measures))
}

// threaded is how many ends were threaded, as many as planned where nobody counted them.
func (c *comparison) threaded() float64 { return cmp.Or(c.r.ends, float64(c.plan.Ends)) }

// weftUse is the weft planned, and what the picks really woven took with the
// planned take-up, zero if picks or width were not measured.
func (c *comparison) weftUse() (planned, actual float64) {
	planned = mm(c.plan.WeftTotal)
	if hemmedApart(c.piece, c.plan.Spec) {
		planned -= mm(c.plan.HemstitchTotal)
	}
	flat, hem, ok := flatWeft(c.piece, c.r)
	if !ok {
		return planned, 0
	}
	return planned, flat*(1+ratioOf(c.plan.Spec.WeftTakeUp)) + hem
}

// weftCauses divide the mass of a weft whose length is not known: no picks were counted, or
// the width off the loom was not measured.
func (c *comparison) weftCauses(planned, mass float64) []cause {
	sample := mm(c.plan.Spec.Sample) * c.plan.Spec.Picks.PerMM()
	was, is := float64(c.plan.Picks*max(1, c.plan.Spec.Pieces))+sample, c.r.picks+sample
	if c.r.picks == 0 || was == 0 {
		return []cause{{"picks, width and count together (no picks counted)", planned, mass, false}}
	}
	return []cause{{"picks", was, is, false},
		{"width, take-up and count together", planned / was, mass / is, false}}
}

// countReason reads what the mass says of the yarn.
func countReason(role stash.Role, recorded, shown float64) string {
	why := same(recorded, shown, 0.02*recorded, "")
	if why != "" {
		return why
	}
	why = "the yarn is heavier than its count"
	if shown < recorded {
		why = "the yarn is finer than its count"
	}
	if role == stash.RoleWeft {
		why += ", or its take-up is not as planned"
	}
	return why
}
