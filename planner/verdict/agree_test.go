package verdict

import (
	"testing"

	"endsmeet/stash"
)

// A mixed warp has no stripes beside each other, however its yarns are listed.
func TestMixedWarpHasNoStripes(t *testing.T) {
	b := stash.ProjectFacts{Sett: 6000, Stripes: []stash.Stripe{{Ends: 90}, {Ends: 87}}}
	x, y := Part{Role: stash.RoleWarp}, Part{Role: stash.RoleWarp}
	if stripeOf(x, y, b) <= 0 {
		t.Fatal("two stripes are none")
	}
	b.StripeRule = stash.StripesMixed
	if wide := stripeOf(x, y, b); wide != 0 {
		t.Errorf("mixed ends are stripes of %v", wide)
	}
}
