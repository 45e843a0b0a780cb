package due

import (
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

var now = time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)

func TestWhatFallsDueAndWhen(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*stash.Package, *stash.Yarn)
		kind   Kind
		day    string
	}{
		"a quarantine ends": {func(p *stash.Package, _ *stash.Yarn) {
			p.Quarantine = &stash.Quarantine{Since: "2026-02-01", Until: "2026-03-10"}
		}, Quarantine, "2026-03-10"},
		"one without an end is asked about": {func(p *stash.Package, _ *stash.Yarn) {
			p.Quarantine = &stash.Quarantine{Since: "2026-02-05"}
		}, Quarantine, "2026-03-23"},
		"one for another reason lasts four weeks": {func(p *stash.Package, _ *stash.Yarn) {
			p.Quarantine = &stash.Quarantine{Since: "2026-02-05", Reason: "mould"}
		}, Quarantine, "2026-03-05"},
		"what came out of the freezer is watched from then on": {
			func(p *stash.Package, _ *stash.Yarn) {
				p.Quarantine, p.Frozen = &stash.Quarantine{Since: "2026-01-05"}, "2026-02-25"
			}, Quarantine, "2026-03-28"},
		"and beyond the day that was set": {func(p *stash.Package, _ *stash.Yarn) {
			p.Quarantine = &stash.Quarantine{Since: "2026-01-05", Until: "2026-03-10"}
			p.Frozen = "2026-02-25"
		}, Quarantine, "2026-03-28"},
		"a loan has its day": {func(p *stash.Package, _ *stash.Yarn) {
			p.LentTo, p.LentAt, p.LentUntil = "Ada", now, "2026-03-20"
		}, Loan, "2026-03-20"},
		"a loan that never ends is asked about": {func(p *stash.Package, _ *stash.Yarn) {
			p.LentTo, p.LentAt = "Ada", now.AddDate(0, 0, -80)
		}, Loan, "2026-03-11"},
		"rubber turns ten": {func(p *stash.Package, y *stash.Yarn) {
			p.Acquired, y.Hazards = "2016-03-15", []string{"latex"}
		}, Rubber, "2026-03-15"},
		"a weight goes stale": {func(p *stash.Package, _ *stash.Yarn) {
			p.Weighed = now.AddDate(-2, 0, 0)
		}, Reading, "2026-03-01"},
		"wool is looked through once a year": {func(p *stash.Package, y *stash.Yarn) {
			y.Fibre, _ = fibre.ParseContent("wool")
			p.Arrived = now.AddDate(-2, 0, 0)
		}, Look, "2026-03-01"},
		"wool that was frozen lately is not": {func(p *stash.Package, y *stash.Yarn) {
			y.Fibre, _ = fibre.ParseContent("wool")
			p.Arrived, p.Frozen = now.AddDate(-2, 0, 0), "2025-12"
		}, "", ""},
		"what is marked perished is to go": {func(p *stash.Package, y *stash.Yarn) {
			p.Acquired, y.Hazards = "2016-03-15", []string{"latex", "perished"}
		}, Perished, "2026-03-01"},
		"a weight of no known day is named": {func(p *stash.Package, _ *stash.Yarn) {
			p.Weighed = time.Time{}
		}, Reading, "2026-03-01"},
		"wool that was bought long before it was recorded is looked through": {
			func(p *stash.Package, y *stash.Yarn) {
				y.Fibre, _ = fibre.ParseContent("wool")
				p.Acquired = "2023-05"
			}, Look, "2026-03-01"},
		"nothing": {func(*stash.Package, *stash.Yarn) {}, "", ""},
		"what is retired is no matter": {func(p *stash.Package, _ *stash.Yarn) {
			p.Retired, p.Quarantine = true,
				&stash.Quarantine{Since: "2026-02-01", Until: "2026-03-10"}
		}, "", ""},
	} {
		t.Run(name, func(t *testing.T) {
			y := stash.Yarn{ID: "y"}
			p := stash.Package{ID: "p"}
			p.Yarn, p.Tag, p.Known, p.Held, p.Weighed, p.Arrived = "y", "P", true, measure.Gram,
				now, now
			c.change(&p, &y)
			s := Shelf{Yarns: map[stash.YarnID]stash.Yarn{"y": y}, StaleDays: 400, Now: now,
				Last: now.AddDate(0, 0, 30)}
			s.Add(p)
			all := s.Items()
			if c.kind == "" && len(all) == 0 {
				return
			}
			if len(all) != 1 || all[0].Kind != c.kind || all[0].Day.Format(time.DateOnly) != c.day {
				t.Errorf("%+v", all)
			}
		})
	}
}

func TestAPromiseIsKeptWhenAPieceIsFinished(t *testing.T) {
	b := stash.Project{ID: "b"}
	b.Name, b.Due = "scarf", "2026-03-10"
	on := func(days int, finished ...stash.ProjectID) []Item {
		s := Shelf{Projects: []stash.Project{b}, Now: now, Last: now.AddDate(0, 0, days),
			Finished: map[stash.ProjectID]bool{}}
		for _, id := range finished {
			s.Finished[id] = true
		}
		return s.Items()
	}
	if all := on(30); len(all) != 1 || all[0].Kind != Promised {
		t.Errorf("%+v", all)
	}
	if all := on(3); len(all) != 0 {
		t.Errorf("too early: %+v", all)
	}
	if all := on(30, "b"); len(all) != 0 {
		t.Errorf("%+v", all)
	}
}
