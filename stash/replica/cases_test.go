package replica

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/sqlite"
)

// The cases of two records on two machines (common practice, no source: copies of a list
// that conflict, and the habits of paper).

func at(clock string) time.Time {
	t, err := time.Parse("2006-01-02 15:04", "2026-03-10 "+clock)
	if err != nil {
		panic(err)
	}
	return t
}

// later moves the clocks of machines to the evening of 10 March.
func later(machines ...*machine) {
	for _, m := range machines {
		m.clock.at = at("21:00")
	}
}

func TestBothDebitsCount(t *testing.T) {
	a, b, cone := pair(t)
	a.use(cone, 80, time.Time{})
	b.use(cone, 50, time.Time{})
	meet(a, b)
	a.holds(cone, 270)
	b.holds(cone, 270)
	same(t, a, b)
}

func TestWhatBothMachinesUndoIsUndoneOnce(t *testing.T) {
	a, b, cone := pair(t)
	a.use(cone, 50, time.Time{})
	meet(a, b)
	for _, m := range []*machine{a, b} {
		m.act(func(tx *sqlite.Tx) error {
			past, err := tx.History(stash.Subject(cone))
			if err != nil {
				return err
			}
			for _, p := range past {
				if p.Kind == stash.KindUse {
					_, err = tx.Record(sqlite.DraftUndo([]stash.Event{p.Event}))
				}
			}
			return err
		})
	}
	meet(a, b)
	for _, m := range []*machine{a, b} {
		m.holds(cone, 400)
		if open := m.open1(); len(open) > 0 {
			t.Errorf("%s asks %+v", m.name, open)
		}
	}
	same(t, a, b)
}

func TestAWeighingSumsUpWhatWasUsedBeforeIt(t *testing.T) {
	a, b, cone := pair(t)
	later(a, b)
	a.weigh(cone, 285, at("18:00"))
	b.use(cone, 40, at("17:00"))
	meet(a, b)
	a.holds(cone, 285)
	if !a.pack(cone).Reweigh() || !b.asks("reweigh", stash.Subject(cone)) {
		t.Error("a weighing and a use of one day that did not know of each other ask for no weighing")
	}
	same(t, a, b)
}

func TestAUseAfterAWeighingIsTakenOff(t *testing.T) {
	a, b, cone := pair(t)
	later(a, b)
	a.weigh(cone, 285, at("18:00"))
	b.use(cone, 40, at("19:00"))
	meet(b, a)
	a.holds(cone, 245)
	b.holds(cone, 245)
	same(t, a, b)
}

// finish records that a piece came off the loom and took grams of a package.
func (m *machine) finish(piece stash.PieceID, id stash.PackageID, grams int64) stash.EventID {
	m.t.Helper()
	var event stash.EventID
	m.act(func(tx *sqlite.Tx) error {
		p, _, err := tx.Package(id)
		if err != nil {
			return err
		}
		e, err := tx.Record(stash.Draft{Kind: stash.KindFinish, Of: stash.Subject(piece),
			Replaces: p.Heads,
			Body: stash.Finish{Debits: []stash.Debit{{Package: id, Role: stash.RoleWarp,
				Mass: measure.Mass(grams) * measure.Gram}}}})
		event = e.ID()
		return err
	})
	return event
}

// plan records a planned piece that is promised grams of a package.
func (m *machine) plan(name string, id stash.PackageID, grams int64) stash.PieceID {
	m.t.Helper()
	var piece stash.Subject
	m.act(func(tx *sqlite.Tx) error {
		piece = tx.NewID()
		_, err := tx.Record(stash.Draft{Kind: stash.KindPlan, Of: piece,
			Body: stash.Making{Name: name,
				Plan: &stash.Plan{Allotments: []stash.Allotment{{Package: id,
					Mass: measure.Mass(grams) * measure.Gram}}}}})
		return err
	})
	return stash.PieceID(piece)
}

