package recording

import (
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Options say how the rows of a table are recorded, and what is told on the way.
type Options struct {
	// At is when it is recorded; Dated says that somebody gave that day.
	At    time.Time
	Dated bool
	// DryRun says that all of it will be taken back.
	DryRun bool
	// Correct records rows that changed since they came in, else they are only told;
	// Clears has an empty cell of them empty a fact.
	Correct, Clears bool
	// Weights says what a changed weight is of: WeightsReceived, WeightsNow, or neither
	// where nobody said so.
	Weights string
	Units   measure.System
	Bad     *Bad
	Told
	// AsRead refuses a value that looks like a slip, unless somebody insists on it.
	AsRead func(slip string) error
	// Settled asks about what is recorded of packages for a time before they were weighed.
	Settled func(at time.Time, packages ...stash.Package) error
}

// What a changed weight in a sheet may be of: of what came in, or of what there is now.
const (
	WeightsReceived = "received"
	WeightsNow      = "now"
)

// Told is how a run tells what somebody should hear, and how far it has come. Progress begins
// something of so many steps, −1 where nobody knows.
type Told struct {
	Note     func(format string, args ...any)
	Progress func(what string, total int) Bar
}

// Bar shows how far something has come.
type Bar interface {
	Step()
	Done()
}
