package sqlite

import (
	"bytes"
	"fmt"
	"sort"

	"endsmeet/stash"
)

// Incoming is a run of events that another replica passed on.
type Incoming struct {
	Lane    stash.Lane
	Private bool
	// Key is the lane's Ed25519 public key.
	Key []byte
	// First is the sequence number of the first line, Previous the chain hash
	// before it (zero for the first of a lane), Chain that of the last line.
	First           int64
	Previous, Chain stash.Chain
	// Lines are the raw lines without line ends.
	Lines [][]byte
}

// Accepted is what became of a run of events.
type Accepted struct {
	// New is how many of the events were not here before.
	New int
	// Twin says that events stood under a lane of this replica which it did not
	// write: a copy of it, or it before a backup was restored, goes on under the
	// same name. Both histories are kept, and this replica has taken a new lane.
	Twin bool
}

// GapError says that what comes before a run of events is not here yet.
type GapError struct {
	Lane stash.Lane
	// Before is the sequence number of the first event that did come.
	Before int64
}

// Error names the lane and the gap.
func (e *GapError) Error() string {
	return fmt.Sprintf("what comes before event %d of lane %s is not here yet", e.Before, e.Lane)
}

// Accept takes in events of another replica: it verifies their chain, which
// must go on from events that are here, stores them verbatim and folds them.
// Events that are here already are passed over, and two histories under one
// lane name are both kept. A *GapError, a wrong hash or a wrong key leaves the
// transaction as it was; after any other error nothing of it is committed.
func (tx *Tx) Accept(in Incoming) (Accepted, error) {
	chains, err := in.verify()
	if err != nil {
		return Accepted{}, err
	}
	if err := tx.writeTips(); err != nil {
		return Accepted{}, tx.fail(err)
	}
	lane, err := tx.laneFor(in)
	if err != nil {
		return Accepted{}, err
	}
	known, err := tx.knownOf(lane.n, in, chains)
	if err != nil || known == len(chains) {
		return Accepted{}, err
	}
	out := Accepted{New: len(chains) - known}
	if out.Twin, err = tx.leaveTwin(in); err != nil {
		return out, tx.fail(err)
	}
	if lane.n == 0 {
		lane.n, err = tx.insert(`INSERT INTO lane (name, private, key) VALUES (?, ?, ?)`,
			string(in.Lane), in.Private, in.Key)
		if err != nil {
			return out, tx.fail(err)
		}
	}
	tx.moved = true
	if err := tx.load(lane.n, in, chains, known); err != nil {
		return out, tx.fail(err)
	}
	return out, tx.fail(tx.moveTip(lane, in))
}

// verify computes the chain hash of every line and compares the last.
func (in Incoming) verify() ([]stash.Chain, error) {
	if len(in.Lines) == 0 || in.First < 1 || (in.First == 1) != (in.Previous == stash.Chain{}) {
		return nil, stash.Refuse(stash.CodeInput, "",
			"a run of events of lane %s does not say where it begins", stash.Clean(string(in.Lane)))
	}
	chains := make([]stash.Chain, len(in.Lines))
	previous := in.Previous
	for i, raw := range in.Lines {
		previous = stash.NextChain(previous, in.Lane, raw)
		chains[i] = previous
	}
	if previous != in.Chain {
		return nil, stash.Refuse(stash.CodeInput, "have it put back from another machine",
			"events %d to %d of lane %s are not what was written",
			in.First, in.last(), stash.Clean(string(in.Lane)))
	}
	return chains, nil
}

func (in Incoming) last() int64 { return in.First + int64(len(in.Lines)) - 1 }

// laneFor reads the tip of the lane; its number is zero where the lane is
// new here. A known lane whose key or kind differs is refused.
func (tx *Tx) laneFor(in Incoming) (*ownTip, error) {
	lane := &ownTip{name: in.Lane}
	var private bool
	var key []byte
	found, err := tx.oneOfLog(`SELECT n, seq, chain, private, key FROM lane WHERE name = ?`,
		[]any{string(in.Lane)},
		&lane.n, &lane.seq, (*chainScan)(&lane.chain), &private, &key)
	if err == nil && found && (private != in.Private || !bytes.Equal(key, in.Key)) {
		err = stash.Refuse(stash.CodeInput, "",
			"events of lane %s come under another key than the one that it is known by",
			stash.Clean(string(in.Lane)))
	}
	return lane, err
}

// knownOf says how many of the events are here already: since a chain hash
// fixes all that comes before it, they are the first ones.
func (tx *Tx) knownOf(lane int64, in Incoming, chains []stash.Chain) (int, error) {
	var failed error
	has := func(seq int64, chain stash.Chain) bool {
		var n int64
		found, err := tx.oneOfLog(`SELECT n FROM event WHERE lane = ? AND seq = ? AND chain = ?`,
			[]any{lane, seq, chain[:]}, &n)
		if err != nil {
			failed = err
		}
		return found
	}
	if in.First > 1 && !has(in.First-1, in.Previous) && failed == nil {
		return 0, &GapError{in.Lane, in.First}
	}
	known := sort.Search(len(chains),
		func(i int) bool { return !has(in.First+int64(i), chains[i]) })
	return known, failed
}

// leaveTwin takes a new lane if the one given is written by this replica.
func (tx *Tx) leaveTwin(in Incoming) (bool, error) {
	keys, err := tx.store.readKeys()
	if err != nil || keys.Lanes[laneName(in.Private)].Lane != in.Lane {
		return false, err
	}
	delete(tx.lanes, in.Private)
	_, err = tx.store.changeKeys(func(keys *keyFile) (bool, error) {
		keys.Former = append(keys.Former, keys.Lanes[laneName(in.Private)])
		keys.Lanes[laneName(in.Private)] = tx.store.newKey()
		return true, nil
	})
	return true, err
}

// moveTip notes the end of the longest history of a lane, of two as long the
// one with the greater hash, and moves the clock.
func (tx *Tx) moveTip(lane *ownTip, in Incoming) error {
	if in.last() > lane.seq || in.last() == lane.seq &&
		bytes.Compare(in.Chain[:], lane.chain[:]) > 0 {
		lane.seq, lane.chain = in.last(), in.Chain
	}
	return tx.writeTip(lane)
}
