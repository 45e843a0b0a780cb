package fit

import (
	"fmt"

	"endsmeet/stash/measure"
)

// plain is a geometry in whole numbers: end = fixed + lf·num/den, one pick every
// pick mm, each pick as wide as the ends at gap mm and 10 % longer.
type plain struct {
	fixed, num, den int64
	gap, pick       int64
	noWeft          bool
}

func (g plain) WarpEnd(lf measure.Length) measure.Length {
	return measure.Length(g.fixed + (int64(lf)*g.num+g.den-1)/g.den)
}

func (g plain) Weft(threaded int, lf measure.Length) measure.Length {
	if g.noWeft {
		return 0
	}
	picks := (int64(lf) + g.pick - 1) / g.pick
	return measure.Length(picks * (int64(threaded)*g.gap*11 + 9) / 10)
}

func (g plain) Once(int) measure.Length { return 0 }

func (g plain) Width(threaded int) measure.Length { return measure.Length(int64(threaded) * g.gap) }

// ball returns a package for both warp and weft.
func ball(n int, length int64) Package {
	return Package{ID: fmt.Sprintf("p%02d", n), Yarn: "oat", Length: measure.Length(length),
		ForWarp: true, ForWeft: true}
}

// warpBalls returns packages for the warp alone.
func warpBalls(lengths ...int64) []Package {
	out := make([]Package, len(lengths))
	for i, l := range lengths {
		out[i] = ball(i, l)
		out[i].ForWeft = false
	}
	return out
}
