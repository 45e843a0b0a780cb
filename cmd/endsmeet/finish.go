package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func finishCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "finish", Category: groupMaking, ArgsUsage: "PIECE",
		Usage: "Record a piece that came off the loom: the yarn it used, its size, its thrums.",
		Description: "Weigh what you used from: the weight tells how much went into the piece. What you do not\n" +
			"weigh is computed from the plan, and marked so. Everything is recorded together or not at all. Then\n" +
			"`endsmeet another PIECE` says whether the leftover makes one more.",
		Flags: recorded(append(measureFlags(),
			&cli.StringSliceFlag{Name: "weighed",
				Usage: "`ITEM=WEIGHT` as the scale shows it now, with the cone, such as Y01=335g; again for more"},
			&cli.StringFlag{Name: "scale", Usage: "the smallest `WEIGHT` the scale shows, such as 1g"},
			&cli.StringSliceFlag{Name: "thrums",
				Usage: "`WEIGHT` of the thrums kept, or ITEM=WEIGHT or COLOUR=WEIGHT if the warp has several"},
			&cli.StringFlag{Name: "cloth", Usage: "`WEIGHT` of the finished piece"},
			&cli.StringFlag{Name: "hours",
				Usage: "the `HOURS` it took to make, such as 6.5 or 6:30"},
			&cli.StringFlag{Name: "hems",
				Usage: "whether --length was read with the hems turned in: `YES/NO`"},
			&cli.BoolFlag{Name: "unusual", Usage: "do not learn from this piece"},
			&cli.StringFlag{Name: "learn",
				Usage: "whether to learn from this piece, however odd it seems; also later: `YES/NO`"},
			&cli.BoolFlag{Name: "force", Usage: "record measures that seem impossible"},
			&cli.StringFlag{Name: "abandon",
				Usage: "cut the piece off unfinished, for this `REASON`; with --wound 0cm if nothing was wound yet"},
			noteFlag(), sumsFlag(), barsFlag())...),
		Action: action(e, 1, 1, finish),
	}
}

func measureFlags() []cli.Flag {
	var flags []cli.Flag
	for _, f := range measureFields(&stash.Measures{}) {
		flags = append(flags, &cli.StringFlag{Name: f.name, Usage: f.usage})
	}
	return append(flags, &cli.IntFlag{Name: "ends", Usage: "how many ends are in the warp: `N`"},
		&cli.IntFlag{Name: "picks", Usage: "how many picks are in one piece: `N`"})
}

func finish(k *call) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	return k.act(func(tx *sqlite.Tx) error {
		piece, err := tx.FindPiece(k.Args().First())
		if err != nil {
			return err
		}
		if k.IsSet("learn") && piece.State == stash.Finished {
			return k.learnLater(tx, piece)
		}
		reason := k.String("abandon")
		if err := finishable(piece, reason != ""); err != nil {
			return err
		}
		shelf, err := makingShelf(tx)
		if err != nil {
			return err
		}
		at := k.afterKnown(tx, at, piece.StartedAt, packagesOf(shelf, piece.Plan.Packages())...)
		if at.Before(piece.StartedAt) {
			return stash.Refuse(stash.CodeInput, "give a later --on",
				"%s went on the loom on %s, after that", piece.Name,
				piece.StartedAt.Format("2006-01-02 15:04"))
		}
		if reason != "" {
			return k.abandon(tx, shelf, piece, reason, at)
		}
		return k.finish(tx, shelf, piece, at)
	})
}

// finishable refuses what is finished already, pointing at undo. A piece that
// is only planned can be abandoned.
func finishable(p stash.Piece, givenUp bool) error {
	switch p.State {
	case stash.Finished:
		hint := "to correct it, undo that first"
		if p.FinishEvent != nil {
			hint += ": `endsmeet undo " + p.FinishEvent.String()[:8] + "`"
		}
		return stash.Refuse(stash.CodeRefused, hint, "%s was finished on %s", p.Name,
			p.EndedAt.Format("2006-01-02 15:04"))
	case stash.Abandoned:
		return stash.Refuse(stash.CodeRefused, "start another, or undo that",
			"%s was abandoned on %s", p.Name, p.EndedAt.Format("2006-01-02"))
	case stash.Planned:
		if givenUp {
			return nil
		}
		return stash.Refuse(stash.CodeRefused, "`endsmeet start` it first",
			"%s is planned and not yet on the loom", p.Name)
	}
	return nil
}

func (k *call) finish(tx *sqlite.Tx, shelf making.Shelf, piece stash.Piece, at time.Time) error {
	in, err := k.finishInput(tx, piece, at)
	if err == nil {
		err = k.unweighed(piece, in)
	}
	if err != nil {
		return err
	}
	f, err := shelf.Finish(piece, in)
	if err != nil {
		return err
	}
	used := packagesOf(shelf, f.Packages())
	if err := cmp.Or(thereBy(at, used), k.settled(at, used...)); err != nil {
		return err
	}
	if err := k.tellUnwoven(tx, shelf, piece, in.Measures); err != nil {
		return err
	}
	replaces := headsOf(shelf, f.Packages())
	d := stash.Draft{Kind: stash.KindFinish, Of: stash.Subject(piece.ID), At: at,
		Replaces: replaces, Body: f}
	if _, err := tx.Record(d); err != nil {
		return err
	}
	r, err := recipientOfPiece(tx, shelf, piece)
	if err != nil {
		return err
	}
	return k.answerFinished(tx, shelf, piece, f, r)
}

