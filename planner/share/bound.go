package share

import "math"

// linear is a bound on what the projects from some place on can be worth: at a price for
// all the yarn of each resource, what they make beyond the prices of their best options,
// and what the yarn left is worth.
type linear struct {
	base  float64
	price []float64
}

// at is the bound where so much of each resource is left, as a share of all.
func (l linear) at(left []float64) float64 {
	v := l.base
	for r, p := range l.price {
		v += p * left[r]
	}
	return v
}

// bounding finds the prices that bound best: a Lagrangian relaxation, whose least bound is
// that of the linear program over the options.
type bounding struct {
	options [][]choiceOf // of each place
	price   []float64
	slope   []float64
	before  []float64 // the slope before the last step
	way     []float64
	bent    []float64
	space   []float64 // the dilated space, a square matrix
}

func newBounding(options [][]choiceOf, resources int) *bounding {
	room := make([]float64, 5*resources)
	part := func(i int) []float64 { return room[i*resources : (i+1)*resources] }
	return &bounding{options, part(0), part(1), part(2), part(3), part(4),
		make([]float64, resources*resources)}
}

// net is an option's value less the price of what it asks for.
func (c *choiceOf) net(price []float64) float64 {
	v := float64(c.value)
	for _, d := range c.needs {
		v -= d.share * price[d.resource]
	}
	return v
}

// best is the option of a place that is worth most at prices, −1 where none is worth its
// price, and how much.
func best(options []choiceOf, price []float64) (at int, net float64) {
	at = -1
	for o := range options {
		if v := options[o].net(price); v > net {
			at, net = o, v
		}
	}
	return at, net
}

// evaluate works out the bound of the places from one on, and its slope. A price below
// zero buys nothing, and is a bound all the same.
func (b *bounding) evaluate(from int, left []float64) (bound, base float64) {
	for r, p := range b.price {
		b.slope[r] = 0
		if p > 0 {
			b.slope[r] = left[r]
			bound += p * left[r]
		}
	}
	for _, options := range b.options[from:] {
		at, net := best(options, b.price)
		if at < 0 {
			continue
		}
		base += net
		for _, d := range options[at].needs {
			b.slope[d.resource] -= d.share
		}
	}
	return bound + base, base
}

// minimise looks for the least bound from given prices on by Shor's method of dilating
// space along the difference of two slopes (N. Z. Shor, Minimization Methods for
// Non-Differentiable Functions, Springer 1985, chapter 3; from memory), and returns the
// best that it met in so many steps, or the first below the goal.
func (b *bounding) minimise(from int, left, start []float64, goal float64, steps int) linear {
	copy(b.price, start)
	b.straighten()
	bound, base := b.evaluate(from, left)
	out, least := linear{base, append([]float64(nil), b.price...)}, bound
	length := 0.0
	for range steps {
		norm := b.turn()
		if least < goal || norm < 1e-12 {
			break
		}
		if length == 0 {
			length = (bound - max(0, goal)) / norm / 2
		}
		copy(b.before, b.slope)
		length = b.follow(length, func() {
			if bound, base = b.evaluate(from, left); bound < least {
				least, out.base = bound, base
				copy(out.price, b.price)
			}
		})
		b.dilate()
	}
	return b.above(from, out)
}

// straighten undoes all dilation.
func (b *bounding) straighten() {
	clear(b.space)
	for r := range b.price {
		b.space[r*len(b.price)+r] = 1
	}
}

// turn sets the way down in the dilated space and returns the length of the slope there.
func (b *bounding) turn() float64 {
	norm := b.bend(b.slope)
	for r := range b.way {
		b.way[r] = dot(b.row(r), b.bent) / norm
	}
	return norm
}

// bend sees a vector in the dilated space, and returns its length there.
func (b *bounding) bend(v []float64) float64 {
	clear(b.bent)
	for r, x := range v {
		for i, s := range b.row(r) {
			b.bent[i] += s * x
		}
	}
	return math.Sqrt(dot(b.bent, b.bent))
}

func (b *bounding) row(r int) []float64 { return b.space[r*len(b.price) : (r+1)*len(b.price)] }

func dot(a, b []float64) float64 {
	v := 0.0
	for i, x := range a {
		v += x * b[i]
	}
	return v
}

// follow steps along the way until it rises, and returns the length of the next step:
// less where the first was too long already, more where many were needed.
func (b *bounding) follow(length float64, evaluate func()) float64 {
	for n := 1; ; n++ {
		for r, w := range b.way {
			b.price[r] -= length * w
		}
		evaluate()
		if dot(b.slope, b.way) <= 0 || n == 20 {
			if n == 1 {
				return 0.9 * length
			}
			return length
		}
		if n%3 == 0 {
			length *= 1.2
		}
	}
}

// dilate halves the space along the difference of the last two slopes.
func (b *bounding) dilate() {
	for r, v := range b.slope {
		b.before[r] = v - b.before[r]
	}
	norm := b.bend(b.before)
	if norm < 1e-12 {
		return
	}
	for r := range b.price {
		row := b.row(r)
		along := dot(row, b.bent) / norm / norm / 2
		for i, x := range b.bent {
			row[i] -= along * x
		}
	}
}

// above is a bound with no price below zero.
func (b *bounding) above(from int, l linear) linear {
	for r, p := range l.price {
		l.price[r] = max(0, p)
	}
	l.base = 0
	for _, options := range b.options[from:] {
		_, net := best(options, l.price)
		l.base += net
	}
	return l
}
