package cloth

import (
	"math"
	"testing"

	"endsmeet/stash/measure"

	"pgregory.net/rapid"
)

// Ceilings of crimp for round yarn that neither stretches nor flattens: equal
// threads jammed as closely as plain weave allows (pi/3 / sin 60 - 1; printed
// 20.92 %, an exam answer 21 %), and one system where the other lies dead straight
// (pi/2 - 1).
const (
	jammedSquare   = 0.20919957615614515
	jammedStraight = math.Pi/2 - 1
)

// approximateHeight is Peirce's working formula for the height of a thread
// of crimp c across spacing p: 4/3 p sqrt(c). At the jam of square plain weave
// it is 5.6 % high, in very open cloth 5.7 % low (4/3 against the root of 2).
func approximateHeight(p, c float64) float64 { return 4. / 3 * p * math.Sqrt(c) }

// approximateEqualCrimp is the equal crimp by the working formula:
// (3 d / (4 (p1 + p2)))^2.
func approximateEqualCrimp(p1, p2, d float64) float64 {
	r := 3 * d / (4 * (p1 + p2))
	return r * r
}

// Peirce 1937, J. Text. Inst. 28, T45, as printed: jammed square plain cloth
// has theta 60 degrees, l/D 1.0472, p/D 0.866, l/p 1.2092, crimp 0.2092.
func TestJammedSquarePlainCloth(t *testing.T) {
	p := math.Sqrt(3) / 2
	g, err := equalCrimp(p, p, 1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "theta, degrees", g.Warp.Angle*180/math.Pi, 60, 0.001)
	near(t, "l/D", g.Warp.Length, 1.0472, 0.00005)
	near(t, "l/p", g.Warp.Length/p, 1.2092, 0.00005)
	near(t, "crimp", g.Warp.Crimp, jammedSquare, 1e-6)
}

// At the jam h/p is 0.577350 exactly; the working formula gives 0.609845 (+5.6
// %) and the first-order sqrt(2c) 0.646838 (+12.0 %).
func TestWorkingFormulaAtTheJam(t *testing.T) {
	p := math.Sqrt(3) / 2
	g, err := equalCrimp(p, p, 1)
	if err != nil {
		t.Fatal(err)
	}
	exact := g.Warp.Height / p
	near(t, "exact", exact, 0.577350, 1e-5)
	near(t, "4/3 sqrt c", approximateHeight(1, g.Warp.Crimp), 0.609845, 1e-5)
	near(t, "4/3 sqrt c over exact", approximateHeight(1, g.Warp.Crimp)/exact, 1.056, 0.0005)
	near(t, "sqrt 2c over exact", math.Sqrt(2*g.Warp.Crimp)/exact, 1.120, 0.0005)
}

// The working formula is within 6 % in height wherever the cloth can be woven:
// 5.6 % high at the jam, (4/3) / sqrt 2 = 5.7 % low in the most open cloth; so
// its crimp is within the squares of these.
func TestWorkingFormulaIsWithinSixPercent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p1 := rapid.Float64Range(0.87, 6).Draw(t, "ends")
		p2 := rapid.Float64Range(0.87, 6).Draw(t, "picks")
		g, err := equalCrimp(p1, p2, 1)
		if err != nil {
			return
		}
		for _, r := range []float64{approximateHeight(p2, g.Warp.Crimp) / g.Warp.Height,
			approximateHeight(p1, g.Weft.Crimp) / g.Weft.Height} {
			if r < 0.94 || r > 1.06 {
				t.Fatalf("%v of the exact height: %+v", r, g)
			}
		}
		if r := approximateEqualCrimp(p1, p2, 1) / g.Warp.Crimp; r < 0.89 || r > 1.126 {
			t.Fatalf("%v of the exact crimp: %+v", r, g)
		}
	})
}

// What is returned satisfies Peirce's equations.
func TestGeometryHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.Float64Range(0.05, 3).Draw(t, "D")
		p1 := d * rapid.Float64Range(0.3, 8).Draw(t, "ends")
		p2 := d * rapid.Float64Range(0.3, 8).Draw(t, "picks")
		g, err := equalCrimp(p1, p2, d)
		if err == nil {
			holds(t, g)
			if math.Abs(g.Warp.Crimp-g.Weft.Crimp) > 1e-4*g.Warp.Crimp {
				t.Fatalf("not equal: %+v", g)
			}
		}
	})
}

