package main

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/replica"
	"endsmeet/stash/sqlite"
)

// glanceShape is the JSON shape of `endsmeet` alone: the shelf at a glance.
type glanceShape struct {
	Stash       string        `json:"stash"`
	Items       int           `json:"items"`
	Yarns       int           `json:"yarns"`
	HeldMg      measure.Mass  `json:"held_mg"`
	AvailableMg measure.Mass  `json:"available_mg"`
	Fibres      []fibreHeld   `json:"fibres"`
	OnLoom      []string      `json:"on_the_loom"`
	Planned     []string      `json:"planned"`
	Waiting     []waiting     `json:"waiting"`
	Next        []nextCommand `json:"next"`
}

// fibreHeld is what there is of the yarns that are mostly of one fibre; the
// fibre is null where it is not recorded.
type fibreHeld struct {
	Fibre  *string      `json:"fibre"`
	HeldMg measure.Mass `json:"held_mg"`
}

// waiting is something that waits for an answer, and where to give it.
type waiting struct {
	What    string `json:"what"`
	Command string `json:"command"`
}

// nextCommand is a command that is likely to come next, and what it is for.
type nextCommand struct {
	Command string `json:"command"`
	Why     string `json:"why"`
}

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
			return k.told(k.glanceAnswer(glanceShape{Stash: path}))
		}
		return k.view(func(tx *sqlite.Tx) error {
			shape, err := glanceOf(tx)
			shape.Stash = path
			return cmp.Or(err, k.glanceAnswer(shape))
		})
	}
}

func (k *call) glanceAnswer(g glanceShape) error {
	g.Fibres, g.OnLoom, g.Planned, g.Waiting = orEmpty(g.Fibres), orEmpty(g.OnLoom),
		orEmpty(g.Planned), orEmpty(g.Waiting)
	if g.Items == 0 {
		g.Next = beginnings
	}
	return k.answer(g, func(w io.Writer) {
		printGlance(w, g, k.units)
		if k.String("stash") != "" || k.env.getenv("ENDSMEET_STASH") != "" {
			fmt.Fprint(w, "\n"+wrap("This is the stash "+stash.Clean(g.Stash)+", not your usual one.", "", roomOf(w)))
		}
	})
}

// beginnings are the commands for an empty stash.
var beginnings = []nextCommand{
	{"endsmeet demo", "See the main job on an invented stash."},
	{"endsmeet receive", "Record your first yarn."},
	{"endsmeet import FILE", "Read a spreadsheet of your yarn."},
}

// glanceOf looks over a stash.
func glanceOf(tx *sqlite.Tx) (glanceShape, error) {
	var g glanceShape
	s, err := newShelf(tx)
	if err != nil {
		return g, err
	}
	packages, err := tx.Packages(true)
	if err != nil {
		return g, err
	}
	var items []item
	for _, p := range packages {
		if p.Yarn != "" {
			items = append(items, s.item(p))
		}
	}
	g.addItems(items)
	pieces, err := tx.Pieces(false)
	if err != nil {
		return g, err
	}
	projects, err := tx.Projects()
	if err != nil {
		return g, err
	}
	g.addPieces(pieces)
	g.Next = likely(pieces, projects)
	asked, err := replica.Asked(tx)
	g.Waiting = waitingFor(asked, items, pieces)
	return g, err
}

// addItems adds up what there is, by the fibre that each yarn is mostly of.
func (g *glanceShape) addItems(items []item) {
	yarns, byFibre := map[stash.YarnID]bool{}, map[string][]item{}
	for _, it := range items {
		yarns[it.YarnID] = true
		name := mainFibre(it.recorded)
		byFibre[name] = append(byFibre[name], it)
	}
	all := sumOf(linesOf(items))
	g.Items, g.Yarns, g.HeldMg, g.AvailableMg = len(items), len(yarns), all.net, all.available
	for name, of := range byFibre {
		if held := sumOf(linesOf(of)).net; held > 0 {
			g.Fibres = append(g.Fibres, fibreHeld{known(name), held})
		}
	}
	slices.SortFunc(g.Fibres, func(a, b fibreHeld) int {
		return cmp.Or(cmp.Compare(b.HeldMg, a.HeldMg),
			strings.Compare(orNotRecorded(a.Fibre), orNotRecorded(b.Fibre)))
	})
}

func (g *glanceShape) addPieces(pieces []stash.Piece) {
	for _, p := range pieces {
		switch p.State {
		case stash.OnLoom:
			g.OnLoom = append(g.OnLoom, p.Name)
		case stash.Planned:
			g.Planned = append(g.Planned, p.Name)
		}
	}
}