func TestAPieceFinishedTwiceIsDebitedOnce(t *testing.T) {
	a, b, cone := pair(t)
	piece := a.plan("oat towel", cone, 200)
	meet(a, b)
	first := a.finish(piece, cone, 190)
	b.clock.at = a.clock.at.Add(time.Hour)
	b.finish(piece, cone, 210)
	meet(a, b)
	a.holds(cone, 210)
	b.holds(cone, 210)
	for _, m := range []*machine{a, b} {
		if open := m.open1(); len(open) != 1 || open[0].Code != "finished_twice" ||
			len(open[0].Values) != 2 || open[0].By[0] == open[0].By[1] {
			t.Errorf("%s does not ask once, with both: %+v", m.name, open)
		}
		m.view(func(tx *sqlite.Tx) error {
			if counted := tx.Life(piece).Counted; counted != first {
				t.Errorf("%s counts the later finish", m.name)
			}
			return nil
		})
	}
	same(t, a, b)
}

func TestFibreOnOneMachineAndBinOnTheOtherBothStay(t *testing.T) {
	a, b, cone := pair(t)
	yarn := a.pack(cone).Yarn
	a.set(stash.WhatYarn, stash.Subject(yarn), fibreFields(t, "cotton 60, linen 40"))
	b.set(stash.WhatPackage, stash.Subject(cone), fields(t, "bin", "C3"))
	a.set(stash.WhatPackage, stash.Subject(cone), fields(t, "lot", "4417"))
	meet(a, b)
	p := b.pack(cone)
	if p.Bin != "C3" || p.Lot != "4417" || b.fibre(yarn) != a.fibre(yarn) ||
		!strings.Contains(b.fibre(yarn), "linen") {
		t.Errorf("an edit was lost: bin %q, lot %q, fibre %q", p.Bin, p.Lot, b.fibre(yarn))
	}
	if len(a.open1()) != 0 {
		t.Errorf("edits of different fields are asked about: %v", a.open1())
	}
	same(t, a, b)
}

func fibreFields(t *testing.T, text string) stash.Fields {
	t.Helper()
	raw, err := stash.Value(stash.WhatYarn, "fibre", text)
	if err != nil {
		t.Fatal(err)
	}
	return stash.Fields{"fibre": raw}
}

func (m *machine) yarnOf(id stash.YarnID) (y stash.Yarn) {
	m.t.Helper()
	m.view(func(tx *sqlite.Tx) (err error) {
		y, _, err = tx.Yarn(id)
		return err
	})
	return y
}

func (m *machine) fibre(id stash.YarnID) string { return m.yarnOf(id).Fibre.String() }

func TestTwoCorrectionsOfTheFibreStandUntilSettledAndTheStricterCounts(t *testing.T) {
	a, b, cone := pair(t)
	yarn := a.pack(cone).Yarn
	a.set(stash.WhatYarn, stash.Subject(yarn), fibreFields(t, "wool 20, cotton 80"))
	b.clock.at = a.clock.at.Add(time.Hour)
	b.set(stash.WhatYarn, stash.Subject(yarn), fibreFields(t, "cotton 100"))
	meet(a, b)
	for _, m := range []*machine{a, b} {
		y := m.yarnOf(yarn)
		if len(y.Disputed["fibre"]) != 2 || m.fibre(yarn) != "cotton 100" {
			t.Errorf("%s shows %q and keeps %s", m.name, m.fibre(yarn), y.Disputed["fibre"])
		}
		if !m.asks("disputed", stash.Subject(yarn)) {
			t.Errorf("%s does not ask which fibre is right", m.name)
		}
		rule, err := people.ParseRule("against wool")
		if err != nil {
			t.Fatal(err)
		}
		person := stash.Person{PersonFacts: stash.PersonFacts{Rules: []stash.Rule{rule}}}
		if got := people.Suits(person, y); got.Answer != stash.Against {
			t.Errorf("%s: whoever must not have wool gets %v", m.name, got.Answer)
		}
	}
	// A set that has seen both settles it, whatever anybody's clock says.
	a.clock.at = a.clock.at.Add(-365 * 24 * time.Hour)
	a.set(stash.WhatYarn, stash.Subject(yarn), fibreFields(t, "wool 20, cotton 80"))
	meet(a, b)
	if y := b.yarnOf(yarn); len(y.Disputed) != 0 || !strings.Contains(b.fibre(yarn), "wool") {
		t.Errorf("after settling: %q, disputed %v", b.fibre(yarn), y.Disputed)
	}
	same(t, a, b)
}

