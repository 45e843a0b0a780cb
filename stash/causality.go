package stash

import "time"

// effect is what a movement did to a package: nothing (it was undone), set it
// by a reading of the scale, or anything else.
type effect int

const (
	effectNone effect = iota
	effectReading
	effectOther
)

// conflictingWeighing gives the movements of which one is a weighing and another of
// the same day was recorded without knowledge of it, while no later weighing has seen
// both. The movements stand in the order of the fold; did holds what each of them did.
func conflictingWeighing(moves []Event, did []effect) []EventID {
	if linear(moves) {
		return nil
	}
	apart := make([]bool, len(moves))
	k := knowledgeOf(moves)
	k = k.from(k.settledBefore(did))
	for i, w := range k.order {
		if did[w] != effectReading {
			continue
		}
		settled := k.settledWith(i, did)
		for j, e := range k.order {
			if did[e] != effectNone && !settled.has(j) && k.concurrent(i, j) &&
				sameDay(moves[w], moves[e]) {
				apart[w], apart[e] = true, true
			}
		}
	}
	var out []EventID
	for i, is := range apart {
		if is {
			out = append(out, moves[i].ID())
		}
	}
	return out
}

// linear says whether every movement had seen the one before it.
func linear(moves []Event) bool {
	for i, e := range moves {
		if i > 0 && !sees(e, moves[i-1].ID()) {
			return false
		}
	}
	return true
}

func sees(e Event, id EventID) bool {
	for _, r := range e.Replaces {
		if r == id {
			return true
		}
	}
	return false
}

// knowledge is which movements the writer of each had seen. Its places are in
// an order in which nobody stands before what he had seen.
type knowledge struct {
	order   []int   // the movement at each place
	parents [][]int // the places that each place names as seen
	seen    []places
}

// places is a set of places.
type places []uint64

func (s places) has(i int) bool { return s[i/64]>>(i%64)&1 == 1 }

func (s places) add(i int) { s[i/64] |= 1 << (i % 64) }

func (s places) addAll(other places) {
	for w, bits := range other {
		s[w] |= bits
	}
}

// knowledgeOf orders movements by what each names as replaced.
func knowledgeOf(moves []Event) knowledge {
	byID := make(map[EventID]int, len(moves))
	for i, e := range moves {
		byID[e.ID()] = i
	}
	w := walk{moves: moves, byID: byID, place: make([]int, len(moves))}
	for i := range w.place {
		w.place[i] = -1
	}
	for i := range moves {
		w.visit(i)
	}
	return w.k
}

type walk struct {
	moves []Event
	byID  map[EventID]int
	place []int // of each movement, -1 while it has none
	k     knowledge
}

// visit places a movement after all that it had seen.
func (w *walk) visit(i int) {
	if w.place[i] >= 0 {
		return
	}
	var parents []int
	for _, id := range w.moves[i].Replaces {
		if j, here := w.byID[id]; here && j != i {
			w.visit(j)
			parents = append(parents, w.place[j])
		}
	}
	w.place[i] = len(w.k.order)
	w.k.order = append(w.k.order, i)
	w.k.parents = append(w.k.parents, parents)
}

// settledBefore is the last place of a reading that had seen all before it
// and is seen by all after it: what lies before is settled.
func (k knowledge) settledBefore(did []effect) int {
	open := make([]int, len(k.order)+1) // how many are seen by nobody, before each place
	seen := make([]bool, len(k.order))
	for i, parents := range k.parents {
		open[i+1] = open[i] + 1
		for _, p := range parents {
			if !seen[p] {
				seen[p] = true
				open[i+1]--
			}
		}
	}
	least := len(k.order) // the first place that a later one names
	for i := len(k.order) - 1; i > 0; i-- {
		if open[i+1] == 1 && least >= i && did[k.order[i]] == effectReading {
			return i
		}
		least = min(least, firstOf(k.parents[i]))
	}
	return 0
}

// firstOf is the least of the places, before all where there is none.
func firstOf(places []int) int {
	if len(places) == 0 {
		return -1
	}
	first := places[0]
	for _, p := range places {
		first = min(first, p)
	}
	return first
}

// from drops the places before the one given, and works out for each of the
// others all that its writer had seen among them.
func (k knowledge) from(start int) knowledge {
	n := len(k.order) - start
	out := knowledge{order: k.order[start:], seen: make([]places, n)}
	words := (n + 63) / 64
	all := make(places, n*words)
	for i := range n {
		row := all[i*words : (i+1)*words]
		for _, p := range k.parents[start+i] {
			if p -= start; p >= 0 {
				row.add(p)
				row.addAll(out.seen[p])
			}
		}
		out.seen[i] = row
	}
	return out
}

func (k knowledge) concurrent(i, j int) bool {
	return i != j && !k.seen[i].has(j) && !k.seen[j].has(i)
}

// settledWith gives all that a reading has seen which had seen place i too.
func (k knowledge) settledWith(i int, did []effect) places {
	out := make(places, len(k.seen[i]))
	for w := i + 1; w < len(k.order); w++ {
		if did[k.order[w]] == effectReading && k.seen[w].has(i) {
			out.addAll(k.seen[w])
		}
	}
	return out
}

// sameDay says whether b happened on the day of a, by the clock of the place
// where a was recorded.
func sameDay(a, b Event) bool {
	_, east := a.At.Zone()
	zone := time.FixedZone("", east)
	ay, am, ad := a.At.In(zone).Date()
	by, bm, bd := b.At.In(zone).Date()
	return ay == by && am == bm && ad == bd
}
