package cloth

import "math"

// Thread is one system of threads in Peirce's geometry of plain weave.
type Thread struct {
	Angle  float64 // greatest angle to the plane of the cloth, radians
	Length float64 // yarn between two crossings, mm
	Height float64 // how far the axis swings out of the plane, mm
	Crimp  float64 // (length - spacing) / spacing
}

// Geometry is a plain weave of flexible round threads.
type Geometry struct {
	Ends  float64 // p1: spacing of the warp threads, mm
	Picks float64 // p2: spacing of the weft threads, mm
	D     float64 // sum of the diameters of warp and weft, mm
	Warp  Thread  // crosses the picks
	Weft  Thread  // crosses the ends
}

// maxAngle keeps clear of the right angle, where the formulas divide by 0.
const maxAngle = math.Pi/2 - 1e-9

// thread is the thread that crosses others of spacing p at angle a.
func thread(p, d, a float64) Thread {
	straight := math.Max(0, p-d*math.Sin(a)) / math.Cos(a)
	length := straight + d*a
	return Thread{a, length, straight*math.Sin(a) + d*(1-math.Cos(a)), length/p - 1}
}

// steepest is the angle at which the straight part has gone.
func steepest(p, d float64) float64 {
	if p >= d {
		return maxAngle
	}
	return math.Asin(p / d)
}

// atHeight is the thread that swings h out of the plane; h must be within
// reach. Its angle a solves p sin a + (d - h) cos a = d, which is the height
// of [thread] written out.
func atHeight(p, d, h float64) Thread {
	a := math.Asin(math.Min(1, d/math.Hypot(p, d-h))) - math.Atan2(d-h, p)
	return thread(p, d, math.Max(0, a))
}

// halvings is how often an interval is halved: to a part in 10^12, where answers
// are given to one in 10^6.
const halvings = 40

// root finds where f, which rises from a to b, passes zero, by false position
// with halved weights (the Illinois rule: Dowell and Jarratt, A modified regula
// falsi method, 1971). Where it does not pass zero the nearer end is given.
func root(a, b float64, f func(float64) float64) float64 {
	fa, fb := f(a), f(b)
	if fa >= 0 {
		return a
	}
	if fb <= 0 {
		return b
	}
	last := a
	for range halvings {
		mid := (a*fb - b*fa) / (fb - fa)
		if math.Abs(mid-last) < 1e-13*b {
			return mid
		}
		if fm := f(mid); fm < 0 {
			if last == a {
				fb /= 2
			}
			a, fa, last = mid, fm, mid
		} else {
			if last == b {
				fa /= 2
			}
			b, fb, last = mid, fm, mid
		}
	}
	return last
}

// reach is the greatest height, at most d, to which a thread can swing.
func reach(p, d float64) float64 { return math.Min(d, thread(p, d, steepest(p, d)).Height) }

// checked refuses distances that cannot be woven.
func checked(p1, p2, d float64) error {
	for _, v := range []struct {
		field string
		is    float64
	}{{"ends", p1}, {"picks", p2}, {"diameters", d}} {
		if !(v.is > 0) || math.IsInf(v.is, 1) {
			return InputError{v.field, "must be above zero",
				"give spacings and diameters in millimetres"}
		}
	}
	if reach(p1, d)+reach(p2, d) < d*(1-1e-9) {
		return jammed()
	}
	return nil
}

// jammed is the refusal of a cloth that is too close.
func jammed() error {
	return InputError{"sett", "ends and picks are closer than round yarn of this thickness can lie",
		"open the sett, or check the count"}
}

// equalCrimp solves the plain weave of warp spacing p1, weft spacing p2 and
// sum of diameters d, all in mm, in which warp and weft take up alike. The
// error is an [InputError] if the threads would jam before that.
func equalCrimp(p1, p2, d float64) (Geometry, error) {
	if err := checked(p1, p2, d); err != nil {
		return Geometry{}, err
	}
	low, high := d-reach(p1, d), reach(p2, d)
	more := func(h float64) float64 { return atHeight(p2, d, h).Crimp - atHeight(p1, d, d-h).Crimp }
	h := root(math.Max(0, low), high, more)
	g := Geometry{p1, p2, d, atHeight(p2, d, h), atHeight(p1, d, d-h)}
	if math.Abs(g.Warp.Crimp-g.Weft.Crimp) > 1e-4*math.Max(g.Warp.Crimp, g.Weft.Crimp) {
		return Geometry{}, jammed()
	}
	return g, nil
}
