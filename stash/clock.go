package stash

import "time"

// Clock is a hybrid logical clock: 48 bits of Unix milliseconds above a
// 16-bit counter. It orders events that knew of each other even when the
// wall clocks of their machines disagree.
type Clock int64

// maxAhead is how far a received clock may pull ours beyond our wall clock.
const maxAhead = 24 * time.Hour

// ClockAt is the least clock of a moment.
func ClockAt(t time.Time) Clock { return Clock(t.UnixMilli() << 16) }

// Time is the wall-clock part of the clock.
func (c Clock) Time() time.Time { return time.UnixMilli(int64(c) >> 16) }

// Next is the clock of a new event at wall time now, after last.
func (c Clock) Next(now time.Time) Clock { return max(ClockAt(now), c+1) }

// Seen is the clock after receiving an event with the clock other: it never
// moves back, and never more than a day beyond the wall time now.
func (c Clock) Seen(other Clock, now time.Time) Clock {
	return max(c, min(other, ClockAt(now.Add(maxAhead))))
}

// ClockSlack is how far the clocks of two machines may be apart before it is worth a
// question (common practice, no source: nobody sets a clock to the minute).
const ClockSlack = 15 * time.Minute