func TestARetiredPackageThatWasUsedElsewhereKeepsBothAndAsks(t *testing.T) {
	a, b, cone := pair(t)
	a.move(cone, time.Time{}, stash.Package.Retire, stash.Move{Leftover: stash.LeftoverDiscarded})
	b.clock.at = a.clock.at.Add(time.Hour)
	b.use(cone, 30, time.Time{})
	meet(a, b)
	for _, m := range []*machine{a, b} {
		if p := m.pack(cone); !p.Retired || p.Used != 30*measure.Gram {
			t.Errorf("on %s retired %v, used %d mg", m.name, p.Retired, p.Used)
		}
		if !m.asks("question", stash.Subject(cone)) {
			t.Errorf("%s does not ask about the use of a retired package", m.name)
		}
		if open := m.open1(); len(open) != 1 || strings.Contains(open[0].Settle, "weigh") {
			t.Errorf("%s asks more than once, or says what is refused: %+v", m.name, open)
		}
	}
	same(t, a, b)
}

func TestAPackageRenamedOnOneMachineAndUsedOnTheOtherIsOnePackage(t *testing.T) {
	a, b, cone := pair(t)
	a.set(stash.WhatPackage, stash.Subject(cone), fields(t, "tag", "OAT-1"))
	b.use(cone, 150, time.Time{})
	meet(a, b)
	for _, m := range []*machine{a, b} {
		m.holds(cone, 250)
		if tag := m.pack(cone).Tag; tag != "OAT-1" || len(m.open1()) != 0 {
			t.Errorf("on %s its tag is %q, and %v asks", m.name, tag, m.open1())
		}
	}
	same(t, a, b)
}

func TestAUseOfAConeThatWasSplitElsewhereStaysOnTheCone(t *testing.T) {
	a, b, cone := pair(t)
	var ball stash.Subject
	a.act(func(tx *sqlite.Tx) error {
		p, _, err := tx.Package(cone)
		if err != nil {
			return err
		}
		ball = tx.NewID()
		d, err := p.Wind(stash.Move{Mass: 300 * measure.Gram, At: tx.Now()}, stash.PackageID(ball),
			fields(t, "yarn", string(p.Yarn), "tag", "Y01-2"))
		if err != nil {
			return err
		}
		_, err = tx.Record(d)
		return err
	})
	b.use(cone, 150, time.Time{})
	meet(a, b)
	a.holds(cone, -50)
	a.holds(stash.PackageID(ball), 300)
	for _, m := range []*machine{a, b} {
		if !m.asks("overdrawn", stash.Subject(cone)) {
			t.Errorf("%s does not ask to weigh the cone that was split", m.name)
		}
	}
	same(t, a, b)
}

func TestOrderIsByCauseAndNotByWrongClocks(t *testing.T) {
	for _, off := range []time.Duration{-time.Hour, time.Hour, -365 * 24 * time.Hour,
		365 * 24 * time.Hour} {
		t.Run(off.String(), func(t *testing.T) {
			a, b, cone := pair(t)
			b.clock.at = b.clock.at.Add(off)
			b.set(stash.WhatPackage, stash.Subject(cone), fields(t, "bin", "B1"))
			report := exchange.Report{}
			for range 2 {
				b.sync()
				if r := a.sync(); r.Received > 0 {
					report = r
				}
			}
			a.set(stash.WhatPackage, stash.Subject(cone), fields(t, "bin", "A9")) // having seen B1
			for range 2 {
				a.sync()
				b.sync()
			}
			for _, m := range []*machine{a, b} {
				if p := m.pack(cone); p.Bin != "A9" || len(p.Disputed) > 0 {
					t.Errorf("%s shows bin %q, disputed %v: the later by cause is A9", m.name,
						p.Bin, p.Disputed)
				}
			}
			if flagged := report.Ahead[a.v1(b)] > 0; flagged != (off > 0) {
				t.Errorf("a clock off by %v: flagged %v", off, report.Ahead)
			}
			same(t, a, b)
		})
	}
}

