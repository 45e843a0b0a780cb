package share

import "slices"

// prices are a value for the whole of each resource, and the bound they give.
type prices struct {
	each  []float64
	bound float64
	// best is each open brief's best option at these prices, −1 for none, and net
	// what it is worth net of prices, at least 0.
	best []int
	net  []float64
}

func (p prices) clone() prices {
	return prices{slices.Clone(p.each), p.bound, slices.Clone(p.best), slices.Clone(p.net)}
}

// pricing finds prices that bound what open briefs can still be worth.
type pricing struct {
	set   *set
	total []float64 // of each resource, mm
	over  []float64 // room for what is left over of each resource, as a share of its total
}

func newPricing(s *set) *pricing {
	p := &pricing{set: s, total: make([]float64, len(s.resources)), over: make([]float64, len(s.resources))}
	for r := range s.resources {
		p.total[r] = max(1, float64(s.resources[r].length))
	}
	return p
}

// evaluate works out the bound of prices for the open options, and how much of
// each resource the best options leave over.
func (p *pricing) evaluate(at *prices, open [][]int, held *holding) {
	at.bound = float64(held.value)
	for r := range p.over {
		p.over[r] = float64(held.left[r]) / p.total[r]
		at.bound += at.each[r] * p.over[r]
	}
	for b, options := range open {
		at.best[b], at.net[b] = -1, 0
		for _, o := range options {
			if net := p.net(&p.set.options[b][o], at.each); net > at.net[b] {
				at.best[b], at.net[b] = o, net
			}
		}
		at.bound += at.net[b]
		if at.best[b] >= 0 {
			for _, d := range p.set.options[b][at.best[b]].needs {
				p.over[d.resource] -= float64(d.length) / p.total[d.resource]
			}
		}
	}
}

// net is an option's value less the price of what it needs.
func (p *pricing) net(c *choiceOf, each []float64) float64 {
	v := float64(c.value)
	for _, d := range c.needs {
		if each[d.resource] > 0 {
			v -= each[d.resource] * float64(d.length) / p.total[d.resource]
		}
	}
	return v
}

// minimise moves prices by subgradient steps towards the least bound, starting
// from those given, and returns the best it met. Steps aim at the value that is
// to be beaten; it stops once the bound is below it.
func (p *pricing) minimise(from prices, open [][]int, held *holding, goal float64, steps int) prices {
	now := from.clone()
	p.evaluate(&now, open, held)
	best := now.clone()
	pace, stale := 1.0, 0
	for range steps {
		if best.bound < goal+1 {
			break
		}
		norm := p.norm(now.each)
		if norm == 0 {
			break
		}
		step := pace * (now.bound - goal) / norm
		for r := range now.each {
			now.each[r] = max(0, now.each[r]-step*p.over[r])
		}
		p.evaluate(&now, open, held)
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

// norm is the squared length of the step that prices may take.
func (p *pricing) norm(each []float64) float64 {
	sum := 0.0
	for r, v := range p.over {
		if v < 0 || each[r] > 0 {
			sum += v * v
		}
	}
	return sum
}
