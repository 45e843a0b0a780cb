package search

import (
	"context"

	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
)

// Choosing is what a kind may be made of.
type Choosing struct {
	Choices []Choice
	// Complete is false where these are only the best answers of the search.
	Complete bool
	LeftOut  []making.LeftOut
	// Refused is why some pair may not be woven together, empty if none is kept
	// from it.
	Refused string
}

// Choice is a warp lot of one colour and a weft lot that may go together.
type Choice struct{ Warp, Weft []stash.PackageID }

// Choices lists what a kind may be made of, one colour in the warp, whether or
// not there is enough: all of it where that is not more than most, else the best
// answers of the search, as many as the query wants.
func (st *Stock) Choices(ctx context.Context, q Query, most int) (Choosing, error) {
	if err := q.check(); err != nil {
		return Choosing{}, err
	}
	q.Colours = 1
	g, f := st.prepare(q)
	out := Choosing{LeftOut: g.leftOut}
	lots := g.all()
	warps, wefts := count(lots, func(l *lot) bool { return l.asWarp }),
		count(lots, func(l *lot) bool { return l.asWeft })
	if warps*wefts > most {
		if err := f.run(ctx, 1); err != nil {
			return out, err
		}
		for _, one := range f.best {
			out.Choices = append(out.Choices,
				Choice{one.choice.warp[0].ids(), one.choice.weft.ids()})
		}
		return out, nil
	}
	out.Complete = true
	for _, w := range lots {
		for _, weft := range lots {
			if w.asWarp && weft.asWeft {
				out.add(f, w, weft)
			}
		}
	}
	return out, nil
}

func (c *Choosing) add(f *finder, warp, weft *lot) {
	if v := f.pairs.verdict(warp.yarn, weft.yarn, false); verdict.Refuses(v) && !f.pairs.aside {
		c.Refused = reasonOf(v)
		return
	}
	c.Choices = append(c.Choices, Choice{warp.ids(), weft.ids()})
}

func count(lots []*lot, is func(*lot) bool) int {
	n := 0
	for _, l := range lots {
		if is(l) {
			n++
		}
	}
	return n
}
