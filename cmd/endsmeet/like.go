package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/importers/wif"
	"endsmeet/planner/like"
	"endsmeet/planner/making"
	"endsmeet/planner/together"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func likeCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "like", Category: groupLooking, ArgsUsage: "ITEM",
		Usage: "Find what you have that is like an item: other lots of it, and near matches.",
		Description: "Compares fibre, count and colour, a colour as you wrote it down: a hex code or a colour's name. A colour distance\n" +
			"(ΔE*ab) of about 2 is seen side by side, of 10 at a glance; two dye lots can differ although the names are the same.",
		Flags:  []cli.Flag{&cli.IntFlag{Name: "top", Usage: "at most `N`", Value: 10}},
		Action: action(e, 1, 1, likeItem),
	}
}

// likeShape is the JSON shape of a near match.
type likeShape struct {
	item
	// InCommon is the part of the fibre that both have, Finer how much longer a gram
	// is, Colour the distance ΔE*ab; null where it is not known.
	InCommon *float64 `json:"fibre_in_common"`
	Finer    *float64 `json:"finer"`
	Colours  *float64 `json:"colour_distance"`
	SameYarn bool     `json:"same_yarn"`
	SameLot  bool     `json:"same_lot"`

	Felts bool `json:"-"`
}

func likeItem(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		p, err := tx.FindPackage(k.Args().First())
		if err != nil {
			return err
		}
		s, err := newShelf(tx)
		if err != nil {
			return err
		}
		packages, err := tx.Packages(true)
		if err != nil {
			return err
		}
		yarns, err := tx.YarnsByID()
		if err != nil {
			return err
		}
		matches := like.To(p, yarns[p.Yarn], packages, yarns, coloursApart)
		if top := k.Int("top"); top > 0 && len(matches) > top {
			matches = matches[:top]
		}
		shapes := []likeShape{}
		for _, m := range matches {
			shapes = append(shapes, likeShape{s.item(m.Package), unlessNone(m.Fibre),
				unlessNone(m.Finer), unlessNone(m.Colour), m.SameYarn, m.SameLot,
				partInWash(s.Shelf, yarns[p.Yarn], m.Yarn)})
		}
		it := s.item(p)
		return k.answer(shapes, func(w io.Writer) { printLike(w, it, shapes, k.units) })
	})
}

// partInWash says that two yarns must not meet in one cloth.
func partInWash(s making.Shelf, a, b stash.Yarn) bool {
	return verdict.Refuses(verdict.Pair(verdict.Use(s, a, stash.RoleWarp),
		verdict.Use(s, b, stash.RoleWarp), together.Setting{}))
}

// coloursApart is the distance of two colours as they were written down.
func coloursApart(a, b string) (float64, bool) {
	if strings.EqualFold(a, b) {
		return 0, true
	}
	hexA, knownA := wif.HexOf(a)
	hexB, knownB := wif.HexOf(b)
	if !knownA || !knownB {
		return 0, false
	}
	m, err := wif.Nearest([]wif.Colour{{Hex: hexA}}, []wif.Yarn{{Name: b, Hex: hexB}})
	return m[0].Distance, err == nil && m[0].Distance >= 0
}

// unlessNone is nil for what is not known: NaN, or −1 for what cannot be below zero.
func unlessNone(v float64) *float64 {
	if math.IsNaN(v) || v == -1 {
		return nil
	}
	v = math.Round(v*1000) / 1000
	return &v
}

func printLike(w io.Writer, of item, all []likeShape, units measure.System) {
	fmt.Fprintln(w, of.line(units))
	if len(all) == 0 {
		fmt.Fprintln(w, "Nothing on the shelf is like it, as far as fibre, count and colour are recorded.")
		return
	}
	for _, m := range all {
		parts := []string{yarnColour(m.Yarn, m.item.Colour)}
		if m.pack.Lot != "" {
			parts = append(parts, "lot "+m.pack.Lot)
		}
		if m.pack.Bin != "" {
			parts = append(parts, m.pack.Bin)
		}
		fmt.Fprintf(w, "\n%s", wrap(m.Tag+" "+strings.Join(parts,
			", ")+": "+strings.TrimSuffix(massWords(m.NetMg, units)+", "+lengthOrNone(m.LengthMm,
			units), ", "), "", pageWidth))
		fmt.Fprint(w, wrap(m.words(), "  ", pageWidth))
	}
}

func lengthOrNone(l *measure.Length, units measure.System) string {
	if l == nil {
		return ""
	}
	return l.Yarn(units)
}

// words say in what a match is like the item.
func (m likeShape) words() string {
	if m.SameLot {
		return "the same lot"
	}
	var parts []string
	switch {
	case m.SameYarn && m.pack.Lot == "":
		parts = append(parts, "the same yarn, lot not recorded")
	case m.SameYarn:
		parts = append(parts, "the same yarn, not the same lot")
	case m.InCommon == nil:
		parts = append(parts, "fibre not known")
	case *m.InCommon > 0.995:
		parts = append(parts, "the same fibre")
	default:
		parts = append(parts, fmt.Sprintf("%.0f%% of the fibre", 100**m.InCommon))
	}
	if !m.SameYarn {
		parts = append(parts, countWordsOf(m.Finer))
	}
	if m.Felts {
		parts = append(parts, "they must not meet in one cloth: endsmeet together says why")
	}
	switch {
	case m.Colours == nil:
		parts = append(parts, "colour not known")
	case *m.Colours == 0:
		parts = append(parts, "the same colour by its name")
	default:
		parts = append(parts, fmt.Sprintf("colour ΔE %.0f", *m.Colours))
	}
	return strings.Join(parts, ", ")
}

func countWordsOf(finer *float64) string {
	switch {
	case finer == nil:
		return "count not known"
	case math.Abs(*finer) < 0.02:
		return "as thick"
	case *finer > 0:
		return fmt.Sprintf("%.0f%% more length a gram", 100**finer)
	}
	return fmt.Sprintf("%.0f%% less length a gram", -100**finer)
}
