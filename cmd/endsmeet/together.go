package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/making"
	"endsmeet/planner/together"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func togetherCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "together", Category: groupPeople, ArgsUsage: "YARN YARN",
		Usage: "Check whether two yarns agree in one cloth.",
		Description: "Count, strength, stretch, felting, shrinkage, washing, shedding and dye, each\n" +
			"with its reason, its figure if there is one, and its source.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "as",
				Usage: "`ROLES` of the first and the second: warp,weft or warp,warp",
				Value: "warp,weft"},
			&cli.StringFlag{Name: "stripe",
				Usage: "for two warps: the `WIDTH` of the stripes (usually evenly mixed)"},
			&cli.StringFlag{Name: "over",
				Usage: "the woven `LENGTH` for which puckering is worked out"},
			&cli.StringFlag{Name: "sett", Usage: "the `SETT` they are woven at"},
			&cli.IntFlag{Name: "every", Usage: "the first yarn is every `N`th end"},
			&cli.StringFlag{Name: "for", Usage: "the `PERSON` it is for: their rules are asked too"},
			exitFlag("end with 4 if they do not agree, or nobody knows"),
		},
		Action: action(e, 2, 2, pairUp),
	}
}

func pairUp(k *call) error {
	a, b, in, err := k.setting()
	if err != nil {
		return err
	}
	return k.view(func(tx *sqlite.Tx) error {
		whom, err := k.receiver(tx)
		if err != nil {
			return err
		}
		shelf, packs, err := k.findUses(tx, &a, &b)
		if err != nil {
			return err
		}
		in.Units = k.units
		verdicts, v := verdict.OfPair(shelf, a, b, in, packs[0], packs[1], whom)
		k.answerStatus(verdicts)
		shape := show.Paired{A: pairedOf(a, packs[0]), B: pairedOf(b, packs[1]), Answer: v.Answer,
			Verdicts: verdicts}
		if packs[0] != nil && packs[1] != nil && a.Role != b.Role {
			shape.Note = making.AcrossLots(packs[0], packs[1])
		}
		for _, r := range v.Reasons {
			shape.Reasons = append(shape.Reasons,
				show.PairedReason{Check: r.Check, Answer: r.Answer, Why: r.Why,
					Figure: stash.Known(r.Figure), Source: stash.Known(r.Source)})
		}
		return k.answer(shape, func(w io.Writer) { show.PrintPaired(w, shape) })
	})
}

func pairedOf(u together.Use, p *stash.Package) show.PairedYarn {
	out := show.PairedYarn{ID: u.Yarn.ID, Yarn: u.Yarn.Name, Role: u.Role, LossPpm: u.Loss}
	if p != nil {
		out.Package, out.Tag, out.Colour, out.Lot = &p.ID, p.Label(), p.Colour, p.Lot
	}
	return out
}

// findUses finds the yarns of two uses, how much each shrank in its own pieces, and the
// packages that were named, nil where it was a yarn.
func (k *call) findUses(tx *sqlite.Tx, uses ...*together.Use) (making.Shelf, [2]*stash.Package,
	error) {
	var packs [2]*stash.Package
	var refs []stash.Ref
	for i, u := range uses {
		t, err := findTarget(tx, k.Args().Get(i))
		if err != nil {
			return making.Shelf{}, packs, err
		}
		u.Yarn, packs[i] = t.yarn, t.pack
		refs = append(refs, stash.Ref{Yarn: t.yarn.ID})
	}
	shelf, err := plannedShelf(tx, stash.ProjectFacts{Warp: refs})
	if err != nil {
		return shelf, packs, err
	}
	for _, u := range uses {
		if y, there := shelf.Yarns[u.Yarn.ID]; there {
			u.Yarn = y // with the words that stand next to its items
		}
		u.Loss = verdict.Use(shelf, u.Yarn, u.Role).Loss
	}
	return shelf, packs, nil
}

// setting reads the roles and how the yarns lie in the cloth.
func (k *call) setting() (a, b together.Use, in together.Setting, err error) {
	a.Role, b.Role, err = parseRoles(k.String("as"))
	if err != nil {
		return
	}
	for _, l := range []struct {
		name string
		into *measure.Length
	}{{"stripe", &in.Stripe}, {"over", &in.Over}} {
		if text := k.String(l.name); text != "" {
			if *l.into, err = typed(k, text, measure.ParseLength); err != nil {
				return a, b, in, fmt.Errorf("--%s: %w", l.name, err)
			}
		}
	}
	if in.Stripe > 0 && b.Role != stash.RoleWarp {
		return a, b, in, stash.Refuse(stash.CodeUsage, "add --as warp,warp",
			"--stripe is for two warps side by side")
	}
	if text := k.String("sett"); text != "" {
		if a.Sett, err = typed(k, text, measure.ParseSett); err != nil {
			return a, b, in, fmt.Errorf("--sett: %w", err)
		}
	}
	if a.Every = k.Int("every"); a.Every < 0 {
		return a, b, in, stash.Refuse(stash.CodeUsage, "such as --every 2",
			"--every takes a number from 1 on")
	}
	if b.Role == stash.RoleWarp {
		b.Sett = a.Sett
	}
	return a, b, in, nil
}

func parseRoles(text string) (a, b stash.Role, err error) {
	first, second, _ := strings.Cut(strings.ToLower(strings.ReplaceAll(text, " ", "")), ",")
	a, okA := show.RoleWords[first]
	b, okB := show.RoleWords[second]
	if !okA || !okB {
		return a, b, stash.Refuse(stash.CodeUsage,
			"warp,weft or warp,warp; also hemstitching, trim, effect",
			"--as %q are no roles for two yarns", stash.Clean(text))
	}
	return a, b, nil
}
