package chance

import (
	"fmt"
	"math/rand/v2"
)

// drawnProblem is a random question of so many packages: knots, coarse scales, assumed
// tares, counts of several yarns, one pool or two, and eight losses of weaving.
func drawnProblem(r *rand.Rand, packages int, both bool) Problem {
	p := Problem{Unit: 1 + r.IntN(2)}
	losses := func(scale float64) (out []Loading) {
		for g := range 8 {
			sign := 1.0
			if g%3 == 2 && r.IntN(2) == 0 {
				sign = -1
			}
			out = append(out, Loading{fmt.Sprint("loss ", g),
				sign * scale * (0.005 + 0.02*r.Float64()), 0})
		}
		return out
	}
	p.WarpEnd = Need{1500 + 2000*r.Float64(), losses(1)}
	weft := packages / 3
	if both {
		weft = packages
	}
	var warpSum, weftSum float64
	for i := range packages {
		yarn := i * 2 / max(1, packages)
		k := Package{ID: fmt.Sprint("p", i), Length: p.WarpEnd.Length * (4 + 30*r.Float64()),
			Knots: r.IntN(4) * r.IntN(2)}
		k.Own = k.Length * []float64{0, 0.002, 0.01, 0.05}[r.IntN(4)]
		k.Shared = []Loading{{fmt.Sprint("count ", yarn), 0.04, 0},
			{fmt.Sprint("tare ", yarn), 0, -0.01 * k.Length * r.Float64()}, {"room", 0.01, 0}}
		p.Packages = append(p.Packages, k)
		if both || i >= weft {
			warpSum += k.Length/p.WarpEnd.Length - 0.5*float64(1+k.Knots)
		}
		if i < weft {
			weftSum += k.Length
		}
	}
	from := weft
	share := 0.9
	if both {
		from, share = 0, 0.5
	}
	ends := int(warpSum * share * (0.92 + 0.08*r.Float64()))
	p.Warp = []WarpPool{{seq(from, packages), ends}}
	need := weftSum * (0.85 + 0.13*r.Float64())
	if both {
		need = (weftSum - float64(ends)*p.WarpEnd.Length) * (0.8 + 0.18*r.Float64())
	}
	p.Weft = []WeftPool{{seq(0, weft), Need{need, losses(1.2)}}}
	return p
}
