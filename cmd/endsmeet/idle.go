package main

import (
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/clear"
	"endsmeet/planner/kinds"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func idleCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "idle", Category: groupMaking,
		Usage: "Find yarn that nobody uses, and pieces that would use it up.",
		Description: "Lists yarn that has perished (rubber over ten years old) or is to be discarded, lots too small\n" +
			"for a warp or weft of any usual piece, and yarn that nobody has touched for years.",
		Flags: []cli.Flag{&cli.IntFlag{Name: "years", Usage: "not touched for `N` years",
			Value: 3}, sumsFlag()},
		Action: action(e, 0, 0, idle),
	}
}

// idleShape is the JSON shape of `idle`.
type idleShape struct {
	Items  []idleItem `json:"items"`
	Pieces []usedUp   `json:"pieces"`
}

type idleItem struct {
	ID        stash.PackageID `json:"id"`
	Tag       string          `json:"tag"`
	Yarn      string          `json:"yarn"`
	Why       clear.Why       `json:"why"`
	Text      string          `json:"text"`
	Available *measure.Mass   `json:"available_mg"`
}

// usedUp is a piece that uses up idle yarn.
type usedUp struct {
	fitting
	Idle measure.Mass `json:"idle_mg"`
}

func idle(k *call) error {
	years := k.Int("years")
	if years < 1 {
		return stash.Refuse(stash.CodeUsage, "from 1 on", "--years is a number above zero")
	}
	return k.view(func(tx *sqlite.Tx) error {
		shelf, err := makingShelf(tx)
		if err != nil {
			return err
		}
		projects, err := tx.Projects()
		if err != nil {
			return err
		}
		q := clear.Query{Years: years, Kinds: kinds.Of(projects, shelf.Pieces),
			Weights: weightsOf(shelf.Settings), Rest: shelf.Settings.RestUse}
		answer, err := clear.Idle(k.ctx, shelf, q)
		if err != nil {
			return err
		}
		shape, err := idleOf(tx, answer)
		if err != nil {
			return err
		}
		return k.answer(shape, func(w io.Writer) {
			printIdle(w, shape, years, k.Bool("sums"),
				k.units)
		})
	})
}

func idleOf(tx *sqlite.Tx, a clear.Answer) (idleShape, error) {
	out := idleShape{Items: []idleItem{}, Pieces: []usedUp{}}
	for _, it := range a.Items {
		one := idleItem{it.Package.ID, it.Package.Label(), it.Yarn.Name, it.Why, it.Words, nil}
		if it.Package.Known {
			one.Available = &it.Available
		}
		out.Items = append(out.Items, one)
	}
	for _, u := range a.Pieces {
		f, err := fittingOf(tx, u.Piece)
		if err != nil {
			return out, err
		}
		out.Pieces = append(out.Pieces, usedUp{f, u.Idle})
	}
	return out, nil
}

// The most that a screen shows of what lies idle and of what would use it up.
const (
	mostIdle   = 7
	mostUsedUp = 4
)

func printIdle(w io.Writer, s idleShape, years int, sums bool, units measure.System) {
	if len(s.Items) == 0 {
		fmt.Fprintf(w, "nothing lies idle: all is sound, of use, and was touched within %s\n",
			plural(years, "year"))
		return
	}
	items, pieces := s.Items, s.Pieces
	if !sums {
		items, pieces = items[:min(mostIdle, len(items))], pieces[:min(mostUsedUp, len(pieces))]
	}
	t := newTable("tag", "yarn", ">available", "why")
	for _, it := range items {
		t.addWrapped(34, it.Tag, stash.Clean(it.Yarn), massWords(it.Available, units), it.Text)
	}
	t.print(w)
	printMore(w, len(s.Items)-len(items), "idle --sums")
	if len(s.Pieces) == 0 {
		fmt.Fprintln(w, "\nno piece of any kind would use it up")
		return
	}
	fmt.Fprintln(w, "\npieces that would use it up")
	t = newTable("kind", ">size", "warp", "weft", ">of it idle")
	for _, p := range pieces {
		a := p.answer
		t.add(a.Kind.Name, clothSize(p.Width, p.Length, units), fewLabels(a.Shelf, a.Warp),
			fewLabels(a.Shelf, a.Weft), p.Idle.Format(units))
	}
	t.print(w)
	printMore(w, len(s.Pieces)-len(pieces), "idle --sums")
}

// printMore says how much more there is, and how to see it.
func printMore(w io.Writer, n int, command string) {
	if n > 0 {
		fmt.Fprintf(w, "and %d more: endsmeet %s\n", n, command)
	}
}
