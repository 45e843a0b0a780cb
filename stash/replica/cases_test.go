package replica

import (
	"testing"
	"time"

	"endsmeet/stash"
)

func TestSmoke(t *testing.T) {
	a, b, cone := pair(t)
	a.use(cone, 80, time.Time{})
	b.use(cone, 50, time.Time{})
	meet(a, b)
	a.holds(cone, 270)
	same(t, a, b)
	_ = stash.Kind("")
}
