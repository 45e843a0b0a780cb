package share

import (
	"cmp"
	"slices"
)

// prices are a price for each part, and the bound that they give.
type prices struct {
	each  []float64
	bound float64
	// best is each open project's best option at these prices, −1 for none, and net
	// what it is worth net of prices, at least 0.
	best []int
	net  []float64
}

func (p prices) clone() prices {
	return prices{slices.Clone(p.each), p.bound, slices.Clone(p.best), slices.Clone(p.net)}
}

// pricing finds prices that bound what open projects can still be worth: projects buy
// the parts of an option, blocks sell the parts of a filling, each at the best
// they can get; what both make together is a bound at any prices.
type pricing struct {
	set *set
	// over is, for each part, what is sold less what is bought.
	over  []float64
	want  []bool    // parts of some open option
	way   []float64 // the last step
	offer []stair   // room for sellByLength
}

func newPricing(s *set) *pricing {
	return &pricing{set: s, over: make([]float64, len(s.parts)), want: make([]bool, len(s.parts)),
		way: make([]float64, len(s.parts))}
}

// begin notes which parts open options ask for. What none asks for has no price.
func (p *pricing) begin(at *prices, open [][]int) {
	clear(p.want)
	for b, options := range open {
		for _, o := range options {
			for _, part := range p.set.options[b][o].parts {
				p.want[part] = true
			}
		}
	}
	for part, want := range p.want {
		if !want {
			at.each[part] = 0
		}
	}
}

// evaluate works out the bound of prices for the open options.
func (p *pricing) evaluate(at *prices, open [][]int) {
	at.bound = 0
	clear(p.over)
	for b, options := range open {
		at.best[b], at.net[b] = -1, 0
		for _, o := range options {
			if net := p.net(&p.set.options[b][o], at.each); net > at.net[b] {
				at.best[b], at.net[b] = o, net
			}
		}
		at.bound += at.net[b]
		if at.best[b] >= 0 {
			for _, part := range p.set.options[b][at.best[b]].parts {
				p.over[part]--
			}
		}
	}
	for block := range p.set.blocks {
		if p.set.fillings[block] == nil {
			at.bound += p.sellByLength(block, at.each)
			continue
		}
		at.bound += p.sell(block, at.each)
	}
}

// net is an option's value less the price of its parts.
func (p *pricing) net(c *choiceOf, each []float64) float64 {
	v := float64(c.value)
	for _, part := range c.parts {
		v -= each[part]
	}
	return v
}

// sell is what the dearest filling of a block is worth.
func (p *pricing) sell(block int, each []float64) float64 {
	var best filling
	most := 0.0
	for _, f := range p.set.fillings[block] {
		worth := 0.0
		for _, part := range f {
			worth += each[part]
		}
		if worth > most {
			best, most = f, worth
		}
	}
	for _, part := range best {
		p.over[part]++
	}
	return most
}

// stair is a step from one part of a project to a longer one.
type stair struct {
	from, to int // −1 for none
	length   int64
	worth    float64
}

// sellByLength bounds what a block can sell by the length of yarn alone: each
// project's parts, from the shortest to the dearest, in steps of falling worth for
// each millimetre; the dearest steps first, the last one in part.
func (p *pricing) sellByLength(block int, each []float64) float64 {
	var left int64
	for _, i := range p.set.blocks[block] {
		left += p.set.packages[i]
	}
	p.offer = p.offer[:0]
	parts := p.set.inBlock[block]
	for i := 0; i < len(parts); {
		j := i
		for j < len(parts) && p.set.parts[parts[j]].project == p.set.parts[parts[i]].project {
			j++
		}
		p.steps(parts[i:j], each)
		i = j
	}
	slices.SortStableFunc(p.offer, func(a, b stair) int {
		return cmp.Compare(b.worth*float64(a.length), a.worth*float64(b.length))
	})
	sum := 0.0
	for _, o := range p.offer {
		share := 1.0
		if o.length > left {
			share = float64(left) / float64(o.length)
		}
		sum += share * o.worth
		p.over[o.to] += share
		if o.from >= 0 {
			p.over[o.from] -= share
		}
		if left -= o.length; left <= 0 {
			break
		}
	}
	return sum
}

// steps adds the steps of one project: the upper hull of worth over length.
func (p *pricing) steps(parts []int, each []float64) {
	order := slices.Clone(parts)
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(p.set.parts[a].length, p.set.parts[b].length),
			cmp.Compare(each[b], each[a]))
	})
	first := len(p.offer)
	for _, at := range order {
		for {
			from, length, worth := -1, int64(0), 0.0
			for _, o := range p.offer[first:] {
				from, length, worth = o.to, length+o.length, worth+o.worth
			}
			next := stair{from, at, p.set.parts[at].length - length, each[at] - worth}
			if next.worth <= 0 {
				break
			}
			last := len(p.offer) - 1
			if last >= first && p.offer[last].worth*float64(next.length) <= next.worth*float64(p.offer[last].length) {
				p.offer = p.offer[:last]
				continue
			}
			p.offer = append(p.offer, next)
			break
		}
	}
}

// minimise moves prices by subgradient steps towards the least bound, starting
// from those given, and returns the best it met. Steps aim at the goal; it stops
// once the bound is below it. A step that would turn back on the last one is
// bent towards it (Camerini, Fratta and Maffioli 1975, with their factor 1.5: from
// memory).
func (p *pricing) minimise(from prices, open [][]int, goal float64, steps int) prices {
	now := from.clone()
	p.begin(&now, open)
	p.evaluate(&now, open)
	best := now.clone()
	pace, stale := 1.0, 0
	clear(p.way)
	for range steps {
		if best.bound < goal {
			break
		}
		norm := p.bend(now.each)
		if norm == 0 {
			break
		}
		by := pace * (now.bound - goal) / norm
		for part, d := range p.way {
			if d != 0 {
				now.each[part] = max(0, now.each[part]-by*d)
			}
		}
		p.evaluate(&now, open)
		if now.bound < best.bound-1e-9 {
			best, stale = now.clone(), 0
			continue
		}
		if stale++; stale >= 6 {
			pace, stale = pace/2, 0
		}
	}
	return best
}

// bend sets the way of the next step and returns its squared length.
func (p *pricing) bend(each []float64) float64 {
	against, last := 0.0, 0.0
	for part, v := range p.over {
		if p.moves(part, v, each) {
			against += v * p.way[part]
		}
		last += p.way[part] * p.way[part]
	}
	keep := 0.0
	if against < 0 {
		keep = -1.5 * against / last
	}
	norm := 0.0
	for part, v := range p.over {
		p.way[part] *= keep
		if p.moves(part, v, each) {
			p.way[part] += v
		}
		norm += p.way[part] * p.way[part]
	}
	return norm
}

// moves says whether a part's price may move: it is asked for, and does not
// stand at nothing with some left over.
func (p *pricing) moves(part int, over float64, each []float64) bool {
	return p.want[part] && (over < 0 || each[part] > 0)
}
