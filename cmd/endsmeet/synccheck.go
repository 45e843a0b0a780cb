package main

import (
	"fmt"
	"io"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/replica"
)

// checkedShape is the JSON shape of `sync check` and `sync repair`.
type checkedShape struct {
	OK bool `json:"ok"`
	replica.Checked
	Bad []badShape `json:"bad"`
}

func syncCheck(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	c, err := r.Check(k.ctx, k.Bool("read"))
	if err != nil {
		return err
	}
	if err := k.showChecked(c); err != nil || c.OK() {
		return err
	}
	return stash.Refuse(stash.CodeRefused,
		"`endsmeet sync` and `endsmeet sync repair` put back what this machine holds",
		"the shared place is not whole, or not all of it can be read here")
}

func syncRepair(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	c, err := r.Repair(k.ctx, k.Bool("refill"))
	if err != nil {
		return err
	}
	return k.showChecked(c)
}

func (k *call) showChecked(c replica.Checked) error {
	shape := checkedShape{c.OK(), c, badShapes(c.Bad)}
	shape.Gaps, shape.Missing, shape.Lost, shape.Unannounced = noNil(c.Gaps), noNil(c.Missing),
		noNil(c.Lost), noNil(c.Unannounced)
	return k.told(k.answer(shape, func(w io.Writer) { printChecked(w, c) }))
}

func printChecked(w io.Writer, c replica.Checked) {
	for _, b := range c.Bad {
		fmt.Fprintf(w, "damaged: %s\n", stash.Clean(b.Error()))
	}
	for _, g := range c.Gaps {
		fmt.Fprintf(w, "not here: %s of %s%s\n", eventsWords(g), stash.Clean(g.Name),
			show.HolderWords(g.Holders))
	}
	for _, g := range c.Missing {
		if g.From > g.To {
			fmt.Fprintf(w, "missing there: the head of %s\n", stash.Clean(g.Name))
			continue
		}
		fmt.Fprintf(w, "missing there: %s of %s\n", eventsWords(g), stash.Clean(g.Name))
	}
	for _, name := range c.Lost {
		fmt.Fprintf(w, "missing there: %s\n", name)
	}
	if c.Ignored > 0 {
		fmt.Fprintf(w, "left alone: %s not ours\n",
			measure.CountedAs(c.Ignored, "name that is", "names that are"))
	}
	if c.Superseded > 0 {
		fmt.Fprintf(w, "no more read: %s of removed machines or older keys\n",
			measure.Counted(c.Superseded, "object"))
	}
	if c.Locked > 0 {
		fmt.Fprintf(w, "not to be read here: %s under a key that this machine was not given\n",
			measure.Counted(c.Locked, "object"))
	}
	if c.Repaired > 0 {
		fmt.Fprintf(w, "put back %s\n", measure.Counted(c.Repaired, "object"))
	}
	if c.Cleared > 0 {
		fmt.Fprintf(w, "deleted %s\n", measure.Counted(c.Cleared, "damaged object"))
	}
	if c.OK() {
		fmt.Fprintf(w, "the shared place is whole: %s, %d read\n",
			measure.Counted(c.Objects, "object"), c.Read)
	}
}
