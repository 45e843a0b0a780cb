package chance

import "math"

// crowdFrom is the number of packages of a pool above which those that a crowd is made
// of are taken together: of those that serve the warp alone, whose luck is one already
// (many.go), and of those that serve the weft too.
var crowdFrom = [2]int{60, 24}

// crowded is p with the packages of each large pool taken together as one: lengths and
// errors add, and the fractions of an end that are left on each add up to a normal.
func crowded(p *Problem) *Problem {
	if len(p.Packages) <= crowdFrom[1] {
		return p
	}
	out := *p
	out.Packages = append([]Package(nil), p.Packages...)
	weftOf := map[int]int{}
	for w, pool := range p.Weft {
		for _, i := range pool.Packages {
			weftOf[i] = w
		}
	}
	out.Warp, out.Weft = append([]WarpPool(nil), p.Warp...), append([]WeftPool(nil), p.Weft...)
	gone := make([]bool, len(p.Packages))
	for c := range out.Warp {
		pool := &out.Warp[c]
		for kind, set := range p.crowds(pool.Packages, weftOf) {
			if len(set) <= crowdFrom[kind] || !p.scattered(set) {
				continue
			}
			for _, i := range set {
				gone[i] = true
			}
			at := len(out.Packages)
			out.Packages = append(out.Packages, p.crowd(set))
			gone = append(gone, false)
			pool.Packages = append(without(pool.Packages, gone), at)
			if kind == 1 {
				w := weftOf[set[0]]
				out.Weft[w].Packages = append(without(out.Weft[w].Packages, gone), at)
			}
		}
	}
	return &out
}

// crowds are the packages of a pool that may be taken together: those that serve the warp
// alone, and those whose rest is weft.
func (p *Problem) crowds(pool []int, weftOf map[int]int) (sets [2][]int) {
	for _, i := range pool {
		if _, mixed := weftOf[i]; p.joinsCrowd(i) && mixed {
			sets[1] = append(sets[1], i)
		} else if p.joinsCrowd(i) {
			sets[0] = append(sets[0], i)
		}
	}
	return sets
}

// joinsCrowd says whether what is left of package i when it is cut into ends may be
// anything: it is long, and its length is in doubt by a good part of an end.
func (p *Problem) joinsCrowd(i int) bool {
	k := &p.Packages[i]
	unit := p.WarpEnd.Length * float64(p.unit())
	if len(k.Shares) > 0 || k.Longest > 0 || k.Length < float64(k.Knots+3)*unit+5*k.Own {
		return false
	}
	sum := k.Own * k.Own
	for _, l := range k.Shared {
		by := l.of(k.Length)
		sum += by * by
	}
	for _, l := range p.WarpEnd.Shared {
		by := l.of(p.WarpEnd.Length) / p.WarpEnd.Length * k.Length
		sum += by * by
	}
	return math.Sqrt(sum) > 0.3*unit
}

// scattered says that what is left of packages when they are cut into ends is as mixed as
// drawn at random: like balls leave like rests. It is the length of the sum of the rests
// as places on a circle, drawn in by the packages' own errors.
func (p *Problem) scattered(set []int) bool {
	unit := p.WarpEnd.Length * float64(p.unit())
	var x, y float64
	for _, i := range set {
		k := &p.Packages[i]
		own := 2 * math.Pi * k.Own / unit
		sin, cos := math.Sincos(2 * math.Pi * k.Length / unit)
		x, y = x+math.Exp(-own*own/2)*cos, y+math.Exp(-own*own/2)*sin
	}
	return math.Hypot(x, y) < 2*math.Sqrt(float64(len(set)))
}

// crowd adds packages up.
func (p *Problem) crowd(set []int) Package {
	out := Package{ID: "crowd", crowd: len(set)}
	own := 0.0
	var by loadings
	for _, i := range set {
		k := &p.Packages[i]
		out.Length += k.Length
		out.Knots += k.Knots
		out.rest += k.meanRest(p.WarpEnd.Length * float64(p.unit()))
		own += k.Own * k.Own
		for _, l := range k.Shared {
			by.add(l.Factor, l.of(k.Length))
		}
	}
	out.Own, out.Shared = math.Sqrt(own), by
	return out
}

// loadings are absolute, each factor once.
type loadings []Loading

func (l *loadings) add(factor string, by float64) {
	for i := range *l {
		if (*l)[i].Factor == factor {
			(*l)[i].Absolute += by
			return
		}
	}
	*l = append(*l, Loading{Factor: factor, Absolute: by})
}

// without drops the packages that are gone.
func without(pool []int, gone []bool) []int {
	var out []int
	for _, i := range pool {
		if !gone[i] {
			out = append(out, i)
		}
	}
	return out
}

// meanRest is what cutting a package into units leaves on the mean, in units: half a unit
// of each piece between knots, less since short pieces are the likeliest where there are
// any (the first term of Euler and Maclaurin's sum over the units of a piece).
func (k *Package) meanRest(unit float64) float64 {
	pieces := float64(k.Knots + 1)
	return pieces/2 - pieces*float64(k.Knots)*unit/k.Length/12
}

// crowdUnits counts the units of a crowd whose lengths come to r, at a luck of z
// standard deviations: what is left of each package, and each piece between knots, has
// the variance of a uniform.
func (k *Package) crowdUnits(r, unit, z float64) int {
	pieces := float64(k.crowd + k.Knots)
	return max(0, int(math.Round(r/unit-k.rest+z*math.Sqrt(pieces/12))))
}
