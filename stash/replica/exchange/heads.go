package exchange

import (
	"context"
	"errors"
	"maps"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// ReadHeads opens the heads that were not there in the last run, asks by name
// for those that are not listed any more, and draws from both which lanes the
// place may lack something of.
func (x *Session) ReadHeads(ctx context.Context) error {
	x.Opened, x.fresh = map[format.HeadName]format.Head{}, nil
	for _, h := range x.Heads {
		if err := x.readHead(ctx, h); err != nil {
			return err
		}
	}
	if err := x.askForGone(ctx); err != nil {
		return err
	}
	unknown := func(h format.HeadName) bool { _, known := x.Member.Device(h.Lane); return !known }
	if x.anyOpened(unknown) {
		if err := x.learnSigners(ctx); err != nil {
			return err
		}
	}
	for _, h := range x.fresh {
		x.compareSeen(h)
	}
	return x.rememberHeads(ctx)
}

// readHead opens a head, unless it was in the last run: its name holds the hash
// of its content.
func (x *Session) readHead(ctx context.Context, n format.HeadName) error {
	if c, known := x.Member.Heads[n.Name()]; known {
		if _, gone := x.Member.RemovedLane(c.By); !gone {
			x.Opened[n] = format.Head{HeadName: n, Claims: c}
		}
		return nil
	}
	h, found, err := x.openListed(ctx, n)
	if found {
		x.Opened[n] = h
		x.fresh = append(x.fresh, h)
	}
	return err
}

// openListed gets and opens a head; found says that it is there and good. What
// is not is noted.
func (x *Session) openListed(
	ctx context.Context,
	n format.HeadName,
) (h format.Head, found bool, err error) {
	if _, known := x.Member.Epoch(n.Epoch); !known {
		x.Report.Strange++
		return h, false, nil
	}
	data, err := x.Get(ctx, n.Name())
	if errors.Is(err, remote.NotFound) {
		return h, false, nil
	}
	if err != nil {
		return h, false, err
	}
	h, err = x.Member.OpenHead(n.Name(), data)
	var b *format.BadObject
	if errors.As(err, &b) && b.Step == format.StepRegister {
		if err := x.learnSigners(ctx); err != nil {
			return h, false, err
		}
		h, err = x.Member.OpenHead(n.Name(), data)
	}
	if err != nil {
		return h, false, x.refuse(ctx, err)
	}
	return h, true, nil
}

// askForGone asks by name for the heads that were there and are listed no more,
// though nothing newer of their lane is: a list may be late. One that is gone
// makes its lane suspect.
func (x *Session) askForGone(ctx context.Context) error {
	var own []string
	err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		own, err = tx.OwnObjects(format.HeadPrefix)
		return err
	})
	if err != nil {
		return err
	}
	mine := map[remote.Name]bool{}
	for _, name := range own {
		mine[remote.Name(name)] = true
	}
	expected := slices.Concat(
		slices.Collect(maps.Keys(x.Member.Heads)),
		slices.Collect(maps.Keys(mine)),
	)
	slices.Sort(expected)
	for _, name := range slices.Compact(expected) {
		n, ok := format.ParseHead(name)
		if !ok || slices.Contains(x.Heads, n) || !mine[name] && x.replacedHead(n) {
			continue
		}
		h, found, err := x.openListed(ctx, n)
		if err != nil {
			return err
		}
		if !found {
			x.suspect(n.Lane, 0)
			continue
		}
		x.Heads, x.Opened[n] = append(x.Heads, n), h
	}
	return nil
}

// replacedHead says that another head of the lane tells at least as much. Of a
// lane under which two histories go on none does for sure.
func (x *Session) replacedHead(n format.HeadName) bool {
	if slices.Contains(x.Member.Branched, n.Lane) {
		return false
	}
	for h := range x.Opened {
		if h.Lane == n.Lane && (h.Last > n.Last || h.Last == n.Last && h.Chain == n.Chain) {
			return true
		}
	}
	return false
}

// compareSeen suspects the lanes of which the writer of a new head had seen
// less than was there and here before this run. A head that its writer has
// replaced since, and that is shown again, tells nothing.
func (x *Session) compareSeen(h format.Head) {
	for _, other := range x.Opened {
		if other.By == h.By && other.At.After(h.At) {
			return
		}
	}
	for lane, last := range x.before {
		seen := h.Saw(lane)
		d, _ := x.Member.Device(lane)
		if seen < last && (seen > 0 || !d.Private) {
			x.suspect(lane, seen)
		}
	}
}

