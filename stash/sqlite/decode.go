package sqlite

import (
	"runtime"

	"golang.org/x/sync/errgroup"

	jsonv2 "github.com/go-json-experiment/json"
)

// decodeBatch is how many views are decoded in one go; with fewer there is
// nothing to divide.
const decodeBatch = 512

// decoding decodes views in batches, beside the reading of the next, and keeps
// their order.
type decoding[T any] struct {
	group   errgroup.Group
	batches []*[]T
	raw     []byte // the views of the batch that is being filled, one after the other
	ends    []int
}

func newDecoding[T any]() *decoding[T] {
	d := &decoding[T]{}
	d.group.SetLimit(max(1, runtime.GOMAXPROCS(0)))
	return d
}

// add takes a copy of a view.
func (d *decoding[T]) add(raw []byte) {
	d.raw = append(d.raw, raw...)
	d.ends = append(d.ends, len(d.raw))
	if len(d.ends) == decodeBatch {
		d.send()
	}
}

// send has the batch decoded.
func (d *decoding[T]) send() {
	raw, ends, out := d.raw, d.ends, new([]T)
	d.batches = append(d.batches, out)
	d.raw, d.ends = make([]byte, 0, len(raw)), make([]int, 0, decodeBatch)
	d.group.Go(func() error {
		states, at := make([]T, len(ends)), 0
		for i, end := range ends {
			if err := jsonv2.Unmarshal(raw[at:end], &states[i]); err != nil {
				return err
			}
			at = end
		}
		*out = states
		return nil
	})
}

// all waits for what is under way and gives the views in the order in which they
// were added.
func (d *decoding[T]) all() ([]T, error) {
	if len(d.ends) > 0 {
		d.send()
	}
	if err := d.group.Wait(); err != nil || len(d.batches) == 0 {
		return nil, err
	}
	if len(d.batches) == 1 {
		return *d.batches[0], nil
	}
	n := 0
	for _, b := range d.batches {
		n += len(*b)
	}
	out := make([]T, 0, n)
	for _, b := range d.batches {
		out = append(out, *b...)
		*b = nil
	}
	return out, nil
}
