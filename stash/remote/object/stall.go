package object

import (
	"context"
	"errors"
	"io"
	"time"
)

// errStalled is the cause of a context that watch ended.
var errStalled = errors.New("the server stopped sending")

// stall ends a context when nothing has moved for a while.
type stall struct {
	limit time.Duration
	timer *time.Timer
	end   context.CancelCauseFunc
}

// watch returns a context that ends when touch has not been called for limit.
func watch(ctx context.Context, limit time.Duration) (context.Context, *stall) {
	ctx, end := context.WithCancelCause(ctx)
	timer := time.AfterFunc(limit, func() { end(errStalled) })
	return ctx, &stall{limit: limit, timer: timer, end: end}
}

func (s *stall) touch() { s.timer.Reset(s.limit) }

func (s *stall) stop() {
	s.timer.Stop()
	s.end(nil)
}

// reader touches at each read that brought something.
func (s *stall) reader(under io.Reader) io.Reader { return stallReader{s, under} }

type stallReader struct {
	stall *stall
	under io.Reader
}

// Read reads on and notes that something moved.
func (r stallReader) Read(p []byte) (int, error) {
	n, err := r.under.Read(p)
	if n > 0 {
		r.stall.touch()
	}
	return n, err
}
