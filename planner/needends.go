package planner

// ThreadedFor is the least allowed number of threaded ends (without floats) that
// gives the width of s, the count that Need plans with. The spec must be sound
// (Need says what is not); it saves those who try many sizes the rest of Need.
func (s Spec) ThreadedFor() int {
	m := int64(max(1, s.Ends.Modulus))
	return int((s.wanted() + m - 1) / m * m)
}
