package making

import (
	"testing"

	"endsmeet/planner/chance"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// The greatest size is one that a plan calls sure, and a little more of it is not: the
// plan itself, asked for one size after another, is the brute force.
func TestTheLargestSizeIsTheLastThatAPlanCallsSure(t *testing.T) {
	cases := 0
	for _, open := range []string{"length", "width", "size"} {
		for _, grams := range []measure.Mass{40, 90, 150} {
			s := stock(t, of("c", cotton, 2*grams), of("w", wool, grams))
			b := scarf()
			switch open {
			case "length":
				b.Length = 0
			case "width":
				b.Width, b.Length = 0, 900
			}
			l, err := LargestOf(s, b, 0)
			if err != nil {
				t.Fatal(err)
			}
			if l.Open != open {
				t.Errorf("%s is taken as %s", open, l.Open)
			}
			sure := func(ends int, length measure.Length) bool {
				p := l.Project
				p.Length = length
				o, err := PlanEnds(s, p, ends)
				return err == nil && o.Verdict == chance.Sure
			}
			if !sure(l.Threaded, l.Project.Length) {
				t.Errorf("%s with %d g: %d x %d mm is not sure", open, grams, l.Project.Width,
					l.Project.Length)
			}
			longer, wider := sure(l.Threaded, l.Project.Length*102/100),
				sure(l.Threaded*106/100+4, l.Project.Length)
			if open == "length" && longer || open == "width" && wider || open == "size" && longer &&
				wider {
				t.Errorf("%s with %d g: %d x %d mm is not the largest", open, grams,
					l.Project.Width, l.Project.Length)
			}
			if open == "size" {
				shape := float64(l.Project.Length) / float64(l.Project.Width)
				if shape < 5.8 || shape > 6.2 { // 30 x 180 cm
					t.Errorf("with %d g the shape is %.2f", grams, shape)
				}
			}
			cases++
		}
	}
	if cases != 9 {
		t.Errorf("%d cases", cases)
	}
}

func TestALargestSizeWithoutYarnIsRefused(t *testing.T) {
	b := scarf()
	b.Length, b.LeastLength = 0, 500
	_, err := LargestOf(stock(t, of("c", cotton, 300), of("w", wool, 1)), b, 0)
	if stash.CodeOf(err) != stash.CodeRefused {
		t.Errorf("nothing to weave with: %v", err)
	}
	b.Width, b.LeastLength = 0, 0
	if _, err = LargestOf(stock(t, of("c", cotton, 300), of("w", wool, 100)), b,
		0); stash.CodeOf(err) != stash.CodeInput {
		t.Errorf("neither width nor length: %v", err)
	}
	b.Kind = "scarf"
	l, err := LargestOf(stock(t, of("c", cotton, 300), of("w", wool, 100)), b, 0)
	if err != nil || l.Project.Length < 3*l.Project.Width {
		t.Errorf("a scarf of its usual shape: %d x %d mm, %v", l.Project.Width, l.Project.Length,
			err)
	}
}

// TestSizesBesideAreLikeTheOneWanted holds the sizes that are offered beside the greatest
// against the shape of the project.
func TestSizesBesideAreLikeTheOneWanted(t *testing.T) {
	for _, grams := range []measure.Mass{120, 300, 900} {
		s := stock(t, of("c", cotton, grams), of("w", wool, grams))
		b := scarf()
		b.Width, b.Length = 650, 750
		a, err := s.sizes(b, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range a.Frontier {
			wide := float64(p.Width) / float64(max(1, p.Length95)) / (650. / 750)
			if wide > 3.01 || wide < 1/3.01 {
				t.Errorf("of %d g: %d × %d mm beside 650 × 750", grams, p.Width, p.Length95)
			}
		}
	}
}

// TestTheLargestSizeIsSureByItsOwnPlan plans the greatest sizes of several shelves.
func TestTheLargestSizeIsSureByItsOwnPlan(t *testing.T) {
	for n := range 12 {
		s := stock(t, of("c", cotton, measure.Mass(100+37*n)), of("w", wool, measure.Mass(60+53*n)))
		b := scarf()
		if b.Length = 0; n%2 == 1 {
			b.Width = 0
		}
		b.TakeUp, b.WeftTakeUp, b.ShrinkLength, b.Stretch = nil, nil, nil, nil
		largest, err := LargestOf(s, b, 0)
		if err != nil {
			continue // too little for any
		}
		o, err := Plan(s, largest.Project)
		if err != nil || o.Verdict != chance.Sure {
			t.Errorf("shelf %d: %d × %d mm: %s %.4f, %v", n, largest.Project.Width,
				largest.Project.Length, o.Verdict, o.Probability, err)
		}
	}
}
