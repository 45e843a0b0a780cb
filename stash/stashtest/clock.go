package stashtest

import (
	"encoding/binary"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// Start is the first moment of every fixed clock.
var Start = time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)

// Clock is a wall clock that moves only when it is read or moved.
type Clock struct {
	At   time.Time
	Step time.Duration
}

// NewClock begins at Start and moves a minute each time it is read.
func NewClock() *Clock { return &Clock{At: Start, Step: time.Minute} }

// Now reads the clock, after which it has moved on.
func (c *Clock) Now() time.Time {
	now := c.At
	c.At = c.At.Add(c.Step)
	return now
}

// Options are those of a store whose clock is c and whose names are counted;
// stores with different seeds draw different names.
func (c *Clock) Options(seed uint64) sqlite.Options {
	return sqlite.Options{Now: c.Now, IDs: CountingIDs(seed << 32), Machine: "test"}
}

// CountingIDs gives the same names in the same order every time, counting
// from start.
func CountingIDs(start uint64) stash.IDs {
	n := start
	return stash.IDs{Bytes: func(b []byte) {
		n++
		var word [8]byte
		binary.BigEndian.PutUint64(word[:], n*0x9E3779B97F4A7C15)
		for i := range b {
			b[i] = word[i%8] ^ byte(i/8*37)
		}
	}}
}
