package main

import (
	"errors"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/making"
	"endsmeet/planner/next"
	"endsmeet/planner/share"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func upNextCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "next", Category: groupMaking,
		Usage: "See which of your projects to take up next.",
		Description: "Every project of which no piece is finished: what is on the loom, what is promised within two months, what\n" +
			"the yarn allows now, those first that use up yarn nobody has touched for three years, and what cannot be made, and why.\n" +
			"Each is looked at by itself; `endsmeet share` says which can be made together.",
		Action: action(e, 0, 0, nextUp),
	}
}

func nextUp(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		open, err := openProjects(tx)
		if err != nil {
			return err
		}
		var projects []stash.ProjectFacts
		for _, o := range open {
			projects = append(projects, o.Project.ProjectFacts)
		}
		s, err := projectsShelf(tx, projects)
		if err != nil {
			return err
		}
		for i := range open {
			if err := k.lookInto(tx, s, &open[i]); err != nil {
				return err
			}
		}
		var shapes []show.NextShape
		for _, o := range next.Rank(s, open) {
			shapes = append(shapes, nextOf(o))
		}
		return k.answer(shapes, func(w io.Writer) { show.PrintUpNext(w, shapes, k.units) })
	})
}

// openProjects reads every project of which no piece is finished.
func openProjects(tx *sqlite.Tx) ([]next.Open, error) {
	projects, err := tx.Projects()
	if err != nil {
		return nil, err
	}
	pieces, err := tx.Pieces(false)
	if err != nil {
		return nil, err
	}
	var open []next.Open
	for _, b := range projects {
		mine := slices.DeleteFunc(slices.Clone(pieces),
			func(p stash.Piece) bool { return p.Project != b.ID || p.State == stash.Abandoned })
		if slices.ContainsFunc(mine,
			func(p stash.Piece) bool { return p.State == stash.Finished }) {
			continue
		}
		o := next.Open{Project: b}
		if len(mine) > 0 {
			o.Piece = &mine[len(mine)-1]
		}
		open = append(open, o)
	}
	return open, nil
}

// lookInto asks what becomes of a project: of the piece that is planned or on the
// loom, of the yarns it names, or where it names none of what is found for it.
func (k *call) lookInto(tx *sqlite.Tx, s making.Shelf, o *next.Open) error {
	if o.Piece != nil && o.Piece.Plan != nil {
		whom, err := whomOf(tx, *o.Piece)
		if err != nil {
			return err
		}
		plan := o.Piece.Plan
		o.Takes, o.Width, o.Length = plan.Allotments, plan.Width, plan.Length
		if o.Piece.State == stash.OnLoom {
			o.Verdict = verdict.OfWoven(s, *o.Piece, whom)
			return nil
		}
		o.Verdict, err = verdict.OfPlanned(s, *o.Piece, whom)
		o.Why, err = whyNot(err)
		return err
	}
	whom, err := whomFor(tx, o.Project.For)
	if err != nil {
		return err
	}
	if len(o.Project.Warp) > 0 && len(o.Project.Weft) > 0 {
		plan, _, err := making.PlanOpen(s, o.Project.ProjectFacts, false)
		if err != nil {
			o.Why, err = whyNot(err)
			return err
		}
		o.Plan(plan)
		o.Verdict = verdict.OfPlan(s, plan, whom)
		return nil
	}
	return k.findFor(s, o, whom)
}

// findFor finds yarn for a project that names none.
func (k *call) findFor(s making.Shelf, o *next.Open, whom verdict.Whom) error {
	plan, err := share.Allot(k.ctx, s,
		[]share.Want{{Project: o.Project, Person: whom.Person, Elsewhere: whom.Elsewhere, Priority: 1}}, share.ByCloth,
		shareNodes)
	if err != nil {
		o.Why, err = whyNot(err)
		return err
	}
	p := plan.Pieces[0]
	if !p.Made {
		o.Why = p.Why
		return nil
	}
	o.Plan(p.Outcome)
	o.Verdict = verdict.OfPlan(s, p.Outcome, whom)
	return nil
}

// whyNot is why a project cannot be planned. An error that says nothing of the project,
// such as that somebody broke it off, is passed on.
func whyNot(err error) (string, error) {
	if refusal := (*stash.Error)(nil); !errors.As(projectProblem(err), &refusal) {
		return "", err
	}
	return strings.TrimPrefix(err.Error(), "fit: "), nil
}

func nextOf(o next.Open) show.NextShape {
	n := show.NextShape{Project: o.Project.Name, State: "open", Due: stash.Known(o.Project.Due),
		Chance: o.Chance, Lain: o.Lain, Years: o.Longest, Why: stash.Known(o.Why),
		Named: len(o.Project.Warp) > 0 && len(o.Project.Weft) > 0}
	if o.Piece != nil {
		n.Piece, n.State = &o.Piece.Name, string(o.Piece.State)
	}
	if o.Width > 0 {
		n.Width, n.Length = &o.Width, &o.Length
	}
	if o.Why == "" {
		n.Verdicts = &o.Verdict
	}
	return n
}
