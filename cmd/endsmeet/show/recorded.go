package show

import (
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// BackedUp is the JSON shape of a backup or a restored stash.
type BackedUp struct {
	File   string `json:"file"`
	Events int    `json:"events"`
	OK     bool   `json:"ok"`
	// Keys says that the keys of the shared place lie in it.
	Keys bool `json:"keys,omitempty"`
}

// DoneBefore is the JSON shape of a command that did nothing, because its key
// was recorded before.
type DoneBefore struct {
	Once   string `json:"once"`
	Before bool   `json:"recorded_before"`
	// Undone says that what was recorded then was taken back since.
	Undone bool `json:"undone"`
}

// Loan is the JSON shape of a loan: the package as it is, and what the gate said.
type Loan struct {
	Item
	Verdicts verdict.Verdict `json:"verdicts"`
}

// Taken is the JSON shape of what was taken of a package: the package as it is
// afterwards, how much it was, and the event that says so.
type Taken struct {
	Item
	Taken measure.Mass  `json:"taken_mg"`
	Event stash.EventID `json:"event"`
	Act   stash.Act     `json:"act"`
	// Verdicts is what the gate said of it.
	Verdicts verdict.Verdict `json:"verdicts"`
}
