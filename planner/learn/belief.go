package learn

import (
	"math"

	"endsmeet/stash/measure"
)

// pair is two quantities, or what an observation takes of each.
type pair [2]float64

// belief is a joint normal distribution of two logarithms: means, variances
// and covariance.
type belief struct {
	mean, vari pair
	cov        float64
}

// observation is a measured sum take[0]·q0 + take[1]·q1 with its own variance.
type observation struct {
	take     pair
	y        float64
	variance float64
}

// observe conditions the belief on an observation (the update of Kalman's
// filter, which for one quantity is the normal–normal rule).
func (b *belief) observe(o observation) {
	h := o.take
	gain := pair{b.vari[0]*h[0] + b.cov*h[1], b.cov*h[0] + b.vari[1]*h[1]}
	s := h[0]*gain[0] + h[1]*gain[1] + o.variance
	if !(s > 0) {
		return
	}
	miss := o.y - h[0]*b.mean[0] - h[1]*b.mean[1]
	for i := range b.mean {
		b.mean[i] += gain[i] * miss / s
		b.vari[i] = math.Max(0, b.vari[i]-gain[i]*gain[i]/s)
	}
	b.cov -= gain[0] * gain[1] / s
}

// sense says how a ratio stands in its logarithm.
type sense float64

const (
	gains  sense = 1  // ln(1 + r)
	losses sense = -1 // ln(1 − r)
)

// log is the logarithm of a ratio with its standard deviation, to first order.
func (s sense) log(n normal) normal {
	whole := 1 + float64(s)*n.mean
	return normal{math.Log(whole), n.sd / whole}
}

// ratio is the inverse of log, rounded once.
func (s sense) ratio(mean, sd float64) (measure.Ratio, measure.Ratio) {
	whole := math.Exp(mean)
	return measure.RatioOf(float64(s) * (whole - 1)), measure.RatioOf(whole * sd)
}

// normal is a mean and a standard deviation.
type normal struct{ mean, sd float64 }

func (n normal) variance() float64 { return n.sd * n.sd }
