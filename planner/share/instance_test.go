package share

import (
	"fmt"
	"math/rand/v2"
	"strings"
)

// instance is a sharing of a shelf in the form from which both a Problem and an
// integer program in its usual, compact form are written: every project has sizes,
// lots that may be its warp and lots that may be its weft.
type instance struct {
	packages []int64
	lots     [][]int
	projects []made
}

type made struct {
	sizes      []sized
	warp, weft []int // lots
}

type sized struct {
	value  int64
	ends   int
	length int64
	weft   int64
}

// randomInstance draws projects of real sizes: scarves, towels, shawls and mats of
// four sizes each between the least and the greatest, which name a few lots out of
// a shelf of about enough yarn for two thirds of them.
func randomInstance(seed uint64, projects, packages int) instance {
	r := rand.New(rand.NewPCG(seed, 11))
	var in instance
	for len(in.packages) < packages {
		var lot []int
		for range min(1+r.IntN(4), packages-len(in.packages)) {
			lot = append(lot, len(in.packages))
			in.packages = append(in.packages, 50_000+r.Int64N(350_000))
		}
		in.lots = append(in.lots, lot)
	}
	for range projects {
		in.projects = append(in.projects, randomProject(r, len(in.lots)))
	}
	return in
}

func randomProject(r *rand.Rand, lots int) made {
	var m made
	priority := int64(1 + r.IntN(5))
	width, length := 150+r.Int64N(550), 400+r.Int64N(1600)
	sett := 300 + r.Int64N(700) // ends for each metre of width
	for n := range 4 {
		scale := int64(70 + 20*n)
		w, l := width*scale/100, length*scale/100
		m.sizes = append(m.sizes, sized{
			value: priority * (500 + 10*scale*scale/20), ends: int(w*sett/1000/4*4 + 4),
			length: l*115/100 + 600,
			weft:   l * w * sett / 1000 * 110 / 100,
		})
	}
	m.warp, m.weft = someLots(r, lots), someLots(r, lots)
	return m
}

func someLots(r *rand.Rand, lots int) []int {
	seen := map[int]bool{}
	var out []int
	for range 1 + r.IntN(5) {
		if l := r.IntN(lots); !seen[l] {
			seen[l] = true
			out = append(out, l)
		}
	}
	return out
}

// problem states the instance for Solve.
func (in instance) problem() Problem {
	p := Problem{Packages: in.packages}
	for _, m := range in.projects {
		var options []Option
		for _, s := range m.sizes {
			for _, warp := range m.warp {
				for _, weft := range m.weft {
					options = append(options, Option{
						Value:    s.value,
						Windings: []Windings{{in.lots[warp], s.ends, s.length}},
						Wefts:    []Weft{{in.lots[weft], s.weft}},
					})
				}
			}
		}
		p.Projects = append(p.Projects, options)
	}
	return p
}

// program writes the instance as an integer program in the LP format that GLPK
// and CBC read.
func (in instance) program() string {
	var goal, rows, general, binary strings.Builder
	use := make([]strings.Builder, len(in.packages))
	for b, m := range in.projects {
		in.writeProject(b, m, &goal, &rows, use)
		for s := range m.sizes {
			fmt.Fprintf(&binary, " y%d_%d\n", b, s)
			for _, l := range m.warp {
				for _, i := range in.lots[l] {
					fmt.Fprintf(&general, " n%d_%d_%d\n", b, s, i)
				}
			}
		}
		for _, l := range m.warp {
			fmt.Fprintf(&binary, " u%d_%d\n", b, l)
		}
		for _, l := range m.weft {
			fmt.Fprintf(&binary, " w%d_%d\n", b, l)
		}
	}
	for i := range use {
		if use[i].Len() > 0 {
			fmt.Fprintf(&rows, " p%d:%s <= %d\n", i, use[i].String(), in.packages[i])
		}
	}
	return "Maximize\n obj:" + goal.String() + "\nSubject To\n" + rows.String() + "General\n" +
		general.String() + "Binary\n" + binary.String() + "End\n"
}

// writeProject writes the rows of a project: one size, one warp lot and one weft lot,
// ends and weft out of them.
func (in instance) writeProject(b int, m made, goal, rows *strings.Builder, use []strings.Builder) {
	var one, made, weft strings.Builder
	most, longest := 0, int64(0)
	for s, z := range m.sizes {
		fmt.Fprintf(goal, " + %d y%d_%d", z.value, b, s)
		fmt.Fprintf(&one, " + y%d_%d", b, s)
		fmt.Fprintf(&made, " - y%d_%d", b, s)
		fmt.Fprintf(&weft, " - %d y%d_%d", z.weft, b, s)
		most, longest = max(most, z.ends), max(longest, z.weft)
		fmt.Fprintf(rows, " e%d_%d:", b, s)
		for _, l := range m.warp {
			for _, i := range in.lots[l] {
				fmt.Fprintf(rows, " + n%d_%d_%d", b, s, i)
				fmt.Fprintf(&use[i], " + %d n%d_%d_%d", z.length, b, s, i)
			}
		}
		fmt.Fprintf(rows, " - %d y%d_%d = 0\n", z.ends, b, s)
	}
	fmt.Fprintf(rows, " o%d:%s <= 1\n a%d:", b, one.String(), b)
	for _, l := range m.warp {
		fmt.Fprintf(rows, " + u%d_%d", b, l)
	}
	fmt.Fprintf(rows, "%s = 0\n c%d:", made.String(), b)
	for _, l := range m.weft {
		fmt.Fprintf(rows, " + w%d_%d", b, l)
	}
	fmt.Fprintf(rows, "%s = 0\n f%d:", made.String(), b)
	for _, l := range m.weft {
		for _, i := range in.lots[l] {
			fmt.Fprintf(rows, " + v%d_%d", b, i)
			fmt.Fprintf(&use[i], " + v%d_%d", b, i)
		}
	}
	fmt.Fprintf(rows, "%s = 0\n", weft.String())
	for _, l := range m.warp {
		fmt.Fprintf(rows, " l%d_%d:", b, l)
		for s := range m.sizes {
			for _, i := range in.lots[l] {
				fmt.Fprintf(rows, " + n%d_%d_%d", b, s, i)
			}
		}
		fmt.Fprintf(rows, " - %d u%d_%d <= 0\n", most, b, l)
	}
	for _, l := range m.weft {
		fmt.Fprintf(rows, " m%d_%d:", b, l)
		for _, i := range in.lots[l] {
			fmt.Fprintf(rows, " + v%d_%d", b, i)
		}
		fmt.Fprintf(rows, " - %d w%d_%d <= 0\n", longest, b, l)
	}
}
