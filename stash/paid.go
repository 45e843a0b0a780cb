package stash

import (
	"math/big"

	"endsmeet/stash/measure"
)

// cent is the least that is paid, in thousandths of a currency.
const cent = 10

// Paid is what a mass of a package cost, in thousandths of the currency of its
// price, rounded half up to a hundredth, so that what is printed adds up; false where no
// price is recorded. A price for the whole
// package is shared out over what it received. Thrums cost nothing: what
// the piece that they are from took is what it cost, waste and all.
//
// Each item is reckoned at its own price, as lots that cannot stand for each
// other are (IAS 2, specific identification: from memory).
func (p Package) Paid(mass measure.Mass) (milli int64, known bool) {
	if p.Price == nil {
		return 0, p.In > 0 && p.In == p.Salvaged && p.Received == 0
	}
	per := p.Price.Per
	if per == 0 {
		per = p.Received
	}
	if per == 0 {
		per = p.In
	}
	if per <= 0 {
		return 0, false
	}
	cents := new(big.Rat).Mul(big.NewRat(p.Price.Milli, int64(per)), big.NewRat(int64(mass), cent))
	cents.Add(cents, big.NewRat(1, 2))
	return cent * new(big.Int).Div(cents.Num(), cents.Denom()).Int64(), true
}

// CurrencyOf is the currency of a price: its own, else that of the settings.
func (s Settings) CurrencyOf(p *Price) string {
	if p != nil && p.Currency != "" {
		return p.Currency
	}
	return s.Currency
}

// PerMass is a price as one for a mass, so that it holds for a part of what was
// received too.
func (p Package) PerMass() *Price {
	if p.Price == nil || p.Price.Per != 0 || p.Received <= 0 {
		return p.Price
	}
	price := *p.Price
	price.Per = p.Received
	return &price
}
