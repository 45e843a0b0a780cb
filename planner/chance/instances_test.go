package chance

import "fmt"

// instance is a named problem; all yarns and figures are invented.
type instance struct {
	name string
	p    Problem
}

// seq returns a, a+1, … b−1.
func seq(a, b int) []int {
	var s []int
	for i := a; i < b; i++ {
		s = append(s, i)
	}
	return s
}

// balls returns n like packages with reading error own and shared relative errors.
func balls(n int, length, own float64, shared ...Loading) []Package {
	out := make([]Package, n)
	for i := range out {
		out[i] = Package{ID: fmt.Sprintf("b%02d", i), Length: length + 37*float64(i%7), Own: own,
			Shared: shared}
	}
	return out
}

// instances returns problems that between them take every path of the computation.
func instances() []instance {
	count := Loading{Factor: "count oat", Relative: 0.03}
	slate := Loading{Factor: "count slate", Relative: 0.05}
	humid := Loading{Factor: "humidity", Relative: 0.02}
	scale := Loading{Factor: "scale", Absolute: 600}
	cone := Package{ID: "cone", Length: 288000, Own: 900, Shared: []Loading{count}}
	weft := Package{ID: "slate", Length: 260000, Own: 9000, Shared: []Loading{slate, humid}}

	var out []instance
	add := func(name string, p Problem) { out = append(out, instance{name, p}) }

	add("one cone", Problem{Packages: []Package{cone}, WarpEnd: Need{Length: 2350},
		Warp: []WarpPool{{[]int{0}, 120}}})
	add("sixty small balls", Problem{Packages: balls(60, 9800, 250, count, humid),
		WarpEnd: Need{Length: 2400},
		Warp:    []WarpPool{{seq(0, 60), 240}}})
	add("no reading error, near-step", Problem{Packages: balls(8, 50000, 0, count),
		WarpEnd: Need{Length: 2470},
		Warp:    []WarpPool{{seq(0, 8), 158}}})
	add("tiny reading error, two shared errors",
		Problem{Packages: balls(8, 50000, 20, count, scale), WarpEnd: Need{Length: 2470},
			Warp: []WarpPool{{seq(0, 8), 158}}})
	add("warp and weft of two yarns",
		Problem{Packages: append(balls(5, 80000, 1200, count, humid), weft),
			WarpEnd: Need{Length: 2470},
			Warp:    []WarpPool{{seq(0, 5), 158}},
			Weft:    []WeftPool{{[]int{5}, Need{Length: 255000}}}})
	three := append(append(balls(3, 40000, 500, count, scale),
		balls(3, 40000, 500, slate, scale)...),
		balls(3, 40000, 500, Loading{"count moss", 0.06, 0}, scale)...)
	add("three colours, common scale", Problem{Packages: three, WarpEnd: Need{Length: 2470},
		Warp: []WarpPool{{seq(0, 3), 47}, {seq(3, 6), 47}, {seq(6, 9), 46}}})
	add("three yarns in one warp", Problem{Packages: three, WarpEnd: Need{Length: 2470},
		Warp: []WarpPool{{seq(0, 9), 143}}})
	add("one yarn for both", Problem{Packages: balls(8, 50000, 900, count, humid),
		WarpEnd: Need{Length: 2470},
		Warp:    []WarpPool{{seq(0, 8), 90}}, Weft: []WeftPool{{seq(0, 8), Need{Length: 175000}}}})
	add("both, hardly any weft", Problem{Packages: balls(12, 12000, 700, count),
		WarpEnd: Need{Length: 2470},
		Warp:    []WarpPool{{seq(0, 12), 50}}, Weft: []WeftPool{{seq(0, 12), Need{Length: 12000}}}})
	add("both, two packages", Problem{Packages: balls(2, 12000, 700), WarpEnd: Need{Length: 2470},
		Warp: []WarpPool{{seq(0, 2), 8}}, Weft: []WeftPool{{seq(0, 2), Need{Length: 3000}}}})
	add("both, three packages, small error",
		Problem{Packages: balls(3, 12100, 300), WarpEnd: Need{Length: 2470},
			Warp: []WarpPool{{seq(0, 3), 12}}, Weft: []WeftPool{{seq(0, 3), Need{Length: 6500}}}})
	add("both, with warp-only and weft-only", Problem{Packages: balls(9, 21000, 700, count),
		WarpEnd: Need{Length: 2470},
		Warp:    []WarpPool{{seq(0, 6), 44}}, Weft: []WeftPool{{seq(3, 9), Need{Length: 71000}}}})
	add("two mixed colours, one weft",
		Problem{Packages: append(balls(4, 21000, 700, count, humid),
			balls(4, 21000, 700, slate, humid)...), WarpEnd: Need{Length: 2470},
			Warp: []WarpPool{{seq(0, 4), 30}, {seq(4, 8), 29}},
			Weft: []WeftPool{{seq(0, 8), Need{Length: 22000}}}})
	knotty := balls(5, 80000, 900, count)
	knotty[1].Knots, knotty[2].Shares, knotty[3].Longest = 2, []float64{0.5, 0.3, 0.2}, 6000
	add("loops, knots, lengths and thrums", Problem{Packages: knotty, WarpEnd: Need{Length: 1320},
		Unit: 2,
		Warp: []WarpPool{{seq(0, 5), 270}}})
	add("losses of weaving in both",
		Problem{Packages: append(balls(5, 80000, 1200, count, humid), weft),
			WarpEnd: Need{2470, []Loading{{"take-up", 0.02, 0}, {"shrinkage", 0.025, 0}}},
			Warp:    []WarpPool{{seq(0, 5), 154}},
			Weft: []WeftPool{{[]int{5},
				Need{245000, []Loading{{"shrinkage", 0.03, 0}, {"draw-in", -0.02, 0},
					{"weft take-up", 0.04, 0}}}}}})
	add("a loss that helps the weft and harms the warp, one yarn",
		Problem{Packages: balls(8, 50000, 900, count, humid),
			WarpEnd: Need{2470, []Loading{{"stretch", 0.02, 0}}}, Warp: []WarpPool{{seq(0, 8), 88}},
			Weft: []WeftPool{{seq(0, 8),
				Need{165000, []Loading{{"stretch", -0.03, 0}, {"weft take-up", 0.03, 0}}}}}})
	cut := balls(5, 80000, 1200, count)
	for i := range cut {
		cut[i].Knots = 2
	}
	add("five cones of two knots on a coarse scale",
		Problem{Packages: cut, WarpEnd: Need{Length: 2470}, Warp: []WarpPool{{seq(0, 5), 155}}})
	add("thirty balls with knots, one warp",
		Problem{Packages: knots(balls(30, 22000, 700, count), 1), WarpEnd: Need{Length: 2470},
			Warp: []WarpPool{{seq(0, 30), 232}}})
	add("thirty unlike cones with knots, one warp",
		Problem{Packages: unlike(30, count, humid), WarpEnd: Need{Length: 2470},
			Warp: []WarpPool{{seq(0, 30), 470}}})
	add("forty unlike cones for both, losses",
		Problem{Packages: unlike(40, count, humid),
			WarpEnd: Need{2470, []Loading{{"take-up", 0.02, 0}}}, Warp: []WarpPool{{seq(0, 40), 400}},
			Weft: []WeftPool{{seq(0, 40), Need{610000, []Loading{{"draw-in", 0.03, 0}}}}}})
	add("tare against count", Problem{Packages: balls(6, 50000, 100, count,
		Loading{"tare", 0, -900}), WarpEnd: Need{Length: 2470},
		Warp: []WarpPool{{seq(0, 6), 118}}})
	return out
}

// unlike returns packages of many lengths, some with knots.
func unlike(n int, shared ...Loading) []Package {
	out := make([]Package, n)
	for i := range out {
		out[i] = Package{ID: fmt.Sprintf("u%02d", i), Length: 25000 + 1733*float64(i*i%17),
			Own: 700 + 90*float64(i%5), Knots: i % 3 % 2, Shared: shared}
	}
	return out
}

// knots gives every package so many.
func knots(packages []Package, n int) []Package {
	for i := range packages {
		packages[i].Knots = n
	}
	return packages
}