// v1 is what a machine calls another.
func (m *machine) v1(other *machine) (name string) {
	m.t.Helper()
	signers, err := other.store.Signers()
	m.must(err)
	m.view(func(tx *sqlite.Tx) error {
		v, _, err := exchange.LoadMembership(tx)
		name = v.Label(signers[0].Lane)
		return err
	})
	return name
}

func TestABalanceBelowZeroIsShownAndAsksForAWeighing(t *testing.T) {
	a, b, cone := pair(t)
	a.use(cone, 250, time.Time{})
	b.use(cone, 250, time.Time{})
	meet(a, b)
	a.holds(cone, -100)
	for _, m := range []*machine{a, b} {
		if !m.asks("overdrawn", stash.Subject(cone)) {
			t.Errorf("%s does not ask for a weighing", m.name)
		}
	}
	same(t, a, b)
}

func TestTheSameNewYarnOnBothIsSuggestedAsOneAndNeverMerged(t *testing.T) {
	a, b, _ := pair(t)
	first := a.receive(a.yarn("Pippenfold wool"), "P1", 100)
	second := b.receive(b.yarn("pippenfold  Wool"), "P1b", 100)
	meet(a, b)
	for _, m := range []*machine{a, b} {
		m.holds(first, 100)
		m.holds(second, 100)
		codes := []string{}
		for _, o := range m.open1() {
			codes = append(codes, o.Code)
		}
		if !slices.Contains(codes, "duplicate") {
			t.Errorf("%s does not suggest that the two are one: %v", m.name, codes)
		}
	}
	same(t, a, b)
}

// Balls of one receipt are alike too, whoever moved them last; a note says that
// two of different machines are two.
func TestBallsOfOneReceiptAreNotTakenForOne(t *testing.T) {
	a, b, _ := pair(t)
	wool := a.yarn("Pippenfold wool")
	first := a.receive(wool, "P1", 100)
	a.receive(wool, "P2", 100)
	meet(a, b)
	b.use(first, 5, time.Time{})
	meet(a, b)
	for _, m := range []*machine{a, b} {
		for _, o := range m.open1() {
			if o.Code == "duplicate" {
				t.Errorf("%s: %+v", m.name, o)
			}
		}
	}
	same(t, a, b)
}

func TestTwoPiecesPromisedTheSameYarnAreShown(t *testing.T) {
	a, b, cone := pair(t)
	a.plan("oat towel", cone, 300)
	b.plan("slate towel", cone, 200)
	meet(a, b)
	for _, m := range []*machine{a, b} {
		if !m.asks("reserved", stash.Subject(cone)) {
			t.Errorf("%s does not say that 500 g are promised of 400 g", m.name)
		}
	}
	same(t, a, b)
}

func TestRulesOfAPersonThatDisagreeAllCount(t *testing.T) {
	a, b, _ := pair(t)
	for _, m := range []*machine{a} {
		raw, _ := json.Marshal(true)
		m.set(stash.WhatSettings, stash.SettingsSubject, stash.Fields{"people.sync": raw})
	}
	var person stash.Subject
	a.act(func(tx *sqlite.Tx) error {
		person = tx.NewID()
		_, err := tx.Record(stash.Draft{Kind: stash.KindPerson, Of: person, Private: true,
			Body: stash.Set{What: stash.WhatPerson, Fields: fields(t, "name", "Mirte")}})
		return err
	})
	meet(a, b)
	rules := func(text string) stash.Fields {
		rule, err := people.ParseRule(text)
		if err != nil {
			t.Fatal(err)
		}
		raw, err := json.Marshal([]stash.Rule{rule})
		if err != nil {
			t.Fatal(err)
		}
		return stash.Fields{"rules": raw}
	}
	a.set(stash.WhatPerson, person, rules("against wool"))
	b.set(stash.WhatPerson, person, rules("against nylon"))
	meet(a, b)
	for _, m := range []*machine{a, b} {
		m.view(func(tx *sqlite.Tx) error {
			p, _, err := tx.Person(stash.PersonID(person))
			if len(p.Rules) != 2 {
				t.Errorf("%s reads %d of the two rules", m.name, len(p.Rules))
			}
			return err
		})
	}
	same(t, a, b)
}
