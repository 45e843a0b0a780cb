package main

import (
	"io"
	"math"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers/wif"
	"endsmeet/planner/like"
	"endsmeet/planner/making"
	"endsmeet/planner/together"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func likeCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "like", Category: groupLooking, ArgsUsage: "ITEM",
		Usage: "Find what you have that is like an item: other lots of it, and near matches.",
		Description: "Compares fibre, count and colour, a colour as you wrote it down: a hex code or a colour's name. A colour distance\n" +
			"(ΔE*ab) of about 2 is seen side by side, of 10 at a glance; two dye lots can differ although the names are the same.",
		Flags:  []cli.Flag{&cli.IntFlag{Name: "top", Usage: "at most `N` items", Value: 10}},
		Action: action(e, 1, 1, likeItem),
	}
}

func likeItem(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		p, err := packageOrOneOf(tx, k.Args().First())
		if err != nil {
			return err
		}
		s, err := newShelf(tx)
		if err != nil {
			return err
		}
		search := like.Search{Of: p, Yarns: s.recorded, Colours: coloursApart, Top: k.Int("top")}
		if err := tx.EachPackage(true, func(p stash.Package) error {
			search.Add(p)
			return nil
		}); err != nil {
			return err
		}
		shapes := likeShapes(s, p, &search)
		it, more := s.item(p), search.More()
		return k.answer(shapes, func(w io.Writer) { show.PrintLike(w, it, shapes, more, k.units) })
	})
}

// likeShapes are what is like a package, and at the end what has its colour and must not
// meet it in one cloth, which may be taken for it.
func likeShapes(s *shelf, p stash.Package, search *like.Search) []show.LikeShape {
	shapes, mistaken := []show.LikeShape{}, []show.LikeShape{}
	shape := func(m like.Match) show.LikeShape {
		return show.LikeShape{Item: s.item(m.Package), InCommon: unlessNone(m.Fibre),
			Finer: unlessNone(m.Finer), Colours: unlessNone(m.Colour), SameYarn: m.SameYarn,
			SameLot: m.SameLot, Felts: partInWash(s.Shelf, s.recorded[p.Yarn], m.Yarn)}
	}
	told := map[stash.PackageID]bool{}
	for _, m := range search.Alike() {
		if one := shape(m); one.Felts {
			one.Beware, told[one.ID] = true, true
			mistaken = append(mistaken, one)
		}
	}
	for _, m := range search.Matches() {
		if !told[m.Package.ID] {
			shapes = append(shapes, shape(m))
		}
	}
	return append(shapes, mistaken...)
}

// packageOrOneOf finds a package; by the name of a yarn, or the tag that its
// packages begin with, one of them, where all are of one colour and lot.
func packageOrOneOf(tx *sqlite.Tx, name string) (stash.Package, error) {
	p, ambiguous := tx.FindPackage(name)
	if ambiguous == nil {
		return p, nil
	}
	ids, err := tx.FindPackages(name)
	for i, id := range ids {
		other, _, err := tx.Package(id)
		if err != nil {
			return p, err
		}
		if i == 0 {
			p = other
		} else if other.InLot() != p.InLot() {
			return p, ambiguous
		}
	}
	return p, err
}

// partInWash says that two yarns must not meet in one cloth, whichever of them is its warp.
func partInWash(s making.Shelf, a, b stash.Yarn) bool {
	for _, roles := range [][2]stash.Role{{stash.RoleWarp, stash.RoleWarp},
		{stash.RoleWarp, stash.RoleWeft}, {stash.RoleWeft, stash.RoleWarp}} {
		if !verdict.Refuses(verdict.Pair(verdict.Use(s, a, roles[0]), verdict.Use(s, b, roles[1]),
			together.Setting{})) {
			return false
		}
	}
	return true
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
