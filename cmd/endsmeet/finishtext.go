package main

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/learn"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// earlierDebits are those of a piece, in the order of the shelf.
func earlierDebits(before making.Shelf, piece stash.PieceID) []earlierDebit {
	out := []earlierDebit{}
	for _, p := range before.Packages {
		if mass := p.UsedIn[piece]; mass > 0 {
			out = append(out, earlierDebit{p.ID, p.Label(), mass})
		}
	}
	return out
}

// printFinished answers within a screen; with sums it goes on with all that was
// planned against what came out.
func printFinished(w io.Writer, f finished, r recipient, units measure.System, sums, bars bool) {
	fmt.Fprintf(w, "%s is finished.\n", stash.Clean(f.Piece))
	printWorse(w, f.Verdicts)
	fmt.Fprintln(w)
	fact(w, "Used", usedWords(f, units))
	for _, e := range f.Earlier {
		fact(w, "Before", fmt.Sprintf("%s of %s had gone in before, weighed or used while it was on the loom", e.Mass.Format(units), e.Tag))
	}
	for i, it := range f.after {
		fact(w, []string{"Left", ""}[min(i, 1)], it.line(units))
	}
	if len(f.Asked) == 0 {
		printLearned(w, f, units)
	}
	for _, l := range f.NotLearned {
		fact(w, "Not", fmt.Sprintf("learned from: %s, since %s",
			strings.ReplaceAll(l.Name, "_", " "), l.Why))
	}
	if sums && len(f.Compared) > 0 {
		fmt.Fprintln(w)
		printCompared(w, f.Compared, units, bars)
	}
	printAsked(w, f)
	printCautions(w, r, f.Verdicts)
	fmt.Fprintln(w, "\nAnother? "+stash.Command("another", stash.Clean(f.Piece)))
	if !sums && len(f.Compared) > 0 {
		fmt.Fprintln(w, "Planned against measured: "+stash.Command("show --sums", stash.Clean(f.Piece)))
	}
}

// usedWords says what each package gave and how that is known.
func usedWords(f finished, units measure.System) string {
	var parts []string
	for _, d := range f.Debits {
		if d.Mass == 0 && len(f.Earlier) > 0 {
			continue // it went in before
		}
		how := "computed: weigh it"
		if d.Measured {
			how = "weighed"
		}
		parts = append(parts, fmt.Sprintf("%s %s %s as %s", d.Tag, d.Mass.Format(units), how,
			d.Role))
	}
	if len(parts) == 0 {
		return "nothing: no yarn is planned for it or was weighed"
	}
	return strings.Join(parts, "; ")
}

// printLearned tells what came out otherwise than planned and why, the losses
// that the next piece is planned with.
func printLearned(w io.Writer, f finished, units measure.System) {
	told := 0
	for _, row := range f.Compared {
		learned := row.Unit == learn.PerMillion || row.Unit == learn.Millitex
		if row.Reason == "as planned" || !learned || told == mostLearned {
			continue
		}
		planned, actual := row.Words(units)
		fact(w, []string{"Learned", ""}[min(told, 1)],
			fmt.Sprintf("%s %s, not %s: %s", strings.ReplaceAll(row.Name, "_", " "), actual,
				planned, row.Reason))
		told++
	}
}

// finished is the JSON shape of a finish.
type finished struct {
	Piece  string        `json:"piece"`
	ID     stash.PieceID `json:"id"`
	Debits []stashDebit  `json:"debits"`
	// Earlier is what had gone in before the finish.
	Earlier  []earlierDebit `json:"earlier"`
	Compared []learn.Row    `json:"planned_vs_actual"`
	// NotLearned are the measures that cannot be true.
	NotLearned []learn.LeftOut `json:"not_learned"`
	// Asked are the measures that jump against what was learned: nothing is learned from
	// the piece until the weaver says.
	Asked    []learn.LeftOut `json:"asked"`
	Thrums   []stashThrums   `json:"thrums"`
	Cautions []caution       `json:"cautions"`
	Verdicts verdict.Verdict `json:"verdicts"`

	after []item
}

type stashDebit struct {
	ID       stash.PackageID `json:"id"`
	Tag      string          `json:"tag"`
	Role     stash.Role      `json:"role"`
	Mass     measure.Mass    `json:"mass_mg"`
	Length   *measure.Length `json:"length_mm"`
	Measured bool            `json:"measured"`
}

// earlierDebit is what a package had given to the piece before it was finished.
type earlierDebit struct {
	ID   stash.PackageID `json:"id"`
	Tag  string          `json:"tag"`
	Mass measure.Mass    `json:"mass_mg"`
}

type stashThrums struct {
	ID   stash.PackageID `json:"id"`
	Mass measure.Mass    `json:"mass_mg"`
}

func (k *call) answerFinished(tx *sqlite.Tx, before making.Shelf, piece stash.Piece, f stash.Finish,
	r recipient) error {
	s, err := newShelf(tx)
	if err != nil {
		return err
	}
	shape := finished{Piece: piece.Name, ID: piece.ID, Debits: []stashDebit{},
		Thrums: []stashThrums{}, Cautions: r.cautionsJSON()}
	seen := map[stash.PackageID]bool{}
	for _, d := range f.Debited() {
		p, _, err := tx.Package(d.Package)
		if err != nil {
			return err
		}
		length := &d.Length
		if !before.HasCount(d.Package) {
			length = nil
		}
		shape.Debits = append(shape.Debits, stashDebit{d.Package, p.Label(), d.Role, d.Mass, length,
			d.Measured})
		if !seen[p.ID] {
			seen[p.ID] = true
			shape.after = append(shape.after, s.item(p))
		}
	}
	for _, t := range f.Thrums {
		p, _, err := tx.Package(t.Package)
		if err != nil {
			return err
		}
		shape.Thrums = append(shape.Thrums, stashThrums{t.Package, t.Mass})
		shape.after = append(shape.after, s.item(p))
	}
	shape.Earlier = earlierDebits(before, piece.ID)
	shape.Compared, shape.NotLearned = before.Compare(piece, f, usedIn(before, piece.ID)), before.Unbelieved(piece, f)
	shape.Asked = before.Jumps(piece, f)
	if shape.Verdicts, err = wovenVerdict(tx, piece.ID); err != nil {
		return err
	}
	return k.answer(shape, func(w io.Writer) {
		printFinished(w, shape, r, k.units, k.Bool("sums"),
			k.drawn())
	})
}
