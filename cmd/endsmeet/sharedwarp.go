package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// withFlags put other projects on the warp of the one that is named.
func withFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringSliceFlag{Name: "with",
			Usage: "another `PROJECT` woven after it on the same warp; again for more"},
		&cli.StringFlag{Name: "separator",
			Usage: "`LENGTH` of warp between two of them, not counting their fringes, woven in waste yarn or left; none for a cutting line"},
	}
}

// warpOf plans the projects of one warp: the one named, with what the options say over
// it, and those of --with.
func (k *call) warpOf(tx *sqlite.Tx, b stash.Project) (making.WarpPlan, making.Shelf,
	[]stash.Project, error) {
	shelf, err := makingShelf(tx)
	if err != nil {
		return making.WarpPlan{}, shelf, nil, err
	}
	if k.IsSet("ends") || k.Bool("largest") || k.Bool("another") {
		return making.WarpPlan{}, shelf, nil,
			stash.Refuse(stash.CodeUsage,
				"give it a width and a length, or plan it on a warp of its own",
				"--ends, --largest and --another do not go together with --with")
	}
	over, err := k.projectFields(tx)
	if err != nil {
		return making.WarpPlan{}, shelf, nil, err
	}
	facts, err := b.With(over)
	if err != nil {
		return making.WarpPlan{}, shelf, nil, err
	}
	all, projects := []stash.ProjectFacts{facts}, []stash.Project{b}
	for _, name := range k.StringSlice("with") {
		other, err := tx.FindProject(name)
		if err != nil {
			return making.WarpPlan{}, shelf, nil, err
		}
		all, projects = append(all, other.ProjectFacts), append(projects, other)
	}
	var separator measure.Length
	if text := k.String("separator"); text != "" {
		if separator, err = typed(k, text, measure.ParseLength); err != nil {
			return making.WarpPlan{}, shelf, nil, fmt.Errorf("--separator: %w", err)
		}
	}
	w, err := making.PlanWarp(shelf, all, separator)
	return w, shelf, projects, projectProblem(err)
}

// planWarp plans several projects on one warp, and with --reserve a piece of each.
func (k *call) planWarp(tx *sqlite.Tx, b stash.Project) error {
	w, shelf, projects, err := k.warpOf(tx, b)
	if err != nil {
		return err
	}
	shape := show.WarpShape{Ends: w.Ends, End: w.End, Reed: w.Reed, Separator: w.Separator,
		Waste: w.Waste}
	var verdicts []verdict.Verdict
	for i, o := range w.Outcomes {
		r, err := recipientOf(tx, shelf, o.Project)
		if err != nil {
			return err
		}
		one := k.plannedShape(shelf, o, r)
		one.Verdicts = verdict.OfPlan(shelf, o, r.Whom)
		k.answerStatus(one.Verdicts)
		shape.Total += measure.Length(w.Ends*max(1, o.Project.EndStrands)) * one.WarpEnd
		shape.Pieces, shape.Whom, shape.Name = append(shape.Pieces, one), append(shape.Whom, r),
			append(shape.Name, projects[i].Name)
		verdicts = append(verdicts, one.Verdicts)
	}
	if k.Bool("reserve") {
		pieces, err := k.newPieces(tx, w, projects, verdicts)
		if err != nil {
			return err
		}
		for i, p := range pieces {
			m := stash.Making{Project: projects[i].ID, Name: p.Name, Plan: p.Plan}
			if err := k.recordMaking(tx, stash.Draft{Kind: stash.KindPlan, Of: stash.Subject(p.ID),
				Body: m}, verdicts[i], shape.Whom[i].Whom); err != nil {
				return err
			}
			shape.Pieces[i].Piece = &p.Name
		}
	}
	return k.answer(shape, func(out io.Writer) { show.PrintWarp(out, shape, k.units) })
}

// newPieces are the pieces of a warp, each let through by its own verdict or by the
// reason given.
func (k *call) newPieces(tx *sqlite.Tx, w making.WarpPlan, projects []stash.Project,
	verdicts []verdict.Verdict) ([]stash.Piece, error) {
	var out []stash.Piece
	for i, plan := range w.Records(string(tx.NewID())) {
		if err := k.refused(verdicts[i], nil); err != nil {
			return nil, fmt.Errorf("%s: %w", projects[i].Name, err)
		}
		id, name, err := newPiece(tx, projects[i])
		if err != nil {
			return nil, err
		}
		name = unlike(name, out, projects[i])
		out = append(out, stash.Piece{ID: id, Name: name, Project: projects[i].ID, Plan: plan})
	}
	return out, nil
}

// unlike counts on where a warp has several pieces of one project.
func unlike(name string, others []stash.Piece, b stash.Project) string {
	n := 0
	for _, p := range others {
		if p.Project == b.ID {
			n++
		}
	}
	if n == 0 {
		return name
	}
	var first int
	_, _ = fmt.Sscanf(strings.TrimPrefix(name, b.Name+" "), "%d", &first)
	return fmt.Sprintf("%s %d", b.Name, first+n)
}

