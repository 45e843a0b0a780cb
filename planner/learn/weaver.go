package learn

import (
	"fmt"
	"slices"
	"strings"

	"endsmeet/planner/levels"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Weaver is what the finished pieces of a weaver taught, ready to be asked. It is not
// safe for concurrent use.
type Weaver struct {
	shelf  Shelf
	models [2]*levels.Model
	made   []lesson
	left   []LeftOut
	// lessons are the pieces made, widthwise; shared is how much of an error of the count
	// is in the take-up of the weft, by path.
	lessons []levels.Piece
	shared  map[levels.Path]float64
}

// lesson is a piece that teaches.
type lesson struct {
	id  stash.PieceID
	key key
	// told are the names of what its measures tell, by direction.
	told [2][]told
}

// NewWeaver learns from finished pieces, in whatever order they stand.
func NewWeaver(pieces []stash.Piece, shelf Shelf) *Weaver {
	w := &Weaver{shelf: shelf, shared: map[levels.Path]float64{}}
	pieces = slices.Clone(pieces)
	slices.SortStableFunc(pieces,
		func(a, b stash.Piece) int { return strings.Compare(string(a.ID), string(b.ID)) })
	var lessons [2][]levels.Piece
	for _, p := range pieces {
		if !teaches(p) {
			continue
		}
		m := w.read(p)
		w.made = append(w.made, m)
		for d := range lessons {
			lessons[d] = append(lessons[d], w.piece(p, m, direction(d)))
		}
	}
	for d := range lessons {
		w.models[d] = levels.Learn(lessons[d])
	}
	w.lessons = lessons[widthwise]
	return w
}

// read takes what can be true of a piece.
func (w *Weaver) read(p stash.Piece) lesson {
	m := lesson{id: p.ID, key: w.shelf.pieceKey(p)}
	for d, all := range w.shelf.all(p) {
		kept, left := believeTold(p, all)
		m.told[d], w.left = kept, append(w.left, left...)
	}
	return m
}

// piece is a finished piece as the model takes it.
func (w *Weaver) piece(p stash.Piece, m lesson, d direction) levels.Piece {
	l := levels.Piece{Path: w.path(m.key, d), Handbook: w.handbook(p.Plan.Spec, m.key, d).Handbook}
	for _, t := range m.told[d] {
		if len(m.key.yarns[d]) == 1 { // what hangs on its count is learned as if that were right
			t.Errors = slices.DeleteFunc(slices.Clone(t.Errors),
				func(e levels.Error) bool { return e.Of == countError })
		}
		l.Readings = append(l.Readings, t.Reading)
	}
	return l
}

func (w *Weaver) handbook(b stash.ProjectFacts, k key, d direction) handbook {
	warp, weft := w.shelf.yarns(k.yarns[lengthwise]), w.shelf.yarns(k.yarns[widthwise])
	if d == widthwise {
		return across(b, warp, weft)
	}
	return along(b, warp, weft)
}

// With asks the same weaver about other yarn.
func (w *Weaver) With(s Shelf) *Weaver {
	other := *w
	other.shelf = s
	return &other
}

// Tells names the losses that a piece tells of.
func (w *Weaver) Tells(id stash.PieceID) []string {
	var out []string
	for _, m := range w.made {
		for _, k := range kinds {
			if m.id == id && k.name != beaten && m.tells(k.d, k.take) {
				out = append(out, k.name)
			}
		}
	}
	return out
}

// tells says whether a piece tells of any of the quantities that a figure takes.
func (m lesson) tells(d direction, take levels.Vector) bool {
	return slices.ContainsFunc(m.told[d], func(t told) bool { return shares(t.Take, take) })
}

// path says where a cloth hangs: fibre, yarn, cloth. Cloths alike hang with the first
// of them; yarn of fibre that is not known is alike to none.
func (w *Weaver) path(k key, d direction) levels.Path {
	var names []string
	for _, id := range k.yarns[d] {
		names = append(names, string(id))
	}
	yarn := strings.Join(names, " ")
	kind := k.class[d]
	if kind == "" {
		kind = "? " + yarn
	}
	for i, m := range w.made {
		if m.key.compare(k, d) == ofCloth {
			return levels.Path{kind, yarn, fmt.Sprint(i)}
		}
	}
	return levels.Path{kind, yarn, "never woven"}
}

// next is the forecast for a piece of a question in one direction, with what its
// project sets.
func (w *Weaver) next(b stash.ProjectFacts, k key, d direction) (levels.Forecast, handbook) {
	h := w.handbook(b, k, d)
	return w.models[d].Next(w.path(k, d), h.Handbook).Given(given(b, d)...), h
}

// tally counts the pieces behind a figure on each rung.
type tally [rungs]int

// tally counts the pieces that tell of any of the quantities that a figure takes.
func (w *Weaver) tally(k key, d direction, take levels.Vector) (t tally) {
	for _, m := range w.made {
		if at := k.compare(m.key, d); at != apart && m.tells(d, take) {
			t[at]++
		}
	}
	return t
}

// bare says what the pieces behind a figure measured of it and of nothing else, as it was
// read; empty where none did.
func (w *Weaver) bare(k key, d direction, name string) string {
	sum, n := 0.0, 0
	for _, m := range w.made {
		if k.compare(m.key, d) == apart {
			continue
		}
		for _, one := range m.told[d] {
			if one.claim.name == name {
				sum, n = sum+one.ratio, n+1
			}
		}
	}
	switch n {
	case 0:
		return ""
	case 1:
		return ", measured " + percent(measure.RatioOf(sum))
	}
	return ", measured " + percent(measure.RatioOf(sum/float64(n))) + " on average"
}

// shares says that a reading tells of what a figure takes: of the bend, where it takes
// the bend, since that is the greater part of what differs.
func shares(reading, figure levels.Vector) bool {
	for i := range figure {
		if figure[i] != 0 && reading[i] != 0 && (i == bend || figure[bend] == 0) {
			return true
		}
	}
	return false
}

// String names the pieces behind a figure, the nearest first.
func (t tally) String() string {
	var parts []string
	for _, at := range []struct {
		rung rung
		of   string
	}{{ofCloth, "of these yarns, weave and washing"}, {ofYarn, "of this yarn"},
		{ofClass, "of like fibre"}} {
		if n := t[at.rung]; n > 0 {
			parts = append(parts, measure.Counted(n, "piece")+" "+at.of)
		}
	}
	return strings.Join(parts, ", ")
}
