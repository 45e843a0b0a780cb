package making

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/planner/chance"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// anyShelf draws a shelf with packages of every sort.
func anyShelf(t *rapid.T, tb testing.TB) Shelf {
	s := stock(tb)
	n := rapid.IntRange(1, 7).Draw(t, "packages")
	for i := range n {
		yarn := rapid.SampledFrom([]stash.YarnID{cotton, cotton, wool, wool, remnant}).Draw(t,
			"yarn")
		p := of(fmt.Sprintf("p%d", i), yarn,
			measure.Mass(rapid.Int64Range(-20, 400).Draw(t, "grams")))
		p.Known = rapid.IntRange(0, 9).Draw(t, "known") > 0
		p.Lot = rapid.SampledFrom([]string{"", "A", "B"}).Draw(t, "lot")
		p.Knots = rapid.IntRange(0, 2).Draw(t, "knots")
		if rapid.IntRange(0, 9).Draw(t, "lent") == 0 {
			p.LentTo = "Ada"
		}
		if rapid.Bool().Draw(t, "claimed") {
			s.Claims[p.ID] = measure.Mass(rapid.Int64Range(0, 200).Draw(t, "claim")) * measure.Gram
		}
		s.Packages = append(s.Packages, p)
	}
	return s
}

func anyProject(t *rapid.T) stash.ProjectFacts {
	b := scarf()
	b.Width = measure.Length(rapid.Int64Range(20, 900).Draw(t, "width"))
	b.Length = measure.Length(rapid.Int64Range(50, 4000).Draw(t, "length"))
	b.Pieces = rapid.IntRange(1, 3).Draw(t, "pieces")
	refs := rapid.SliceOfNDistinct(rapid.SampledFrom([]stash.YarnID{cotton, wool, remnant}), 1, 3,
		rapid.ID)
	b.Warp, b.Weft = yarnRef(refs.Draw(t, "warp")...), yarnRef(refs.Draw(t, "weft")...)
	return b
}

func TestPlanIsNeverMoreThanThereIsAndNeverFitsFromUnknown(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s, b := anyShelf(rt, t), anyProject(rt)
		o, err := Plan(s, b)
		if err != nil {
			rt.Fatal(err)
		}
		if o.Probability < 0 || o.Probability > 1 || o.Probability != o.Probability {
			rt.Errorf("probability %v", o.Probability)
		}
		if o.Verdict == chance.Unknown && o.Fits() {
			rt.Errorf("fits from unknown: %v", o.Allotments)
		}
		for _, a := range o.Allotments {
			p, _ := s.Find(a.Package)
			free, known := measure.LengthOf(s.amount(p).Available, s.Yarns[p.Yarn].Tex())
			if !known || !p.Known || p.LentTo != "" || a.Warp < 0 || a.Weft < 0 || a.Mass <= 0 ||
				a.Warp+a.Weft > free {
				rt.Errorf("%s holds %v free and gives %+v", a.Package, free, a)
			}
		}
		if o.Greatest != nil && (o.Greatest.Length < 0 || o.Greatest.Length >= b.Length) {
			rt.Errorf("the greatest that fits is %v of %v wanted", o.Greatest.Length, b.Length)
		}
	})
}

func TestPlanIsTheSameForTheSameShelf(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s, b := anyShelf(rt, t), anyProject(rt)
		one, _ := Plan(s, b)
		two, _ := Plan(s, b)
		if fmt.Sprint(one.Allotments, one.Probability, one.LeftOut) != fmt.Sprint(two.Allotments,
			two.Probability, two.LeftOut) {
			rt.Errorf("%v\n%v", one.Allotments, two.Allotments)
		}
	})
}

func TestTheSettIsThatOfTheWarpThatIsWoven(t *testing.T) {
	s := stock(t, of("c", cotton, 900), of("v", wool, 900), of("w", wool, 400))
	alone := map[stash.YarnID]measure.Sett{}
	b := scarf()
	b.Sett = 0
	for _, y := range []stash.YarnID{cotton, wool} {
		b.Warp = map[stash.YarnID][]stash.Ref{cotton: {{Yarn: cotton}}, wool: {{Package: "v"}}}[y]
		alone[y] = planned(t, s, b).Project.Sett
	}
	if alone[cotton] == alone[wool] {
		t.Fatal("the two yarns are set alike, which shows nothing")
	}
	b.Warp = []stash.Ref{{Yarn: cotton}, {Package: "v"}}
	o := planned(t, s, b)
	ends := map[stash.YarnID]int{}
	for _, a := range o.Allotments {
		p, _ := s.Find(a.Package)
		ends[p.Yarn] += a.Ends
	}
	for y, n := range ends {
		if n == o.Needs.Ends && o.Project.Sett != alone[y] {
			t.Errorf("every end is of %s, set at %s, which alone is set at %s", y, o.Project.Sett,
				alone[y])
		}
	}
	if ends[cotton] > 0 && ends[wool] > 0 ||
		!slices.ContainsFunc(o.Notes,
			func(n string) bool { return strings.Contains(n, "one of the warp yarns named") }) {
		t.Errorf("%v: %q", ends, o.Notes)
	}
}

func TestTheNameOfAYarnIsNoIdentity(t *testing.T) {
	chanceWith := func(name string) float64 {
		s := stock(t, of("a", cotton, 47), of("b", "twin", 47), of("w", wool, 400))
		for id, called := range map[stash.YarnID]string{cotton: "Ossentarn cotton", "twin": name} {
			y := s.Yarns[cotton]
			count := *y.Count
			count.Doubt = 4 * measure.Percent
			y.ID, y.Name, y.Count = id, called, &count
			s.Yarns[id] = y
		}
		b := scarf()
		b.Warp = []stash.Ref{{Yarn: cotton}, {Yarn: "twin"}}
		return planned(t, s, b).Probability
	}
	same, other := chanceWith("Ossentarn cotton"), chanceWith("Ossentarn cotton, again")
	if same != other || same <= 0.01 || same >= 0.999 {
		t.Errorf("with one name %v, with two %v", same, other)
	}
}
