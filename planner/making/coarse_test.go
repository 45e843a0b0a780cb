package making

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// coarse are small balls of weft as a scale of 10 g reads them, about as much as a piece takes
// by what is read, and what each of them really weighs, in mg: from 5 to 25 g, all alike likely.
func coarse(r *rand.Rand, need measure.Mass) (packs []stash.Package, really []float64) {
	for sum := measure.Mass(0); sum < need; {
		mass := 5000 + 20_000*r.Float64()
		p := of(fmt.Sprint("ball", len(packs)), wool, 0)
		p.Held = measure.Mass(10_000 * math.Round(mass/10_000))
		p.Received, p.Step = p.Held, 10*measure.Gram
		packs, really, sum = append(packs, p), append(really, mass), sum+p.Held
	}
	return packs, really
}

// TestSmallBallsOnACoarseScaleAreWovenAsOftenAsTheySay weighs balls first and plans with what
// was read: of pieces called x, x are woven. Which balls there are hangs on what is read, as it
// does for who plans; where it hung on what they weigh, as where one is fetched until there
// really is enough, more would be woven than said, and where small rests are likelier than
// whole balls, fewer.
func TestSmallBallsOnACoarseScaleAreWovenAsOftenAsTheySay(t *testing.T) {
	const plans, draws = 400, 20
	said, woven, open := [2]float64{}, [2]float64{}, [2]float64{}
	for seed := range uint64(plans) {
		r := rand.New(rand.NewPCG(seed, 77))
		b := scarf()
		b.TakeUp, b.WeftTakeUp, b.ShrinkLength, b.ShrinkWidth, b.Stretch, b.DrawIn, b.Strain = nil,
			nil, nil, nil, nil, nil, nil
		b.Width, b.Length = measure.Length(150+r.IntN(200)), measure.Length(500+r.IntN(1500))
		rich := stock(t, of("c", cotton, 30_000), of("w", wool, 30_000))
		need, _ := measure.MassOf(planned(t, rich.Terse(), b).Needs.WeftTotal, rich.Yarns[wool].Tex())
		packs, really := coarse(r, measure.Mass(float64(need)*math.Exp(0.1*r.NormFloat64())))
		s := stock(t, append(packs, of("c", cotton, 30_000))...)
		o := planned(t, s.Terse(), b)
		w, at := weaverOf(s, o, b, seed), min(1, int(2*o.Probability))
		open[at]++
		said[at] += o.Probability
		for range draws {
			end, weft := w.takes(w.drawn(w.along), w.drawn(w.across), 30*r.NormFloat64())
			off := w.packages[0].Count.Float()*r.NormFloat64() + w.packages[0].Room.Float()*r.NormFloat64()
			yarn := []strand{{length: 1e9, warp: true}}
			for _, mg := range really {
				yarn = append(yarn, strand{length: mg * (1 + off) * w.packages[0].perTex, weft: true})
			}
			if w.wound(yarn, end, weft) {
				woven[at] += 1. / draws
			}
		}
	}
	for at, n := range open {
		t.Logf("%.0f plans: said %.3f, woven %.3f", n, said[at]/n, woven[at]/n)
		// what is woven of a plan hangs on its balls: at most a half of it, one way or the other
		if off := math.Abs(said[at]-woven[at]) / n; n < 50 || off > 0.01+3*0.4/math.Sqrt(n) {
			t.Errorf("%.0f plans: said %.3f, woven %.3f", n, said[at]/n, woven[at]/n)
		}
	}
}
