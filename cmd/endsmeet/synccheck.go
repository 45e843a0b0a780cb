package main

import (
	"io"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/replica"
)

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
	return stash.Refuse(stash.CodeRefused, show.CheckedHint(c), "%s", show.CheckedWords(c))
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
	shape := show.PlaceChecked{OK: c.OK(), Checked: c, Bad: badShapes(c.Bad)}
	shape.Gaps, shape.Missing, shape.Lost, shape.Unannounced = c.Gaps, c.Missing,
		c.Lost, c.Unannounced
	return k.told(k.answer(shape, func(w io.Writer) { show.PrintChecked(w, c) }))
}
