package exchange

import (
	"context"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// AnnounceForks puts a head for every end of a lane under which two histories
// go on, unless there is one: an end of which no head tells would reach only
// those who happen to read the lane.
func (x *Session) AnnounceForks(ctx context.Context) error {
	if len(x.Member.Forked) == 0 {
		return nil
	}
	return x.Change(ctx, func(v *Membership, tx *sqlite.Tx) error {
		if err := x.Enrol(tx, v); err != nil { // the lane may be new since a moment
			return err
		}
		for _, lane := range v.Forked {
			if err := x.AnnounceEnds(tx, lane); err != nil {
				return err
			}
		}
		v.Forked = nil
		return nil
	})
}

// AnnounceEnds puts a head for every end of a lane of which none tells. That of what this
// replica has yet to seal follows its segments, as every head does: one before them would
// promise what nobody might ever have.
func (x *Session) AnnounceEnds(tx *sqlite.Tx, lane stash.Lane) error {
	ends, err := tx.Ends(lane)
	if err != nil {
		return err
	}
	unsealed, err := unsealedEnd(tx, lane)
	if err != nil {
		return err
	}
	for _, end := range ends {
		told := func(h format.HeadName) bool {
			return h.Lane == lane && h.Last == end.Seq && h.Chain == end.Chain.ID()
		}
		if end == unsealed || x.anyOpened(told) {
			continue
		}
		if err := x.announce(tx, lane, end); err != nil {
			return err
		}
	}
	return nil
}

// unsealedEnd is the end of a lane up to which this replica has yet to seal it, zero
// where there is none.
func unsealedEnd(tx *sqlite.Tx, lane stash.Lane) (end sqlite.End, err error) {
	lanes, err := tx.Lanes()
	if err != nil {
		return end, err
	}
	published, err := tx.Published()
	for _, l := range lanes {
		if d, ours := dueOf(l, published); l.Name == lane && ours && d.mark.Seq < d.Tip.Seq {
			end = d.Tip
		}
	}
	return end, err
}

// anyOpened says whether any verified head is as asked.
func (x *Session) anyOpened(is func(format.HeadName) bool) bool {
	for n := range x.Opened {
		if is(n) {
			return true
		}
	}
	return false
}

// announce has a head put for an end of a lane, for which this replica vouches.
func (x *Session) announce(tx *sqlite.Tx, lane stash.Lane, end sqlite.End) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	i := slices.IndexFunc(lanes, func(l sqlite.Lane) bool { return l.Name == lane })
	if i < 0 {
		return nil
	}
	signer, err := x.SignerOf(x.Member, lanes[i])
	if err != nil {
		return err
	}
	return x.ReplaceHead(tx, x.Member, Due{Lane: lanes[i], Tip: end}, signer)
}

// noteFork remembers that two histories go on under a lane, until heads tell of
// both.
func (x *Session) noteFork(tx *sqlite.Tx, lane stash.Lane) error {
	v, found, err := LoadMembership(tx)
	if err != nil || !found || slices.Contains(v.Forked, lane) {
		return err
	}
	v.Forked = append(v.Forked, lane)
	if !slices.Contains(v.Branched, lane) {
		v.Branched = append(v.Branched, lane)
	}
	x.Member = v
	return v.Save(tx)
}
