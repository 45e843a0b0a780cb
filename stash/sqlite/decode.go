package sqlite

import "runtime"

// decodeBatch is how many views are decoded in one go; with fewer there is
// nothing to divide.
const decodeBatch = 512

// decoding decodes views in batches, beside the reading of the next, and tells of
// them in the order in which they were added. No more batches than there are
// processors are held.
type decoding[T any] struct {
	tell  func([]T) error
	under []*decodedBatch[T]
	views []storedView // of the batch that is being filled
}

// decodedBatch is a batch that is being decoded until done is closed.
type decodedBatch[T any] struct {
	done   chan struct{}
	states []T
	err    error
}

// add takes a view.
func (d *decoding[T]) add(s storedView) error {
	if d.views = append(d.views, s); len(d.views) < decodeBatch {
		return nil
	}
	return d.send()
}

// send has the batch decoded.
func (d *decoding[T]) send() error {
	views := d.views
	b := &decodedBatch[T]{done: make(chan struct{}), states: make([]T, len(views))}
	d.under = append(d.under, b)
	d.views = make([]storedView, 0, decodeBatch)
	go func() {
		defer close(b.done)
		for i, s := range views {
			if b.err = s.decode(&b.states[i]); b.err != nil {
				return
			}
		}
	}()
	if len(d.under) <= runtime.GOMAXPROCS(0) {
		return nil
	}
	return d.next()
}

// next tells of the batch that was sent first.
func (d *decoding[T]) next() error {
	b := d.under[0]
	d.under = d.under[1:]
	if <-b.done; b.err != nil {
		return b.err
	}
	return d.tell(b.states)
}

// finish tells of what is left.
func (d *decoding[T]) finish() error {
	if len(d.views) > 0 {
		if err := d.send(); err != nil {
			return err
		}
	}
	for len(d.under) > 0 {
		if err := d.next(); err != nil {
			return err
		}
	}
	return nil
}
