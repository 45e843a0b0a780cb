package stash

import (
	"encoding/binary"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// naiveConflict says the rule in the plainest way: two movements of one day, one of
// them a reading, neither writer knew of the other, and no reading knows both.
func naiveConflict(moves []Event, did []effect) (apart []EventID) {
	byID := map[EventID]int{}
	for i, e := range moves {
		byID[e.ID()] = i
	}
	var knows func(i, j int) bool
	knows = func(i, j int) bool {
		for _, id := range moves[i].Replaces {
			if k, here := byID[id]; here && (k == j || knows(k, j)) {
				return true
			}
		}
		return false
	}
	settled := func(i, j int) bool {
		for k := range moves {
			if did[k] == effectReading && knows(k, i) && knows(k, j) {
				return true
			}
		}
		return false
	}
	unaware := func(i, j int) bool {
		return i != j && did[i] == effectReading && did[j] != effectNone &&
			sameDay(moves[i], moves[j]) && !knows(i, j) && !knows(j, i) && !settled(i, j)
	}
	for i := range moves {
		for j := range moves {
			if unaware(i, j) || unaware(j, i) {
				apart = append(apart, moves[i].ID())
				break
			}
		}
	}
	return apart
}

func moveAt(n int, at time.Time, replaces ...EventID) Event {
	var chain Chain
	binary.BigEndian.PutUint64(chain[:], uint64(n)+1)
	return Event{Chain: chain, Line: Line{At: at, Replaces: replaces}}
}

func TestConflictingWeighingIsWhatThePlainRuleSays(t *testing.T) {
	start := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	found := map[bool]int{}
	rapid.Check(t, func(t *rapid.T) {
		var moves []Event
		var did []effect
		for i := range rapid.IntRange(1, 14).Draw(t, "moves") {
			var replaces []EventID
			if i > 0 {
				for range rapid.IntRange(0, 3).Draw(t, "seen") {
					replaces = append(replaces,
						moves[rapid.IntRange(max(0, i-4), i-1).Draw(t, "which")].ID())
				}
			}
			at := start.Add(time.Duration(rapid.IntRange(0, 40).Draw(t, "hour")) * time.Hour)
			moves = append(moves, moveAt(i, at, replaces...))
			did = append(did, rapid.SampledFrom([]effect{effectNone, effectReading, effectReading,
				effectOther, effectOther}).Draw(t, "did"))
		}
		order := rapid.Permutation(indices(len(moves))).Draw(t, "order") // late events
		shuffled, effects := make([]Event, len(moves)), make([]effect, len(moves))
		for to, from := range order {
			shuffled[to], effects[to] = moves[from], did[from]
		}
		want := naiveConflict(shuffled, effects)
		found[len(want) > 0]++
		if got := conflictingWeighing(shuffled, effects); !slices.Equal(got, want) {
			t.Fatalf("got %v, the plain rule says %v", got, want)
		}
	})
	if found[true] == 0 || found[false] == 0 {
		t.Fatalf("cases with and without a conflict: %v", found)
	}
}

func indices(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// twoLanes is a day on which two replicas each moved a package n/2 times
// without a word between them, every tenth time with a reading, and a last
// reading that saw both when settled.
func twoLanes(n int, settled bool) ([]Event, []effect) {
	at := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	moves, did := []Event{moveAt(0, at)}, []effect{effectReading}
	for i := 1; i < n; i++ {
		moves = append(moves, moveAt(i, at, moves[max(0, i-2)].ID()))
		did = append(did, effectOther)
		if i%10 == 0 {
			did[i] = effectReading
		}
	}
	if settled {
		moves = append(moves, moveAt(n, at, moves[n-1].ID(), moves[n-2].ID()),
			moveAt(n+1, at, moves[0].ID()))
		did = append(did, effectReading, effectNone)
	}
	return moves, did
}

func TestConflictingWeighingOfFiveThousandMovements(t *testing.T) {
	if moves, did := twoLanes(5000, false); conflictingWeighing(moves, did) == nil {
		t.Error("two lanes that did not know of each other are not flagged")
	}
	if moves, did := twoLanes(5000, true); conflictingWeighing(moves, did) != nil {
		t.Error("what a last reading settled is flagged")
	}
}

func BenchmarkConflictingWeighing5000(b *testing.B) {
	moves, did := twoLanes(5000, true) // the slow case: all must be looked at
	for b.Loop() {
		conflictingWeighing(moves, did)
	}
}

func TestSameDayIsThatOfThePlaceWhereTheFirstWasRecorded(t *testing.T) {
	berlin := time.FixedZone("", 3600)
	late := Event{Line: Line{At: time.Date(2026, 3, 1, 23, 30, 0, 0, berlin)}}
	for _, c := range []struct {
		at   time.Time
		same bool
	}{
		{time.Date(2026, 3, 1, 0, 0, 0, 0, berlin), true},
		{time.Date(2026, 2, 28, 23, 0, 0, 0, time.UTC), true},
		{time.Date(2026, 3, 1, 23, 0, 0, 0, time.UTC), false},
	} {
		if got := sameDay(late, Event{Line: Line{At: c.at}}); got != c.same {
			t.Errorf("%v: %v", c.at, got)
		}
	}
}
