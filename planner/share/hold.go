package share

import (
	"slices"
	"strconv"
)

// holding is a set of options that can be made together.
type holding struct {
	set    *set
	choice []int   // for each project of the set, −1 for none
	left   []int64 // of each resource
	in     [][]int // projects whose option takes yarn of a block, ascending
	value  int64
	// known remembers which options can be cut from a block together, and doubt
	// says that some answer was not found out.
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

// option is an option of a project.
func (h *holding) option(b, o int) *choiceOf { return &h.set.options[b][o] }

// holdsPart says whether a part is of an option that is held.
func (h *holding) holdsPart(part int) bool {
	b := h.set.parts[part].project
	return h.choice[b] >= 0 && slices.Contains(h.option(b, h.choice[b]).parts, part)
}

// fits says whether an option of a project that has none can be added.
func (h *holding) fits(b, o int) bool {
	c := h.option(b, o)
	for _, d := range c.needs {
		if d.length > h.left[d.resource] {
			return false
		}
	}
	for _, block := range c.blocks {
		if len(h.in[block]) > 0 && !h.cuttable(block, b, o) {
			return false
		}
	}
	return true
}

// cuttable says whether an option can be cut from a block beside what is held.
func (h *holding) cuttable(block, b, o int) bool {
	key := strconv.Itoa(block)
	options := make([]*choiceOf, 0, len(h.in[block])+1)
	add := func(b, o int) {
		key += " " + strconv.Itoa(b) + ":" + strconv.Itoa(o)
		options = append(options, h.option(b, o))
	}
	at, _ := slices.BinarySearch(h.in[block], b)
	for _, other := range h.in[block][:at] {
		add(other, h.choice[other])
	}
	add(b, o)
	for _, other := range h.in[block][at:] {
		add(other, h.choice[other])
	}
	out, ok := h.known[key]
	if !ok {
		out = h.set.cut(block, options).solve()
		h.known[key] = out
	}
	if out == undecided {
		h.doubt = true
	}
	return out == can
}

// add chooses an option that fits.
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

// drop takes a project's option back.
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
