package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/replica"
	"endsmeet/stash/sqlite"
)

// glance answers `endsmeet` without a command.
func glance(e *environment) cli.ActionFunc {
	return func(c *cli.Context) error {
		if c.NArg() > 0 {
			return noCommand(c)
		}
		k := &call{Context: c, env: e, ctx: c.Context}
		defer k.close()
		path := e.stashPath(k.String("stash"))
		if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) && k.String("stash") == "" {
			return k.told(k.glanceAnswer(show.GlanceShape{Stash: path}))
		}
		return k.view(func(tx *sqlite.Tx) error {
			shape, err := glanceOf(tx)
			if err != nil {
				return err
			}
			shape.Stash = path
			due, err := k.fallingDue(tx, 0)
			shape.AddDue(due)
			return cmp.Or(err, k.glanceAnswer(shape))
		})
	}
}

func (k *call) glanceAnswer(g show.GlanceShape) error {
	if g.Items == 0 {
		g.Next = beginnings
	}
	return k.answer(g, func(w io.Writer) {
		show.PrintGlance(w, g, k.units)
		if k.String("stash") != "" || k.env.getenv("ENDSMEET_STASH") != "" {
			fmt.Fprint(w, "\n"+show.Wrap("This is the stash "+stash.Clean(g.Stash)+", not your usual one.", "", show.RoomOf(w)))
		}
	})
}

// beginnings are the commands for an empty stash.
var beginnings = []show.NextCommand{
	{Command: "endsmeet demo", Why: "See the main job on an invented stash."},
	{Command: "endsmeet receive", Why: "Record your first yarn."},
	{Command: "endsmeet import FILE", Why: "Read a spreadsheet of your yarn."},
}

// glanceOf looks over a stash.
func glanceOf(tx *sqlite.Tx) (show.GlanceShape, error) {
	var g show.GlanceShape
	s, err := newShelf(tx)
	if err != nil {
		return g, err
	}
	packages, err := tx.Packages(true)
	if err != nil {
		return g, err
	}
	var items []show.Item
	for _, p := range packages {
		if p.Yarn != "" {
			items = append(items, s.item(p))
		}
	}
	g.AddItems(items)
	pieces, err := tx.Pieces(false)
	if err != nil {
		return g, err
	}
	projects, err := tx.Projects()
	if err != nil {
		return g, err
	}
	g.AddPieces(pieces)
	g.Next = show.Likely(pieces, projects)
	asked, err := replica.Asked(tx)
	g.Waiting = show.WaitingFor(asked, items, pieces)
	return g, err
}
