package main

import (
	"io"
	"maps"
	"slices"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

// shelf makes items, having read once what they all need.
type shelf struct {
	making.Shelf
	// recorded are the yarns as they were recorded; those of the Shelf have the
	// counts that finished pieces teach.
	recorded map[stash.YarnID]stash.Yarn
	tx       *sqlite.Tx
	// flags are those of the yarns that were asked for.
	flags map[stash.YarnID][]string
}

// flagsOf are the flags of a yarn; what stands beside it with one package alone is
// looked at each time.
func (s *shelf) flagsOf(y stash.Yarn) []string {
	if len(y.Beside) > 0 {
		return yarnFlags(y)
	}
	flags, known := s.flags[y.ID]
	if !known {
		flags = yarnFlags(y)
		s.flags[y.ID] = flags
	}
	return flags
}

// newShelf is a shelf of all yarns.
func newShelf(tx *sqlite.Tx) (*shelf, error) {
	return shelfWith(tx, func(making.Shelf) (map[stash.YarnID]stash.Yarn,
		error) {
		return tx.YarnsByID()
	})
}

// shelfFor is a shelf for packages of a few yarns.
func shelfFor(tx *sqlite.Tx, ids ...stash.YarnID) (*shelf, error) {
	return shelfWith(tx, func(s making.Shelf) (map[stash.YarnID]stash.Yarn,
		error) {
		return fewYarns(tx, s, ids)
	})
}

func shelfWith(tx *sqlite.Tx, yarns func(making.Shelf) (map[stash.YarnID]stash.Yarn,
	error)) (*shelf, error) {
	read, err := wovenShelf(tx)
	if err != nil {
		return nil, err
	}
	if read.Yarns, err = yarns(read); err != nil {
		return nil, err
	}
	return &shelf{Shelf: read.Taught(), recorded: read.Yarns, tx: tx,
		flags: map[stash.YarnID][]string{}}, nil
}

// learned is the count that finished pieces show of a yarn, nil where the
// recorded one stands.
func (s *shelf) learned(id stash.YarnID) *making.Loss {
	if l, ok := s.LearnedCount(id); ok {
		return &l
	}
	return nil
}

// item makes the item of a package.
func (s *shelf) item(p stash.Package) show.Item {
	y := s.Yarns[p.Yarn]
	y.Beside = p.Beside()
	it := show.Item{
		ID: p.ID, Tag: p.Label(), Yarn: y.Name, YarnID: p.Yarn, Form: stash.Known(string(p.Form)),
		DyeLot: stash.Known(p.Lot),
		Colour: stash.Known(p.Colour), Bin: stash.Known(p.Bin), Fibre: show.Shares(y),
		State: s.state(p), Weighed: stash.Known(show.DayWords(p.Weighed)),
		Pack: p, Facts: y, Amount: stash.AmountOf(p, y.YarnFacts, s.Settings, s.Claims[p.ID],
			s.tx.Now()),
		Recorded: s.recorded[p.Yarn], Learned: s.learned(p.Yarn),
	}
	if it.Learned != nil {
		it.MtexBasis = &it.Learned.Basis
	}
	if tex := y.Tex(); tex != 0 {
		it.Mtex = &tex
	}
	if it.Amount.Known {
		it.NetMg, it.AvailableMg = &it.Amount.Net, &it.Amount.Available
	}
	if it.Amount.LengthKnown && !p.Overdrawn() {
		it.LengthMm, it.LowMm, it.HighMm = &it.Amount.Length, &it.Amount.Low, &it.Amount.High
	}
	if it.State != "here" && it.State != reserved && s.promised(p) {
		it.Flags = append(it.Flags, reserved)
	}
	it.Flags = append(append(it.Flags, s.flagsOf(y)...), packageFlags(p)...)
	return it
}

// state is one word for where the package is.
func (s *shelf) state(p stash.Package) string {
	bar := stash.BarOf(p, s.Yarns[p.Yarn].YarnFacts, s.Claims[p.ID], s.tx.Now())
	switch {
	case bar != "" && bar != stash.BarPromised:
		return string(bar)
	case s.promised(p):
		return reserved
	}
	return "here"
}

// reserved marks an item of which somebody was promised some: its state, or beside a state
// that bars all of it.
const reserved = "reserved"

func (s *shelf) promised(p stash.Package) bool { return s.Claims[p.ID] > 0 || p.Reserve != nil }

func packageFlags(p stash.Package) []string {
	var flags []string
	if p.Overdrawn() {
		flags = append(flags, "overdrawn")
	}
	if p.Reweigh() {
		flags = append(flags, "weigh again")
	}
	if slices.ContainsFunc(p.Feeds, func(f stash.Feed) bool { return f.Ended }) {
		flags = append(flags, "weigh it: its piece was abandoned")
	}
	if p.Longest > 0 || p.Form == stash.FormThrums {
		flags = append(flags, "short lengths")
	}
	for _, field := range slices.Sorted(maps.Keys(p.Disputed)) {
		flags = append(flags, disputedFlag(field))
	}
	if len(p.Question) > 0 {
		flags = append(flags, "question")
	}
	if p.Newer {
		flags = append(flags, "newer version needed")
	}
	return flags
}

// disputedFlag marks a yarn or an item while machines disagree about a fact of it.
func disputedFlag(field string) string { return "disputed " + field }

// yarnFlags are the flags of a yarn's facts, and what machines disagree about.
func yarnFlags(y stash.Yarn) []string {
	flags := people.Flags(y.YarnFacts)
	for _, field := range slices.Sorted(maps.Keys(y.Disputed)) {
		flags = append(flags, disputedFlag(field))
	}
	return flags
}

// answerPackages answers with the packages as they now are: several as a
// list, one alone.
func (k *call) answerPackages(tx *sqlite.Tx, ids []stash.PackageID,
	text func(io.Writer, []show.Item)) error {
	packages := make([]stash.Package, len(ids))
	var yarns []stash.YarnID
	for i, id := range ids {
		var err error
		if packages[i], _, err = tx.Package(id); err != nil {
			return err
		}
		yarns = append(yarns, packages[i].Yarn)
	}
	s, err := shelfFor(tx, yarns...)
	if err != nil {
		return err
	}
	var items []show.Item
	for _, p := range packages {
		items = append(items, s.item(p))
	}
	return k.answer(items, func(w io.Writer) { text(w, items) })
}