// suspect notes that the place may lack something of a lane beyond a number.
func (x *Session) suspect(lane stash.Lane, upto int64) {
	if had, already := x.Suspects[lane]; !already || upto < had {
		x.Suspects[lane] = upto
	}
}

// noteBefore notes how far every lane was there and here when the run began.
func (x *Session) noteBefore(ctx context.Context) error {
	x.before = map[stash.Lane]int64{}
	return x.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		lanes, err := tx.Lanes()
		if err != nil {
			return err
		}
		published, err := tx.Published()
		if err != nil {
			return err
		}
		for _, l := range lanes {
			if _, known := x.Member.Device(l.Name); known {
				x.before[l.Name] = l.Last
			}
		}
		for _, p := range published {
			if p.Tip == nil || p.Mark.Seq < p.Tip.Seq {
				x.before[p.Lane] = p.Mark.Seq
			}
		}
		return nil
	})
}

// rememberHeads keeps what the heads of this run say.
func (x *Session) rememberHeads(ctx context.Context) error {
	now := map[remote.Name]format.Claims{}
	for n, h := range x.Opened {
		now[n.Name()] = h.Claims
	}
	same := maps.EqualFunc(
		now,
		x.Member.Heads,
		func(a, b format.Claims) bool { return a.By == b.By },
	)
	if same {
		return nil
	}
	return x.Change(ctx, func(v *Membership, _ *sqlite.Tx) error {
		v.Heads = now
		return nil
	})
}

// claimed gives, for every lane that is known here, the greatest number that
// any verified head tells of, and who has seen it.
func (x *Session) claimed() map[stash.Lane]claim {
	out := map[stash.Lane]claim{}
	for _, d := range x.Member.Devices {
		for _, h := range x.Opened {
			seen := h.Saw(d.Lane)
			c := out[d.Lane]
			if seen > c.last {
				c = claim{last: seen}
			}
			by, _ := x.Member.Device(h.By)
			if seen == c.last && seen > 0 && h.By != d.Lane && by.Recipient != d.Recipient {
				c.holders = append(c.holders, x.Member.Label(h.By))
			}
			out[d.Lane] = c
		}
	}
	return out
}

// claim is up to where a lane was seen, and by whom but its writer.
type claim struct {
	last    int64
	holders []string
}

// nameGaps says what verified heads tell of and is not here, and which removed
// machines wrote what nobody takes in. Machines are called what they are now.
func (x *Session) nameGaps(ctx context.Context) error {
	upto, here, err := x.lacking(ctx)
	if err != nil || len(upto) == 0 {
		return err
	}
	if err := x.WhoIsThere(ctx); err != nil {
		return err
	}
	claims := x.claimed()
	for _, lane := range slices.Sorted(maps.Keys(upto)) {
		x.Report.Gaps = append(x.Report.Gaps,
			Gap{Lane: lane, Name: x.Member.Label(lane), From: min(here[lane]+1, upto[lane]),
				To: upto[lane], Holders: distinct(claims[lane].holders)})
	}
	return nil
}

// lacking gives the lanes of which verified heads tell more than is here, up to
// which number they do, and up to which every lane is here.
func (x *Session) lacking(ctx context.Context) (upto, here map[stash.Lane]int64, err error) {
	upto, here = map[stash.Lane]int64{}, map[stash.Lane]int64{}
	err = x.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		lanes, err := tx.Lanes()
		if err != nil {
			return err
		}
		for _, l := range lanes {
			here[l.Name] = l.Last
		}
		for _, h := range x.Heads {
			held, err := HoldsHead(tx, h)
			if err != nil {
				return err
			}
			if _, verified := x.Opened[h]; !held && verified {
				upto[h.Lane] = max(upto[h.Lane], h.Last)
			} else if !held {
				x.noteShut(h)
			}
		}
		for lane, c := range x.claimed() {
			if c.last > here[lane] {
				upto[lane] = max(upto[lane], c.last)
			}
		}
		return nil
	})
	return upto, here, err
}

func distinct(names []string) []string {
	slices.Sort(names)
	return slices.Compact(names)
}

// noteShut notes that a removed machine wrote a head after it was shut out.
func (x *Session) noteShut(h format.HeadName) {
	if gone, shut := x.Member.Shut(h); shut {
		x.Report.Shut = append(x.Report.Shut, gone.Label())
	}
}

// HoldsHead says whether what a head tells of is here.
func HoldsHead(tx *sqlite.Tx, h format.HeadName) (bool, error) {
	if h.Last == 0 {
		return true, nil
	}
	return tx.Holds(h.Lane, h.Last, h.Chain)
}
