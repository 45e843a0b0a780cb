package main

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

// item is a package with its yarn and what is left of it: the JSON shape of
// `list`. Unknown is null.
type item struct {
	ID     stash.PackageID `json:"id"`
	Tag    string          `json:"tag"`
	Yarn   string          `json:"yarn"`
	YarnID stash.YarnID    `json:"yarn_id"`
	Form   *string         `json:"form"`
	DyeLot *string         `json:"dye_lot"`
	Colour *string         `json:"colour"`
	Bin    *string         `json:"bin"`
	Fibre  []fibreShare    `json:"fibre"`
	Mtex   *measure.Count  `json:"mtex"`
	// MtexBasis is what a learned count rests on, null where it is the recorded one.
	MtexBasis   *string         `json:"mtex_basis"`
	NetMg       *measure.Mass   `json:"net_mg"`
	AvailableMg *measure.Mass   `json:"available_mg"`
	LengthMm    *measure.Length `json:"length_mm"`
	LowMm       *measure.Length `json:"length_low_mm"`
	HighMm      *measure.Length `json:"length_high_mm"`
	Flags       []string        `json:"flags"`
	State       string          `json:"state"`

	pack   stash.Package
	facts  stash.Yarn
	amount stash.Amount
	// recorded is the yarn without what was learned of its count.
	recorded stash.Yarn
	learned  *making.Loss
}

// fibreShare is one fibre of a yarn; its share is null where it is not known.
type fibreShare struct {
	Name    string   `json:"name"`
	Percent *float64 `json:"percent"`
}

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
		return people.Flags(y.YarnFacts)
	}
	flags, known := s.flags[y.ID]
	if !known {
		flags = people.Flags(y.YarnFacts)
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
func (s *shelf) item(p stash.Package) item {
	y := s.Yarns[p.Yarn]
	y.Beside = p.Beside()
	it := item{
		ID: p.ID, Tag: p.Label(), Yarn: y.Name, YarnID: p.Yarn, Form: known(string(p.Form)),
		DyeLot: known(p.Lot),
		Colour: known(p.Colour), Bin: known(p.Bin), Fibre: shares(y), Flags: []string{},
		State: s.state(p),
		pack:  p, facts: y, amount: stash.AmountOf(p, y.YarnFacts, s.Settings, s.Claims[p.ID],
			s.tx.Now()),
		recorded: s.recorded[p.Yarn], learned: s.learned(p.Yarn),
	}
	if it.learned != nil {
		it.MtexBasis = &it.learned.Basis
	}
	if tex := y.Tex(); tex != 0 {
		it.Mtex = &tex
	}
	if it.amount.Known {
		it.NetMg, it.AvailableMg = &it.amount.Net, &it.amount.Available
	}
	if it.amount.LengthKnown && !p.Overdrawn() {
		it.LengthMm, it.LowMm, it.HighMm = &it.amount.Length, &it.amount.Low, &it.amount.High
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
	case s.Claims[p.ID] > 0 || p.Reserve != nil:
		return "reserved"
	}
	return "here"
}

func packageFlags(p stash.Package) []string {
	var flags []string
	if p.Overdrawn() {
		flags = append(flags, "overdrawn")
	}
	if p.Reweigh {
		flags = append(flags, "weigh again")
	}
	if p.Longest > 0 {
		flags = append(flags, "short lengths")
	}
	if len(p.Disputed) > 0 || len(p.Question) > 0 {
		flags = append(flags, "question")
	}
	if p.Newer {
		flags = append(flags, "newer version needed")
	}
	return flags
}

func known(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

func shares(y stash.Yarn) []fibreShare {
	out := []fibreShare{}
	for _, part := range y.Fibre {
		out = append(out, shareOf(part))
	}
	return out
}

// line is the item in one line.
func (it item) line(units measure.System) string {
	parts := []string{it.Tag, it.Yarn}
	if it.Colour != nil {
		parts = append(parts, *it.Colour)
	}
	return fmt.Sprintf("%s: %s", stash.Clean(strings.Join(parts, " ")), it.left(units))
}

// left says how much is left, and how sure that is.
func (it item) left(units measure.System) string {
	if !it.amount.Known {
		return "not weighed yet"
	}
	text := it.amount.Net.Format(units)
	if it.pack.Overdrawn() {
		return text + ", more was taken than it held"
	}
	if !it.amount.LengthKnown {
		return text + ", length unknown: no count recorded"
	}
	return text + ", about " + it.amount.Length.Yarn(units) + " (" + lengthSpan(it.amount, units) +
		")"
}

func lengthSpan(a stash.Amount, units measure.System) string {
	return a.Low.Yarn(units) + " to " + a.High.Yarn(units)
}

// asks lists what is not recorded of an item and would be worth recording.
func (it item) asks() []string {
	var out []string
	if len(it.Fibre) == 0 {
		out = append(out, "fibre not recorded: treated as unknown for anybody who reacts to one")
	}
	if it.Mtex == nil {
		out = append(out, "count not recorded: its length stays unknown until `set` gives one")
	}
	if !it.amount.Known {
		out = append(out, "not weighed: `"+stash.Command("weigh", it.Tag, "WEIGHT")+"`")
	}
	for _, q := range people.Questions(it.facts.YarnFacts) {
		out = append(out, stash.Clean(q))
	}
	return out
}

// answerPackages answers with the packages as they now are: several as a
// list, one alone.
func (k *call) answerPackages(tx *sqlite.Tx, ids []stash.PackageID,
	text func(io.Writer, []item)) error {
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
	var items []item
	for _, p := range packages {
		items = append(items, s.item(p))
	}
	return k.answer(items, func(w io.Writer) { text(w, items) })
}

func shareOf(p fibre.Part) fibreShare {
	share := fibreShare{Name: string(p.Fibre)}
	if p.Doubtful {
		share.Name += "?"
	}
	if p.Share > 0 {
		percent := p.Share.Float() * 100
		share.Percent = &percent
	}
	return share
}
