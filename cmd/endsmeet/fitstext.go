package main

import (
	"io"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// fitsWhy answers why a yarn does not appear among the answers for each kind.
func (k *call) fitsWhy(tx *sqlite.Tx, shelf making.Shelf, stock *search.Stock, q search.Query,
	asked []kinds.Kind) error {
	if len(asked) != 1 {
		return stash.Refuse(stash.CodeUsage, "as in: endsmeet fits scarf --why YARN",
			"--why asks about one kind or project")
	}
	lots, id, err := lotsAsked(tx, k.String("why"))
	if err != nil {
		return err
	}
	if q, err = askedOf(tx, q, asked[0]); err != nil {
		return err
	}
	e, err := stock.Why(k.ctx, q, lots)
	if err != nil {
		return err
	}
	shape := show.WhyShape{Yarn: shelf.Yarns[id].Name, Kind: asked[0].Name, Last: e.Last,
		Reasons: append([]search.Reason{}, e.Reasons...)}
	if e.Place > 0 {
		shape.Place = &e.Place
	}
	if e.Best != nil {
		best, err := fittingOf(tx, *e.Best)
		if err != nil {
			return err
		}
		shape.Best = &best
	}
	return k.answer(shape, func(w io.Writer) { show.PrintWhy(w, shape, k.units) })
}
