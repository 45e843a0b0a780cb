package making

import (
	"slices"
	"strings"
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// TestBothSidesOfAClaspedWeftMustSuffice shares a weft that is enough in all among its
// two sides: evenly it weaves, lopsided it does not, whichever is the poorer.
func TestBothSidesOfAClaspedWeftMustSuffice(t *testing.T) {
	for _, c := range []struct {
		left, right measure.Mass
		want        chance.Verdict
	}{{150, 150, chance.Sure}, {270, 30, chance.Short}, {30, 270, chance.Short},
		{300, 0, chance.Short}} {
		for _, mix := range []bool{true, false} {
			b := scarf()
			b.Clasped, b.MixLots = true, &mix
			b.Weft = []stash.Ref{{Package: "left"}, {Package: "right"}}
			s := stock(t, of("c", cotton, 400), of("left", wool, c.left),
				of("right", wool, c.right))
			o := planned(t, s, b)
			if o.Verdict != c.want || c.want == chance.Short && o.Binding != "weft" {
				t.Errorf("%d g and %d g, lots mixed %v: %s (%.3f), %s", c.left, c.right, mix,
					o.Verdict, o.Probability, o.Binding)
			}
			if c.want != chance.Sure {
				continue
			}
			l, r := o.Allotments[1].Weft, o.Allotments[2].Weft
			if l != r || l+r < o.Needs.WeftTotal {
				t.Errorf("sides of %d and %d mm of %d mm", l, r, o.Needs.WeftTotal)
			}
		}
	}
}

func TestOneCakeIsWoundIntoTwoForAClaspedWeft(t *testing.T) {
	b := scarf()
	b.Clasped = true
	o := planned(t, stock(t, of("c", cotton, 400), of("w", wool, 400)), b)
	if !slices.ContainsFunc(o.Notes,
		func(n string) bool { return strings.Contains(n, "onto another") }) {
		t.Errorf("notes %q", o.Notes)
	}
}
