package stash

// conflictingWeighing says whether a weighing and another movement of the
// same day were recorded without knowledge of each other, and no later
// weighing has seen both.
func conflictingWeighing(moves []Event, env Env) bool {
	if linear(moves) {
		return false
	}
	known := ancestors(moves)
	for i, w := range moves {
		if w.Kind != KindWeigh || env.Undone(w.ActOf()) {
			continue
		}
		for j, e := range moves {
			if i != j && !env.Undone(e.ActOf()) && sameDay(w, e) && concurrent(known, w, e) && !settled(known, moves, w, e, env) {
				return true
			}
		}
	}
	return false
}

// linear says whether every movement had seen exactly the one before it.
func linear(moves []Event) bool {
	for i, e := range moves {
		if i > 0 && (len(e.Replaces) != 1 || e.Replaces[0] != moves[i-1].ID()) {
			return false
		}
	}
	return true
}

type knowledge map[EventID]map[EventID]bool

// ancestors gives, for each movement, all the movements that its writer had
// seen, following what each replaced.
func ancestors(moves []Event) knowledge {
	byID := map[EventID]Event{}
	for _, e := range moves {
		byID[e.ID()] = e
	}
	known := knowledge{}
	for _, e := range moves {
		known.visit(e, byID)
	}
	return known
}

func (k knowledge) visit(e Event, byID map[EventID]Event) map[EventID]bool {
	if seen, done := k[e.ID()]; done {
		return seen
	}
	seen := map[EventID]bool{}
	k[e.ID()] = seen
	for _, id := range e.Replaces {
		seen[id] = true
		if before, ok := byID[id]; ok {
			for a := range k.visit(before, byID) {
				seen[a] = true
			}
		}
	}
	return seen
}

func concurrent(k knowledge, a, b Event) bool {
	return !k[a.ID()][b.ID()] && !k[b.ID()][a.ID()]
}

func settled(k knowledge, moves []Event, a, b Event, env Env) bool {
	for _, e := range moves {
		if e.Kind == KindWeigh && !env.Undone(e.ActOf()) && k[e.ID()][a.ID()] && k[e.ID()][b.ID()] {
			return true
		}
	}
	return false
}

func sameDay(a, b Event) bool {
	ay, am, ad := a.At.Date()
	by, bm, bd := b.At.In(a.At.Location()).Date()
	return ay == by && am == bm && ad == bd
}
