package planner

import "fmt"

// EndCounts are the numbers of threaded ends, without floats, that a pattern allows: the
// least of them, and each so many more.
type EndCounts struct {
	// Modulus is how far apart they are, at least 1; Least is the least, 0 where every
	// multiple of the modulus is one.
	Modulus, Least int
}

// CountsOf are the counts at which whole repeats close with their balance ends and the ends
// divide into whole bunches, of so many ends each. Where no count does both, the repeats close.
func CountsOf(repeat, balance int, bunches ...int) EndCounts {
	repeat, bunch := max(1, repeat), 1
	for _, n := range bunches {
		bunch = lcm(bunch, max(1, n))
	}
	both := lcm(repeat, bunch)
	if repeat == 1 || balance <= 0 || both > maxEnds {
		return EndCounts{Modulus: both} // without a repeat a balance has nothing to make even
	}
	for least := balance; least < balance+both; least += repeat {
		if least%bunch == 0 {
			return EndCounts{Modulus: both, Least: least}
		}
	}
	return EndCounts{Modulus: repeat, Least: balance}
}

// first is the least count, never 0.
func (c EndCounts) first() int64 {
	if c.Least > 0 {
		return int64(c.Least)
	}
	return int64(max(1, c.Modulus))
}

// From is the least count that is not below so many ends.
func (c EndCounts) From(ends int64) int64 {
	first, step := c.first(), int64(max(1, c.Modulus))
	if ends <= first {
		return first
	}
	return first + (ends-first+step-1)/step*step
}

// To is the greatest count that is not above so many ends, 0 where there is none.
func (c EndCounts) To(ends int) int {
	first, step := int(c.first()), max(1, c.Modulus)
	if ends < first {
		return 0
	}
	return first + (ends-first)/step*step
}

// String says which counts they are.
func (c EndCounts) String() string {
	if c.first()%int64(max(1, c.Modulus)) == 0 {
		return fmt.Sprintf("multiples of %d", max(1, c.Modulus))
	}
	return fmt.Sprintf("%d, %d and so on", c.first(), c.first()+int64(c.Modulus))
}

// ThreadedFor is the least allowed number of threaded ends (without floats) that
// gives the width of s, the count that Need plans with. The spec must be sound
// (Need says what is not); it saves those who try many sizes the rest of Need.
func (s Spec) ThreadedFor() int {
	if s.Ends.Given > 0 {
		return s.Ends.Given
	}
	return int(s.Ends.counts().From(s.wanted()))
}

// counts are the numbers of threaded ends that are allowed.
func (e EndPlan) counts() EndCounts { return EndCounts{e.Modulus, e.Least} }

func lcm(a, b int) int { return a / gcd(a, b) * b }
