package main

import (
	"cmp"
	"fmt"
	"html/template"
	"maps"
	"slices"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/book"
	"endsmeet/planner/label"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/people"
)

// bookPieces are the pieces, the newest first.
func (m *bookMaker) bookPieces() ([]book.Piece, error) {
	pieces := slices.Clone(m.inOrder)
	slices.SortStableFunc(pieces, func(a, b stash.Piece) int {
		return latest(b.EndedAt, b.StartedAt, b.PlannedAt).Compare(latest(a.EndedAt, a.StartedAt,
			a.PlannedAt))
	})
	full := m.s.Shelf
	full.Packages = m.all
	m.s.Shelf = full
	var out []book.Piece
	for i, p := range pieces {
		one, err := m.piece(p, fmt.Sprint("piece-", i+1))
		if err != nil {
			return nil, err
		}
		out = append(out, one)
	}
	return out, nil
}

func (m *bookMaker) piece(p stash.Piece, anchor string) (book.Piece, error) {
	out := book.Piece{Name: stash.Clean(p.Name), State: stateOfPiece(p), Anchor: anchor,
		Photo: m.photoOf(p.Name, stash.Subject(p.ID))}
	if p.Plan == nil {
		return out, nil
	}
	out.Drawing = template.HTML(pieceCloth(m.s.Shelf, p, m.k.units).Inline(anchor + "-svg"))
	out.Facts = m.pieceFacts(p)
	if p.Finish != nil {
		for _, row := range m.s.Compare(p, *p.Finish, earlierThan(m.all, p)) {
			planned, measured := row.Words(m.k.units)
			out.Compared = append(out.Compared,
				book.Comparison{Name: strings.ReplaceAll(row.Name, "_", " "), Planned: planned,
					Measured: measured, Why: stash.Clean(row.Reason)})
		}
	}
	if !m.private || p.Plan.Spec.For == "" {
		return out, nil
	}
	person, found, err := m.tx.Person(p.Plan.Spec.For)
	if found {
		out.Facts = append(out.Facts, book.Fact{Name: "For", Text: stash.Clean(person.Name)})
	}
	return out, err
}

func stateOfPiece(p stash.Piece) string {
	day := show.DayWords(latest(p.EndedAt, p.StartedAt, p.PlannedAt))
	return strings.TrimSpace(string(p.State) + " " + day)
}

// pieceFacts are what the card of a finished piece says, or what its plan does.
// Cost and reasons are on neither.
func (m *bookMaker) pieceFacts(p stash.Piece) []book.Fact {
	var out []book.Fact
	if card, err := m.s.Card(p); err == nil {
		card.Cost, card.Overrides, card.Maker = nil, nil, ""
		card.Washing = show.AdviceFor(m.s.Shelf, p).Words()
		for _, c := range people.ContentCautions(show.PartsOfPiece(m.s.Shelf, p),
			people.FormOf(p.Plan.Spec)) {
			card.Cautions = append(card.Cautions, c.Text)
		}
		for _, l := range card.Lines(label.A6) {
			if l.Name != "Law" && l.Name != "Date" {
				out = append(out, book.Fact{Name: l.Name, Text: l.Text})
			}
		}
	} else {
		out = append(out, book.Fact{Name: "Planned",
			Text: show.ClothSize(p.Plan.Width, p.Plan.Length,
				m.k.units)})
	}
	return append(out, m.pieceYarns(p)...)
}

// pieceYarns says which yarn a piece took, or is promised.
func (m *bookMaker) pieceYarns(p stash.Piece) []book.Fact {
	took, word := map[stash.YarnID]measure.Mass{}, "Yarn"
	for _, pack := range m.all {
		took[pack.Yarn] += pack.UsedIn[p.ID]
	}
	if p.Open() {
		word = "Yarn promised"
		for _, a := range p.Plan.Promised() {
			if pack, found := m.s.Find(a.Package); found {
				took[pack.Yarn] += a.Mass
			}
		}
	}
	var parts []string
	for id, mass := range took {
		if mass > 0 {
			parts = append(parts, stash.Clean(m.s.Yarns[id].Name)+" "+mass.Format(m.k.units))
		}
	}
	if len(parts) == 0 {
		return nil
	}
	slices.Sort(parts)
	return []book.Fact{{Name: word, Text: strings.Join(parts, "; ")}}
}

// earlierThan is what the packages of a piece had given to it before it was
// finished.
func earlierThan(all []stash.Package, p stash.Piece) map[stash.PackageID]measure.Mass {
	out := map[stash.PackageID]measure.Mass{}
	for _, pack := range all {
		if mass := pack.UsedIn[p.ID]; mass != 0 {
			out[pack.ID] = mass
		}
	}
	for _, d := range p.Finish.Debits {
		out[d.Package] -= d.Mass
	}
	maps.DeleteFunc(out, func(_ stash.PackageID, mass measure.Mass) bool { return mass <= 0 })
	return out
}

// people are those who are recorded, with their rules and what is for them.
func (m *bookMaker) people() ([]book.Person, error) {
	all, err := m.tx.People()
	var out []book.Person
	for _, p := range all {
		if p.Name == "" || p.Gone {
			continue
		}
		one := book.Person{Name: stash.Clean(p.Name)}
		for _, r := range p.Rules {
			one.Rules = append(one.Rules, stash.Degrees(stash.Clean(people.Words(r))))
		}
		for _, piece := range m.inOrder {
			if piece.Plan != nil && piece.Plan.Spec.For == p.ID {
				one.For = append(one.For, stash.Clean(piece.Name))
			}
		}
		out = append(out, one)
	}
	slices.SortFunc(out, func(a, b book.Person) int { return cmp.Compare(a.Name, b.Name) })
	return out, err
}
