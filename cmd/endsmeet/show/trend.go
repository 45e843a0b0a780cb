package show

import (
	"endsmeet/stash/measure"
)

// PercentOf is a part of a whole in per cent, from 0 to 100.
func PercentOf(part, whole measure.Mass) int {
	if whole <= 0 {
		return 0
	}
	return int(min(100, max(0, (part*100+whole/2)/whole)))
}
