package measure

import "math/big"

// Part is mass·n/of, rounded half up: the one rule by which a mass is divided. All
// of it where of is zero or n no less. Who divides gives the last the rest, so that
// the parts add up.
func Part(mass Mass, n, of int64) Mass {
	if of <= 0 || n >= of {
		return mass
	}
	v := new(big.Int).Mul(big.NewInt(int64(mass)), big.NewInt(2*n))
	v.Add(v, big.NewInt(of))
	return Mass(v.Quo(v, big.NewInt(2*of)).Int64())
}
