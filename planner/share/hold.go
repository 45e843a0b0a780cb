package share

import (
	"cmp"
	"slices"
	"strconv"
)

// holding is a set of options for which there is yarn enough by length.
type holding struct {
	set    *set
	choice []int   // of each place, −1 for none
	left   []int64 // of each resource
	in     [][]int // places whose option takes yarn of a block, ascending
	value  int64
	// known remembers which options can be cut from a block together, and doubt
	// says that the last answer was not found out.
	known map[string]outcome
	doubt bool
}

func newHolding(s *set) *holding {
	h := &holding{set: s, choice: make([]int, len(s.options)),
		left: make([]int64, len(s.resources)), in: make([][]int, len(s.blocks)),
		known: map[string]outcome{}}
	for b := range h.choice {
		h.choice[b] = -1
	}
	for r := range h.left {
		h.left[r] = s.resources[r].length
	}
	return h
}

// option is an option of a place.
func (h *holding) option(b, o int) *choiceOf { return &h.set.options[b][o] }

// room says whether the yarn left is long enough for an option.
func (h *holding) room(c *choiceOf) bool {
	for _, d := range c.needs {
		if d.length > h.left[d.resource] {
			return false
		}
	}
	return true
}

// fits says whether an option of a place that has none can be added, and cut beside what
// is held.
func (h *holding) fits(b, o int) bool {
	c := h.option(b, o)
	if !h.room(c) {
		return false
	}
	h.add(b, o)
	defer h.drop(b)
	for _, block := range c.blocks {
		if h.cuttable(block, h.in[block]) != can {
			return false
		}
	}
	return true
}

// firstUncut is the first place whose option cannot be cut beside those of the places
// before it, −1 where all can.
func (h *holding) firstUncut() int {
	first := -1
	h.doubt = false
	for block, in := range h.in {
		if len(in) == 0 || h.cuttable(block, in) == can {
			continue
		}
		for n := 1; n <= len(in) && (first < 0 || in[n-1] < first); n++ {
			if out := h.cuttable(block, in[:n]); out != can {
				first, h.doubt = in[n-1], out == undecided
			}
		}
	}
	return first
}

// cuttable says whether the options of places can be cut from a block.
func (h *holding) cuttable(block int, places []int) outcome {
	key := strconv.AppendInt(nil, int64(block), 10)
	options := make([]*choiceOf, len(places))
	for i, b := range places {
		key = strconv.AppendInt(append(key, ' '), int64(b), 10)
		key = strconv.AppendInt(append(key, ':'), int64(h.choice[b]), 10)
		options[i] = h.option(b, h.choice[b])
	}
	out, ok := h.known[string(key)]
	if !ok {
		out = h.set.cut(block, options).solve()
		h.known[string(key)] = out
	}
	return out
}

// add chooses an option that there is room for.
func (h *holding) add(b, o int) {
	c := h.option(b, o)
	h.choice[b] = o
	h.value += c.value
	for _, d := range c.needs {
		h.left[d.resource] -= d.length
	}
	for _, block := range c.blocks {
		at, _ := slices.BinarySearch(h.in[block], b)
		h.in[block] = slices.Insert(h.in[block], at, b)
	}
}

// drop takes a place's option back.
func (h *holding) drop(b int) {
	c := h.option(b, h.choice[b])
	h.choice[b] = -1
	h.value -= c.value
	for _, d := range c.needs {
		h.left[d.resource] += d.length
	}
	for _, block := range c.blocks {
		at, _ := slices.BinarySearch(h.in[block], b)
		h.in[block] = slices.Delete(h.in[block], at, at+1)
	}
}

// improve makes what is held better, by a better option for one project, or for
// one at the cost of another that then takes its next best.
func (h *holding) improve(byValue [][]int) {
	for again := true; again; {
		again = false
		for b := range h.choice {
			again = h.better(b, byValue[b]) || again
		}
		for b := range h.choice {
			again = h.exchange(b, byValue) || again
		}
	}
}

// better gives project b its best option that fits, and says whether that is an
// improvement.
func (h *holding) better(b int, byValue []int) bool {
	old := h.choice[b]
	if old >= 0 {
		h.drop(b)
	}
	for _, o := range byValue {
		if old >= 0 && h.option(b, o).value <= h.option(b, old).value {
			break
		}
		if h.fits(b, o) {
			h.add(b, o)
			return true
		}
	}
	if old >= 0 {
		h.add(b, old)
	}
	return false
}

// exchange looks for a better option of b that fits once another project gives
// way, and keeps it if both together are worth more.
func (h *holding) exchange(b int, byValue [][]int) bool {
	for _, o := range byValue[b] {
		old := h.choice[b]
		if old >= 0 && h.option(b, o).value <= h.option(b, old).value {
			return false
		}
		for _, other := range h.rivals(b, o) {
			if h.swap(b, o, other, byValue) {
				return true
			}
		}
	}
	return false
}

// rivals are the projects that hold yarn of the blocks of an option.
func (h *holding) rivals(b, o int) []int {
	var out []int
	for _, block := range h.option(b, o).blocks {
		for _, other := range h.in[block] {
			if other != b && !slices.Contains(out, other) {
				out = append(out, other)
			}
		}
	}
	return out
}

func (h *holding) swap(b, o, other int, byValue [][]int) bool {
	before, oldB, oldOther := h.value, h.choice[b], h.choice[other]
	if oldB >= 0 {
		h.drop(b)
	}
	h.drop(other)
	if h.fits(b, o) {
		h.add(b, o)
		h.better(other, byValue[other])
		if h.value > before {
			return true
		}
		h.drop(b)
		if h.choice[other] >= 0 {
			h.drop(other)
		}
	}
	if oldB >= 0 {
		h.add(b, oldB)
	}
	h.add(other, oldOther)
	return false
}

// fill adds the first option that fits of every place that has none, in the order of
// a key.
func (h *holding) fill(key func(b int) float64, options [][]int) {
	order := make([]int, 0, len(options))
	for b := range options {
		if h.choice[b] < 0 {
			order = append(order, b)
		}
	}
	slices.SortStableFunc(order, func(x, y int) int { return cmp.Compare(key(x), key(y)) })
	for _, b := range order {
		for _, o := range options[b] {
			if h.fits(b, o) {
				h.add(b, o)
				break
			}
		}
	}
}
