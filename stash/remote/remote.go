// Package remote says what a shared place is: somewhere that keeps named
// byte objects which are written once and never change. A folder and an
// object store are two such places (stash/remote/dir, stash/remote/object);
// one suite, stash/remote/remotetest, holds them to the contract below.
// Nothing here knows what the objects mean.
package remote

import "context"

// Remote is a shared place. Its methods may be called from several
// goroutines at once, and by several machines at once: there is no lock, no
// compare-and-swap, and no object that changes. A name stands for one
// content for ever, so that a repeated Put is harmless.
//
// Every error but a cancelled context is an *Error, whose Kind says what to
// do; ask with KindOf or errors.Is(err, remote.NotFound). A method called
// with a name or prefix outside the grammar of Name answers Invalid and
// touches nothing. A context that is done before the call answers its error
// and touches nothing; one that ends during Put or Delete leaves open whether
// the call took effect.
//
// Retry means that the place could not be asked or could not answer: the
// outcome of Put and Delete is then unknown, and the same call again is
// always right. NoPlace, Denied, ReadOnly, Full and Refused stay until a
// person has done something.
type Remote interface {
	// Put stores data under name, whole or not at all, and returns when it
	// is as durable as the place can make it. Putting again what is already
	// there succeeds, and puts back what a damaged place holds under that
	// name. Empty data is allowed. The caller may reuse data afterwards.
	Put(ctx context.Context, name Name, data []byte) error

	// Get returns the whole content, which is the caller's to keep.
	// NotFound: no such object is to be seen now; a place that lists late
	// or that another machine is filling may show it later. What comes back
	// is what the place holds: a place may damage it, so the reader checks.
	Get(ctx context.Context, name Name) ([]byte, error)

	// List returns the names that begin with prefix and are greater than
	// after, in byte order, each once. An empty prefix means all, an empty
	// after means from the start; the prefix need not end at a slash.
	// A prefix under which nothing lies gives an empty listing, no error.
	// A place may show new names late and deleted names for a while.
	List(ctx context.Context, prefix string, after Name) (Listing, error)

	// Delete removes name. Deleting what is not there succeeds.
	Delete(ctx context.Context, name Name) error
}

// Listing is what List saw.
type Listing struct {
	Names []Name // sorted, without repetition

	// Ignored counts what lies there under the prefix and is not ours by
	// name: conflict copies, desktop.ini, .DS_Store, a folder outside the
	// grammar (counted once, not entered). Unfinished temporaries of a
	// folder are counted apart: they are ours, and vanish by themselves.
	Ignored    int
	Unfinished int

	// Examples holds up to MaxExamples of the ignored names, relative to
	// the place, as found: escape them before they reach a terminal.
	Examples []string
}

// MaxExamples is how many ignored names a Listing quotes.
const MaxExamples = 5

// Ignore counts one foreign name.
func (l *Listing) Ignore(name string) {
	l.Ignored++
	if len(l.Examples) < MaxExamples {
		l.Examples = append(l.Examples, name)
	}
}
