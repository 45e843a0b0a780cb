package replica

import (
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/sqlite"
	"fmt"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// kept are the seeds of histories that failed once, with what was wrong.
var kept = map[uint64]string{
	51462:   "a place that damaged what its writer lost with a backup was expected to be whole",
	51689:   "what a machine wrote before its first exchange was lost with it, though a copy had it",
	52050:   "a head was signed by a lane whose record came later, and was lost with a backup",
	700099:  "what was merged was deleted though the place had lost what it was merged into",
	729783:  "the lost head of the shorter of two histories was not missed by the check",
	729797:  "the same, three machines",
	5004935: "the head of a copy's tail was put before its events, and the machine was lost",
}

func TestConvergence(t *testing.T) {
	t.Parallel()
	histories := number("ENDSMEET_HISTORIES", 100)
	if os.Getenv("ENDSMEET_LONG") != "" {
		histories = 10_000
	}
	seeds := slices.Sorted(maps.Keys(kept))
	for i := range histories {
		seeds = append(seeds, number("ENDSMEET_SEED", 1)+i)
	}
	did := &deeds{count: map[string]int{}}
	t.Run("history", func(t *testing.T) {
		for _, seed := range seeds {
			runHistory(t, seed, did)
		}
	})
	for _, what := range deedsWanted(histories) {
		if did.count[what] == 0 {
			t.Errorf("in %d histories there was no %s", histories, what)
		}
	}
	t.Logf("%d histories: %v", len(seeds), did.count)
}

// deedsWanted are what has to happen in so many histories: in few of them some
// things, in many all, and crashes everywhere.
func deedsWanted(histories uint64) []string {
	var wanted []string
	if histories >= 100 {
		wanted = append(
			wanted,
			"crash",
			"twin",
			"restored",
			"copied",
			"clock moved",
			"merged",
			"merged deleted",
			"object lost",
			"object flipped",
			"crash at "+string(exchange.PointConsolidating),
			"crash at "+string(exchange.PointConsolidated),
		)
	}
	if histories >= 5000 {
		for _, p := range places {
			if !slices.Contains(elsewhere, p) {
				wanted = append(wanted, "crash at "+string(p))
			}
		}
	}
	return wanted
}

// elsewhere are the points that no exchange and no edit comes by: setting up,
// joining and changing the key. Killing at them is tested with processes.
var elsewhere = []exchange.Point{
	exchange.PointMaking,
	exchange.PointMade,
	exchange.PointRekeying,
	exchange.PointRekeyed,
	exchange.Point(sqlite.PointKey),
	exchange.Point(sqlite.PointKeyed),
}

func number(variable string, otherwise uint64) uint64 {
	if n, err := strconv.ParseUint(os.Getenv(variable), 10, 64); err == nil {
		return n
	}
	return otherwise
}

func runHistory(t *testing.T, seed uint64, did *deeds) {
	t.Run(fmt.Sprintf("seed %d", seed), func(t *testing.T) {
		t.Parallel()
		var h *history
		defer func() {
			if t.Failed() && h != nil {
				t.Logf("seed %d, honest %v\n%s", seed, h.honest, strings.Join(h.log, "\n"))
			}
		}()
		h = newHistory(t, seed, did)
		h.run(8 + h.chance.IntN(16))
	})
}
