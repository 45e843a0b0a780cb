package show

import (
	"fmt"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// BuyWords says what to buy, in the packages in which it is sold.
func BuyWords(b making.Buy, units measure.System) string {
	what := stash.Clean(YarnColour(b.Name, stash.Known(b.Colour)))
	text := fmt.Sprintf("buy %s of %s for the %s", b.Amount(units), what, b.Role)
	if b.Against != "" {
		return fmt.Sprintf("lacks %s of %s for the %s, not to be bought: %s", b.Amount(units), what,
			b.Role, b.Against)
	}
	if b.Packages > 0 {
		text = fmt.Sprintf("buy %d × %s of %s for the %s: %s lacks", b.Packages,
			b.PutUp.Format(units), what, b.Role, b.Amount(units))
	}
	if b.Lot != "" {
		return text + "; ask for dye lot " + b.Lot + ", another may show"
	}
	return text
}
