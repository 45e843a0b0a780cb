package planner

import (
	"testing"

	"pgregory.net/rapid"
)

// TestRepeatBalanceAndBunchesHoldTogether: of the counts that are not below the ends wanted
// the least is planned at which the repeat closes with its balance ends and the ends divide
// into whole bunches, as trying every number finds it; where no number does both, the
// repeat closes.
func TestRepeatBalanceAndBunchesHoldTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		repeat, balance := rapid.IntRange(0, 40).Draw(t, "repeat"), rapid.IntRange(0, 45).Draw(t, "balance")
		one, two := rapid.IntRange(0, 24).Draw(t, "bunch"), rapid.IntRange(0, 24).Draw(t, "other bunch")
		wanted := rapid.IntRange(1, 900).Draw(t, "wanted")
		closes := func(n int) bool {
			return repeat < 2 || n >= balance && (n-balance)%repeat == 0
		}
		bunched := func(n int) bool {
			return (one < 2 || n%one == 0) && (two < 2 || n%two == 0)
		}
		all := 40 * 24 * 24 // more than repeat and bunches have in common
		least, below, possible := 0, 0, false
		for n := 1; n <= all && !possible; n++ {
			possible = closes(n) && bunched(n)
		}
		for n := 1; n <= wanted+all+45 && least == 0; n++ {
			if closes(n) && (bunched(n) || !possible) {
				if n < wanted {
					below = n
				} else {
					least = n
				}
			}
		}
		c := CountsOf(repeat, balance, one, two)
		if got := c.From(int64(wanted)); got != int64(least) {
			t.Errorf("from %d: %d, by trial %d", wanted, got, least)
		}
		if got := c.To(wanted - 1); got != below {
			t.Errorf("to %d: %d, by trial %d", wanted-1, got, below)
		}
	})
}
