package measure

import "strings"

// Nobody means 1450 Ne: a base that makes a yarn finer than this is not
// offered, nor are more wraps than a ruler can hold.
const (
	finestOffer = 2 * Tex
	mostWraps   = 150
)

// guessable are the bases offered for a number without one, in the order in
// which they are listed.
var (
	guessable = []Base{BaseNe, BaseNm, BaseNeW, BaseLea, BaseRun, BaseCut, BaseSkein,
		BaseSilk}
	guessableDirect = []Base{BaseTex, BaseDtex, BaseDenier}
	guessableBare   = []Base{BaseTex, BaseDtex, BaseDenier, BaseMPerKg, BaseYdPerLb, BaseMPer100g,
		BaseWraps}
)

// needBase lists what a size would be in every base.
func needBase(number string, z size) error {
	e := &BaseNeeded{Written: strings.TrimSpace(number)}
	offers := guessable
	switch {
	case z.second == nil && z.plies == 0:
		offers = append(offers[:len(offers):len(offers)], guessableBare...)
	case z.second == nil:
		offers = append(offers[:len(offers):len(offers)], guessableDirect...)
	}
	for _, base := range offers {
		e.Alternatives = append(e.Alternatives, z.readings(base)...)
	}
	return e
}

// readings gives what a size means in a base: one reading, two when the order
// of a pair is not clear, none when it is no yarn.
func (z size) readings(base Base) []Reading {
	if z.second != nil {
		if _, plies, sure := z.order(); plies != 0 && !sure {
			return z.bothOrders(base)
		}
	}
	y, err := z.in(base, z.written)
	if err != nil {
		return nil
	}
	r, ok := newReading(y.mtex, y.base, y.single, y.plies)
	if !ok || r.Count < finestOffer || base == BaseWraps && r.Single > mostWraps {
		return nil
	}
	r.Written = strings.TrimSpace(z.written) + " " + base.String()
	return []Reading{r}
}