// startWarp puts a piece of each project of a warp on the loom, all or none.
func (k *call) startWarp(tx *sqlite.Tx, b stash.Project, at time.Time) error {
	w, shelf, projects, err := k.warpOf(tx, b)
	if err != nil {
		return err
	}
	var verdicts []verdict.Verdict
	for _, o := range w.Outcomes {
		whom, err := whomFor(tx, o.Project.For)
		if err != nil {
			return err
		}
		verdicts = append(verdicts, verdict.OfPlan(shelf, o, whom))
	}
	pieces, err := k.newPieces(tx, w, projects, verdicts)
	if err != nil {
		return err
	}
	return k.startAll(tx, pieces, verdicts, at)
}

// startPlanned puts all pieces of the warp of a planned piece on the loom.
func (k *call) startPlanned(tx *sqlite.Tx, piece stash.Piece, at time.Time) error {
	open, err := tx.Pieces(true)
	if err != nil {
		return err
	}
	pieces := []stash.Piece{piece}
	for _, p := range open {
		if p.SharesWarp(piece) && p.State == stash.Planned {
			pieces = append(pieces, p)
		}
	}
	slices.SortFunc(pieces, func(a, b stash.Piece) int { return a.Plan.Place() - b.Plan.Place() })
	shelf, err := makingShelf(tx)
	if err != nil {
		return err
	}
	var verdicts []verdict.Verdict
	for _, p := range pieces {
		whom, err := whomOf(tx, p)
		if err != nil {
			return err
		}
		v, err := verdict.OfPlanned(shelf, p, whom)
		if err != nil {
			return projectProblem(err)
		}
		verdicts = append(verdicts, v)
	}
	return k.startAll(tx, pieces, verdicts, at)
}

// startAll records the start of the pieces of a warp.
func (k *call) startAll(tx *sqlite.Tx, pieces []stash.Piece, verdicts []verdict.Verdict,
	at time.Time) error {
	var shapes []show.Started
	var whom []show.Recipient
	for i, p := range pieces {
		shelf, err := makingShelf(tx) // anew, since the one before has moved the warp's yarn
		if err != nil {
			return err
		}
		r, err := k.putOnLoom(tx, shelf, p, verdicts[i], at)
		if err != nil {
			return fmt.Errorf("%s: %w", p.Name, err)
		}
		shape, err := k.startedShape(tx, p.ID, r, verdicts[i])
		if err != nil {
			return err
		}
		shapes, whom = append(shapes, shape), append(whom, r)
	}
	warp := pieces[0].Plan.Shared
	return k.answer(shapes, func(w io.Writer) {
		fmt.Fprintf(w, "%d pieces are on the loom, on one warp.\n", len(shapes))
		show.Fact(w, "Wind", fmt.Sprintf("%d ends of %s, %s in the reed", warp.Ends,
			warp.End.Planned(k.units), warp.Reed.Planned(k.units)))
		for i, s := range shapes {
			fmt.Fprintf(w, "\n%s\n", stash.Clean(s.Piece))
			show.PrintWholeVerdict(w, s.Verdicts)
			show.Fact(w, "Weave",
				fmt.Sprintf("until the tape, under tension, reads %s from its own beginning%s",
					s.Plan.Tape.Planned(k.units),
					show.EachOf(s.Plan.Spec.Pieces, s.Plan.Tape, k.units)))
			s.PrintTaken(w, k.units)
			show.Fact(w, "Gives", show.ClothSize(s.Plan.Width, s.Plan.Length, k.units)+" finished")
			show.PrintCautions(w, whom[i], s.Verdicts)
		}
		fmt.Fprintln(w, "\nFinish each by itself: "+stash.Command("finish --weighed ITEM=WEIGHT",
			stash.Clean(shapes[0].Piece)))
	})
}

// onTheWarp are the other pieces of a warp that are on the loom.
func onTheWarp(tx *sqlite.Tx, piece stash.Piece) ([]stash.Piece, error) {
	open, err := tx.Pieces(true)
	return slices.DeleteFunc(open, func(p stash.Piece) bool {
		return !p.SharesWarp(piece) || p.State != stash.OnLoom
	}), err
}

// ofSharedWarp turns what was measured of a whole warp into the part of one of its pieces.
// What is left over is known when the last of them is off.
func (k *call) ofSharedWarp(tx *sqlite.Tx, piece stash.Piece, m *stash.Measures) error {
	if piece.Plan == nil || piece.Plan.Shared == nil {
		return nil
	}
	m.Wound = piece.Plan.OfPart(m.Wound)
	if m.Waste == 0 && m.WasteTaut == 0 {
		return nil
	}
	others, err := onTheWarp(tx, piece)
	if err != nil {
		return err
	}
	if len(others) > 0 {
		return stash.Refuse(stash.CodeInput,
			"leave it out now, and give it when the last piece of the warp is finished",
			"what is left of the warp is not known while %s is on it", others[0].Name)
	}
	m.Waste, m.WasteTaut = piece.Plan.OfPart(m.Waste), piece.Plan.OfPart(m.WasteTaut)
	return nil
}

// stillOnWarp is what the warp of a piece still gives; nil where it is off the loom.
func stillOnWarp(tx *sqlite.Tx, s making.Shelf, piece stash.Piece) (*making.OnWarp, error) {
	others, err := onTheWarp(tx, piece)
	if err != nil {
		return nil, err
	}
	on, err := s.StillOnWarp(append(others, piece))
	if err == nil && on != nil && on.After == piece.Name {
		on.Pieces, err = oneMore(tx, s, piece, on.Sure)
	}
	return on, err
}