// holds checks h1 + h2 = D and, for each system, p = (l - D theta) cos theta +
// D sin theta.
func holds(t *rapid.T, g Geometry) {
	if math.Abs(g.Warp.Height+g.Weft.Height-g.D) > 1e-6*g.D {
		t.Fatalf("heights %v + %v, not %v", g.Warp.Height, g.Weft.Height, g.D)
	}
	for _, s := range []struct {
		t Thread
		p float64
	}{{g.Warp, g.Picks}, {g.Weft, g.Ends}} {
		p := (s.t.Length-g.D*s.t.Angle)*math.Cos(s.t.Angle) + g.D*math.Sin(s.t.Angle)
		if math.Abs(p-s.p) > 1e-5*s.p || s.t.Crimp < -1e-12 || s.t.Crimp > jammedStraight+1e-6 {
			t.Fatalf("spacing %v, not %v: %+v", p, s.p, s.t)
		}
	}
}

func TestTooCloseIsRefused(t *testing.T) {
	_, err := equalCrimp(0.8, 0.8, 1)
	refuses(t, "sett", err)
	_, err = equalCrimp(0, 1, 1)
	refuses(t, "ends", err)
	_, err = equalCrimp(1, math.NaN(), 1)
	refuses(t, "picks", err)
}

// towel is 8/2 cotton in both ways.
func towel(sett float64, w Weave) Construction {
	return Construction{perInch(sett), perInch(sett), cotton(4), cotton(4), Worsted, w}
}

// The closest plain sett by Ashenhurst has spacing D: the working formula gives
// (3/8)^2 = 14.1 %, the exact geometry is within its error of that.
func TestTakeUpAtTheClosestSett(t *testing.T) {
	plain, err := EstimateTakeUp(towel(26.0845, Plain))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "plain", float64(plain.Warp.Ratio)/1e6, 0.1406, 0.0141*1.2)
	if plain.Warp.Ratio != plain.Weft.Ratio || plain.Warp.Basis == "" {
		t.Errorf("square cloth of one yarn: %+v", plain)
	}
	// At the closest sett each crossing of a twill has the same room as in plain
	// weave; two crossings share six diameters instead of four.
	twill, err := EstimateTakeUp(towel(34.7793, twill22))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "twill / plain", float64(twill.Warp.Ratio)/float64(plain.Warp.Ratio), 4./6, 0.001)
}

func TestLongerFloatsTakeUpLess(t *testing.T) {
	last := 1.0
	for _, w := range []Weave{Plain, twill21, twill22, satin5, satin8} {
		got, err := EstimateTakeUp(towel(20, w))
		if err != nil {
			t.Fatal(err)
		}
		r := float64(got.Warp.Ratio) / 1e6
		if r >= last || r <= 0 {
			t.Errorf("%s takes up %v, the weave before %v", w.Name, r, last)
		}
		last = r
	}
}

func TestTakeUpRefuses(t *testing.T) {
	for field, c := range map[string]Construction{
		"sett":  towel(40, Plain),
		"picks": {perInch(10), 0, cotton(4), cotton(4), Worsted, Plain},
		"warp":  {perInch(10), perInch(10), 0, cotton(4), Worsted, Plain},
		"weft":  {perInch(10), perInch(10), cotton(4), 0, Worsted, Plain},
	} {
		_, err := EstimateTakeUp(c)
		refuses(t, field, err)
	}
	_, err := EstimateTakeUp(towel(200, satin5))
	refuses(t, "sett", err)
}

func TestCloserClothTakesUpMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(5, 25).Draw(t, "a")
		b := a + rapid.Float64Range(0.1, 4).Draw(t, "more")
		open, err := EstimateTakeUp(towel(a, twill22))
		if err != nil {
			t.Fatal(err)
		}
		closed, err := EstimateTakeUp(towel(b, twill22))
		if err != nil {
			t.Fatal(err)
		}
		if closed.Warp.Ratio < open.Warp.Ratio ||
			closed.Warp.Ratio > measure.RatioOf(jammedSquare) {
			t.Fatalf("%v at %v, %v at %v", open.Warp.Ratio, a, closed.Warp.Ratio, b)
		}
	})
}

var sink TakeUp

func BenchmarkTakeUp(b *testing.B) {
	c := towel(20, twill22)
	for b.Loop() {
		sink, _ = EstimateTakeUp(c)
	}
}