// headsOf are the last movements of the packages that an event of a piece moves.
func headsOf(s making.Shelf, ids []stash.PackageID) []stash.EventID {
	var heads []stash.EventID
	seen := map[stash.PackageID]bool{}
	for _, id := range ids {
		if !seen[id] {
			seen[id] = true
			p, _ := s.Find(id)
			heads = append(heads, p.Heads...)
		}
	}
	return heads
}

// unweighed asks a person at the keyboard, who has the piece and the scale at hand, whether
// it is to be finished by its plan alone.
func (k *call) unweighed(piece stash.Piece, in making.FinishInput) error {
	if len(in.Weighed)+len(in.Thrums) > 0 || in.Measures != (stash.Measures{}) || in.Force ||
		k.IsSet("learn") || !k.mayAsk() {
		return nil
	}
	with := "finish --weighed ITEM=WEIGHT --length LENGTH"
	if k.IsSet("abandon") {
		with = "finish --abandon REASON --weighed ITEM=WEIGHT"
	}
	return stash.Refuse(stash.CodeInput, stash.Command(with, piece.Name),
		"Nothing was weighed or measured: the yarn would be taken off as planned.").Unless("force")
}

// takenInput reads what says which yarn a piece took: what was weighed, thrums, and the
// lengths of the names given, all of them where none is.
func (k *call) takenInput(tx *sqlite.Tx, piece stash.Piece, at time.Time,
	names ...string) (in making.FinishInput, err error) {
	in.Force = k.Bool("force")
	for _, f := range measureFields(&in.Measures) {
		if len(names) > 0 && !slices.Contains(names, f.name) {
			continue
		}
		if text := k.String(f.name); text != "" {
			if *f.into, err = typed(k, text, measure.ParseLength); err != nil {
				return in, fmt.Errorf("--%s: %w", f.name, err)
			}
		}
	}
	in.Measures.Ends, in.Measures.Picks = k.Int("ends"), k.Int("picks")
	if err = k.ofSharedWarp(tx, piece, &in.Measures); err != nil {
		return in, err
	}
	if in.Weighed, err = k.weighed(tx, at); err != nil {
		return in, err
	}
	in.Thrums, err = k.thrumsInput(tx)
	return in, err
}

func (k *call) finishInput(tx *sqlite.Tx, piece stash.Piece,
	at time.Time) (making.FinishInput, error) {
	in, err := k.takenInput(tx, piece, at)
	if err != nil {
		return in, err
	}
	in.Unusual, in.Note = k.Bool("unusual"), stash.Clean(k.String("note"))
	if in.Measures.Minutes, err = minutes(k.String("hours")); err != nil {
		return in, err
	}
	if in.Measures.HemsOpen, err = k.hemsOpen(piece, in.Measures); err != nil {
		return in, err
	}
	if k.IsSet("learn") {
		yes, err := k.yesNo("learn")
		if err != nil {
			return in, err
		}
		in.Believed, in.Unusual = yes, in.Unusual || !yes
	}
	if text := k.String("cloth"); text != "" {
		if in.Measures.Cloth, err = k.mass(text); err != nil {
			return in, fmt.Errorf("--cloth: %w", err)
		}
	}
	return in, nil
}

// weighed reads --weighed PACKAGE=GROSS.
func (k *call) weighed(tx *sqlite.Tx, at time.Time) ([]stash.Weighed, error) {
	var out []stash.Weighed
	for _, word := range k.StringSlice("weighed") {
		name, mass, err := k.pair(word, "--weighed")
		if err != nil {
			return nil, err
		}
		p, err := tx.FindPackage(name)
		if err != nil {
			return nil, err
		}
		r, err := k.reading(mass)
		if err != nil {
			return nil, err
		}
		if _, err = p.Weigh(stash.Move{At: at, Reading: r}); err != nil {
			return nil, err
		}
		for _, other := range out {
			if other.Package == p.ID {
				return nil, stash.Refuse(stash.CodeUsage, "give it once", "%s is weighed twice",
					p.Label())
			}
		}
		out = append(out, stash.Weighed{Package: p.ID, Reading: r})
	}
	return out, nil
}

// pair reads NAME=MASS.
func (k *call) pair(word, option string) (string, measure.Mass, error) {
	i := strings.LastIndex(word, "=")
	if i < 1 {
		return "", 0, stash.Refuse(stash.CodeUsage, "such as "+option+" Y01=312g",
			"%s %q: a name, = and a weight are wanted", option, stash.Clean(word))
	}
	mass, err := k.mass(word[i+1:])
	if err != nil {
		return "", 0, fmt.Errorf("%s %s: %w", option, stash.Clean(word[:i]), err)
	}
	return word[:i], mass, nil
}

// thrumsInput reads --thrums: WEIGHT, or of what and its weight.
func (k *call) thrumsInput(tx *sqlite.Tx) ([]making.ThrumsInput, error) {
	step, err := k.scaleStep()
	if err != nil {
		return nil, err
	}
	var out []making.ThrumsInput
	for _, word := range k.StringSlice("thrums") {
		t := making.ThrumsInput{ID: stash.PackageID(tx.NewID()), Step: step}
		if strings.Contains(word, "=") {
			t.Of, t.Mass, err = k.pair(word, "--thrums")
		} else if t.Mass, err = k.mass(word); err != nil {
			err = fmt.Errorf("--thrums: %w", err)
		}
		if err != nil {
			return nil, err
		}
		out = append(out, t)
	}
	return out, nil
}
