package replica

import (
	"context"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// announceForks puts a head for every end of a lane under which two histories
// go on, unless there is one: an end of which no head tells would reach only
// those who happen to read the lane.
func (x *exchange) announceForks(ctx context.Context) error {
	if len(x.v.Forked) == 0 {
		return nil
	}
	return x.change(ctx, func(v *vault, tx *sqlite.Tx) error {
		if err := x.enrol(tx, v); err != nil { // the lane may be new since a moment
			return err
		}
		for _, lane := range v.Forked {
			if err := x.announceEnds(tx, lane); err != nil {
				return err
			}
		}
		v.Forked = nil
		return nil
	})
}

// announceEnds puts a head for every end of a lane of which none tells.
func (x *exchange) announceEnds(tx *sqlite.Tx, lane stash.Lane) error {
	ends, err := tx.Ends(lane)
	if err != nil {
		return err
	}
	for _, end := range ends {
		told := func(h headName) bool {
			return h.lane == lane && h.last == end.Seq &&
				h.chain == end.Chain.ID()
		}
		if x.anyOpened(told) {
			continue
		}
		if err := x.announce(tx, lane, end); err != nil {
			return err
		}
	}
	return nil
}

// anyOpened says whether any verified head is as asked.
func (x *exchange) anyOpened(is func(headName) bool) bool {
	for n := range x.opened {
		if is(n) {
			return true
		}
	}
	return false
}

// announce has a head put for an end of a lane, for which this replica vouches.
func (x *exchange) announce(tx *sqlite.Tx, lane stash.Lane, end sqlite.End) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	i := slices.IndexFunc(lanes, func(l sqlite.Lane) bool { return l.Name == lane })
	if i < 0 {
		return nil
	}
	signer, err := x.signerOf(x.v, lanes[i])
	if err != nil {
		return err
	}
	return x.replaceHead(tx, x.v, due{lane: lanes[i], tip: end}, signer)
}

// noteFork remembers that two histories go on under a lane, until heads tell of
// both.
func (x *exchange) noteFork(tx *sqlite.Tx, lane stash.Lane) error {
	v, found, err := loadVault(tx)
	if err != nil || !found || slices.Contains(v.Forked, lane) {
		return err
	}
	v.Forked = append(v.Forked, lane)
	if !slices.Contains(v.Branched, lane) {
		v.Branched = append(v.Branched, lane)
	}
	x.v = v
	return v.save(tx)
}
