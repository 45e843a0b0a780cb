package label

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

func content(t testing.TB, s string) fibre.Content {
	t.Helper()
	if s == "" {
		return nil
	}
	c, err := fibre.ParseContent(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func compose(t *testing.T, uses ...Use) Composition {
	t.Helper()
	c, err := Compose(uses)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCompose(t *testing.T) {
	use := func(name, fibres string, grams measure.Mass) Use {
		return Use{Yarn: name, Content: content(t, fibres), Mass: grams * measure.Gram,
			Measured: true}
	}
	for name, row := range map[string]struct {
		uses []Use
		want string
	}{
		"one fibre": {[]Use{use("a", "cotton", 250)}, "cotton 100%"},
		"law counts mass, not balls": {[]Use{use("a", "cotton", 30), use("b", "wool", 70)},
			"wool 70%, cotton 30%"},
		"a blend is shared out": {[]Use{use("a", "cotton 60, linen 40", 100),
			use("b", "linen", 20)}, "cotton 50%, linen 50%"},
		"edge stitching counts": {[]Use{use("warp", "cotton", 100),
			use("edge", "linen", 2)}, "cotton 98%, linen 2%"},
		"three thirds add up to 100": {[]Use{use("a", "cotton", 10), use("b", "linen", 10),
			use("c", "wool", 10)}, "cotton 34%, linen 33%, wool 33%"},
		"the largest remainder rounds": {[]Use{use("a", "cotton", 334), use("b", "linen", 336),
			use("c", "wool", 330)}, "linen 34%, cotton 33%, wool 33%"},
		"a trace is named": {[]Use{use("a", "cotton", 999), use("b", "wool", 1)},
			"cotton 100%, wool under 1%"},
		"no mass, no fibre": {[]Use{use("a", "cotton", 10), use("b", "wool", 0)},
			"cotton 100%"},
		"synonyms are one fibre": {[]Use{use("a", "flax", 10), use("b", "linen", 10)},
			"linen 100%"},
		"superwash is wool": {[]Use{use("a", "wool (superwash)", 10),
			use("b", "merino", 10)}, "wool 100%"},
		"unknown: named, no percentage": {[]Use{use("oat", "cotton", 90),
			use("burgundy", "unknown", 10)},
			"cotton, unknown (burgundy): no firm percentage, a fibre or its share is not known"},
		"nothing recorded is unknown": {[]Use{use("oat", "cotton", 90), use("", "", 10)},
			"cotton, unknown (a yarn without a name): no firm percentage, a fibre or its share is not known"},
		"probably is not firm": {[]Use{use("white tube", "cotton?", 90)},
			"cotton, not sure (white tube): no firm percentage, a fibre or its share is not known"},
		"shares not known are not firm": {[]Use{use("sock", "wool ?, nylon ?", 90)},
			"nylon, wool: no firm percentage, a fibre or its share is not known"},
		"unknown elastic in a blend": {[]Use{use("navy", "cotton 92, elastic 8", 90)},
			"cotton, unknown elastic (navy): no firm percentage, a fibre or its share is not known"},
		"a name with markup is harmless": {[]Use{use("a\x1b[31m\nb", "", 1)},
			"unknown (a[31m b): no firm percentage, a fibre or its share is not known"},
	} {
		t.Run(name, func(t *testing.T) {
			if got := compose(t, row.uses...).Words(); got != row.want {
				t.Errorf("%q, want %q", got, row.want)
			}
		})
	}
	t.Run("an unweighed yarn is said", func(t *testing.T) {
		c := compose(t, use("a", "cotton", 10), Use{Content: content(t, "cotton"), Mass: 10})
		if c.Measured || !strings.Contains(c.Basis(), "not weighed") ||
			strings.Contains(compose(t, use("a", "cotton", 1)).Basis(), "not weighed") {
			t.Error(c.Basis())
		}
	})
	t.Run("refuses a negative mass, naming the yarn", func(t *testing.T) {
		if _, err := Compose([]Use{use("slate", "cotton", -1)}); err == nil ||
			!strings.Contains(err.Error(), "slate") {
			t.Error(err)
		}
	})
	t.Run("refuses a piece without mass", func(t *testing.T) {
		if _, err := Compose(nil); err == nil {
			t.Error("accepted")
		}
	})
}

// Carded wool 17.0, polyamide 6.25 and cotton 8.5 % are the agreed allowances
// in the worked example of Regulation (EU) 1007/2011 (read in a copy). The
// percentages here are computed by hand from 100 g of each, dry: 117.00,
// 106.25 and 108.50 of 331.75, that is 35.27, 32.03 and 32.70 %.
func TestAgreedAllowances(t *testing.T) {
	dry := func(fibres string, grams measure.Mass) Use {
		return Use{Yarn: fibres, Content: content(t, fibres), Mass: grams * measure.Gram, Dry: true,
			Measured: true}
	}
	t.Run("each fibre gets its allowance", func(t *testing.T) {
		c := compose(t, dry("wool", 100), dry("nylon", 100), dry("cotton", 100))
		if got := c.Words(); got != "wool 35%, cotton 33%, nylon 32%" {
			t.Error(got)
		}
		want := map[fibre.ID]measure.Mass{"wool": 117_000, "nylon": 106_250, "cotton": 108_500}
		for _, s := range c.Shares {
			if s.Mass != want[s.Fibre] {
				t.Errorf("%s %d", s.Fibre, s.Mass)
			}
		}
	})
	t.Run("a dry blend keeps its agreed shares", func(t *testing.T) {
		if got := compose(t, dry("wool 75, nylon 25", 90)).Words(); got != "wool 75%, nylon 25%" {
			t.Error(got)
		}
	})
	t.Run("as weighed in the room, none is added", func(t *testing.T) {
		a, b := dry("wool", 100), dry("cotton", 100)
		a.Dry, b.Dry = false, false
		if got := compose(t, a, b).Words(); got != "cotton 50%, wool 50%" {
			t.Error(got)
		}
	})
	t.Run("a fibre without an agreed allowance is refused", func(t *testing.T) {
		if _, err := Compose([]Use{dry("nettle", 10)}); err == nil ||
			!strings.Contains(err.Error(), "nettle") {
			t.Error(err)
		}
	})
}

func TestPercentagesAddUp(t *testing.T) {
	names := []string{"cotton", "linen", "wool", "silk", "acrylic", "nylon", "cotton 60, linen 40",
		"wool 41, nylon 33, silk 26"}
	rapid.Check(t, func(rt *rapid.T) {
		var uses []Use
		for range rapid.IntRange(1, 9).Draw(rt, "yarns") {
			uses = append(uses, Use{Content: content(t,
				rapid.SampledFrom(names).Draw(rt, "fibres")),
				Mass: measure.Mass(rapid.Int64Range(100_000, 5_000_000).Draw(rt, "mg"))})
		}
		c, err := Compose(uses)
		if err != nil {
			rt.Fatal(err)
		}
		sum, mass := 0, measure.Mass(0)
		for i, s := range c.Shares {
			sum += *s.Percent
			mass += s.Mass
			exact := 100 * float64(s.Mass) / float64(c.Mass)
			if off := float64(*s.Percent) - exact; off <= -1.01 || off >= 1.01 {
				rt.Fatalf("%s %d%% of %f", s.Fibre, *s.Percent, exact)
			}
			if i > 0 && *s.Percent > *c.Shares[i-1].Percent {
				rt.Fatalf("not the largest first: %+v", c.Shares)
			}
		}
		if off := mass - c.Mass; sum != 100 || off > 9 || off < -9 {
			rt.Fatalf("%d%%, %s of %s", sum, mass, c.Mass)
		}
		slices.Reverse(uses)
		if again, _ := Compose(uses); again.Words() != c.Words() {
			rt.Fatalf("%s, and in another order %s", c.Words(), again.Words())
		}
	})
}
