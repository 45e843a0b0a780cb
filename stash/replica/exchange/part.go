package exchange

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/gofrs/flock"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// The classes of error that the exchange adds to those of the stash.
const (
	// the shared place is not there, full, or cannot be asked
	CodePlace  stash.Code = "shared_place"
	CodeSecret stash.Code = "secret" // the pass-phrase or code does not open the vault
	CodeLocked stash.Code = "locked" // another sync is running
)

// Place is an opened shared place.
type Place struct {
	remote.Remote
	// Address is what Open is given to open it again.
	Address string
	// Folder says that it is a folder, in which others may see late what was
	// deleted; deleting waits for Options.FolderGrace.
	Folder bool
}

// Options are what an exchange takes from outside.
type Options struct {
	Store *sqlite.Store
	// Open opens the shared place at an address. owner marks temporary files.
	Open func(address, owner string) (Place, error)
	// Now is the wall clock; time.Now where nil.
	Now func() time.Time
	// Fault is told of every point that an exchange passes; nil is nobody.
	Fault func(Point)
	// Progress is told how much of a long step is done, and an empty step at
	// the end, however it came; nil is nobody.
	Progress func(step string, done, total int64)
	// Work is the work factor of scrypt for pass-phrases; 18 where zero.
	Work int
	// FolderGrace and StoreGrace are how long what a merged segment covers
	// stays: 7 days in a folder, an hour in an object store where zero.
	FolderGrace, StoreGrace time.Duration
	// SegmentEvents is how many events go into one segment; 50,000 where zero.
	SegmentEvents int
	// Fan is how many segments of a level are merged into one of the next; 16
	// where zero.
	Fan int
	// LockWait is how long to wait for another sync of this stash; 15
	// seconds where zero.
	LockWait time.Duration
}

// Point names a place in the middle of an exchange.
type Point string

// The points, beside those of stash/sqlite and stash/remote.
const (
	PointLocked        Point = "locked"        // the lock is held, nothing done
	PointPut           Point = "put"           // an object is put, not yet struck off
	PointStruck        Point = "struck"        // and struck off
	PointListed        Point = "listed"        // the heads are listed
	PointRead          Point = "read"          // an object is read, not looked at
	PointApplying      Point = "applying"      // its events are in, before the commit
	PointApplied       Point = "applied"       // after it
	PointSealing       Point = "sealing"       // new events are sealed, before the commit
	PointSealed        Point = "sealed"        // after it
	PointConsolidating Point = "consolidating" // segments are merged, before the commit
	PointConsolidated  Point = "consolidated"  // after it
	PointMaking        Point = "making"        // a vault is set up or joined, before the commit
	PointMade          Point = "made"          // after it
	PointRekeying      Point = "rekeying"      // a new key is made, before the commit
	PointRekeyed       Point = "rekeyed"       // after it
	PointEnd           Point = "end"           // all is done, the lock still held
)

// Points lists them.
var Points = []Point{PointLocked, PointPut, PointStruck, PointListed, PointRead, PointApplying,
	PointApplied, PointSealing, PointSealed,
	PointConsolidating, PointConsolidated, PointMaking, PointMade, PointRekeying, PointRekeyed,
	PointEnd}

// Part is one stash as it takes part in the exchange.
type Part struct{ Options Options }

// New makes the part of an open stash.
func New(o Options) *Part {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Work == 0 {
		o.Work = format.PhraseWork
	}
	if o.FolderGrace == 0 {
		o.FolderGrace = 7 * 24 * time.Hour
	}
	if o.StoreGrace == 0 {
		o.StoreGrace = time.Hour
	}
	if o.SegmentEvents == 0 {
		o.SegmentEvents = format.MaxEvents
	}
	if o.Fan == 0 {
		o.Fan = mergeRun
	}
	if o.LockWait == 0 {
		o.LockWait = 15 * time.Second
	}
	return &Part{o}
}

// Fault lets a test break the machine off at a point.
func (r *Part) Fault(p Point) {
	if r.Options.Fault != nil {
		r.Options.Fault(p)
	}
}

// Locked runs f while no other sync of this stash runs. The lock is a file
// beside the stash, held open until f returns; it ends with the process. Where nothing
// can be written there is none: whoever reads there disturbs no other.
func (r *Part) Locked(ctx context.Context, f func() error) error {
	if r.Options.Store.Locked() {
		return f()
	}
	lock := flock.New(r.Options.Store.Path() + ".sync-lock")
	got, err := lock.TryLock()
	if err == nil && !got {
		wait, stop := context.WithTimeout(ctx, r.Options.LockWait)
		defer stop()
		got, err = lock.TryLockContext(wait, 20*time.Millisecond)
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return stash.Refuse(stash.CodeStorage, "check the folder that the stash is in",
			"the lock of the exchange cannot be taken: %v", err)
	}
	if !got {
		return stash.Refuse(CodeLocked, "wait for it and repeat; nothing was done",
			"another sync of this stash is running")
	}
	defer lock.Unlock() //nolint:errcheck // released with the process at the latest
	if r.Options.Progress != nil {
		defer r.Options.Progress("", 0, 0)
	}
	r.Fault(PointLocked)
	err = f()
	if err == nil {
		r.Fault(PointEnd)
	}
	return err
}

// Refusal turns an error of the shared place into a refusal with a remedy.
// Others pass unchanged.
func Refusal(err error) error {
	var own *remote.Error
	if !errors.As(err, &own) {
		return err
	}
	hint := own.Hint
	if hint == "" && own.Kind == remote.Retry {
		hint = "run `endsmeet sync` again later; nothing is lost"
	}
	refusal := stash.Refuse(CodePlace, hint, "%s", placeWords(own))
	refusal.Cause = err
	return refusal
}

// placeKinds say in words what is the matter with a place.
var placeKinds = map[remote.Kind]string{
	remote.Retry:    "the shared place %s does not answer as it should",
	remote.Full:     "there is no room left in the shared place %s",
	remote.ReadOnly: "the shared place %s can be read and not written",
	remote.Denied:   "the shared place %s may not be read and written from here",
	remote.NoPlace:  "the shared place %s is not there",
	remote.Refused:  "the shared place %s refuses",
}

// placeWords says what is the matter, and what the system or the server said of it where
// that says more.
func placeWords(e *remote.Error) string {
	words, known := placeKinds[e.Kind]
	if !known {
		return e.Error()
	}
	text := fmt.Sprintf(words, stash.Clean(e.Place))
	gone := e.Kind == remote.NoPlace && errors.Is(e.Cause, fs.ErrNotExist)
	if e.Cause != nil && e.Kind != remote.Full && e.Kind != remote.ReadOnly && !gone {
		text += ": " + remote.CauseText(e.Cause)
	}
	return text
}
