package chance

import "sort"

// union is a disjoint-set forest over 0 … n−1.
type union []int

// newUnion returns n singletons.
func newUnion(n int) union {
	u := make(union, n)
	for i := range u {
		u[i] = i
	}
	return u
}

// root returns the representative of i.
func (u union) root(i int) int {
	for u[i] != i {
		u[i] = u[u[i]]
		i = u[i]
	}
	return i
}

// join unites the sets of i and j under the lower root.
func (u union) join(i, j int) {
	a, b := u.root(i), u.root(j)
	u[max(a, b)] = min(a, b)
}

// groups returns the sets, each ascending, ordered by their least members.
func (u union) groups() [][]int {
	by := map[int][]int{}
	for i := range u {
		by[u.root(i)] = append(by[u.root(i)], i)
	}
	out := make([][]int, 0, len(by))
	for _, g := range by {
		out = append(out, g)
	}
	sort.Slice(out, func(i, j int) bool { return out[i][0] < out[j][0] })
	return out
}
