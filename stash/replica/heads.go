package replica

import (
	"context"
	"errors"
	"maps"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// readHeads opens the heads that were not there in the last run, asks by name
// for those that are not listed any more, and draws from both which lanes the
// place may lack something of.
func (x *exchange) readHeads(ctx context.Context) error {
	x.opened, x.fresh = map[headName]Head{}, nil
	for _, h := range x.heads {
		if err := x.readHead(ctx, h); err != nil {
			return err
		}
	}
	if err := x.askForGone(ctx); err != nil {
		return err
	}
	unknown := func(h headName) bool { _, known := x.v.device(h.lane); return !known }
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
func (x *exchange) readHead(ctx context.Context, n headName) error {
	if c, known := x.v.Heads[n.name()]; known {
		if _, gone := x.v.removed(c.By); !gone {
			x.opened[n] = Head{n, c}
		}
		return nil
	}
	h, found, err := x.openListed(ctx, n)
	if found {
		x.opened[n] = h
		x.fresh = append(x.fresh, h)
	}
	return err
}

// openListed gets and opens a head; found says that it is there and good. What
// is not is noted.
func (x *exchange) openListed(ctx context.Context, n headName) (h Head, found bool, err error) {
	if _, known := x.v.epoch(n.epoch); !known {
		x.report.Strange++
		return h, false, nil
	}
	data, err := x.Get(ctx, n.name())
	if errors.Is(err, remote.NotFound) {
		return h, false, nil
	}
	if err != nil {
		return h, false, err
	}
	h, err = x.v.openHead(n.name(), data)
	var b *BadObject
	if errors.As(err, &b) && b.Step == StepRegister {
		if err := x.learnSigners(ctx); err != nil {
			return h, false, err
		}
		h, err = x.v.openHead(n.name(), data)
	}
	if err != nil {
		return h, false, x.refuse(ctx, err)
	}
	return h, true, nil
}

// askForGone asks by name for the heads that were there and are listed no more,
// though nothing newer of their lane is: a list may be late. One that is gone
// makes its lane suspect.
func (x *exchange) askForGone(ctx context.Context) error {
	var own []string
	err := x.o.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		own, err = tx.OwnObjects(headPrefix)
		return err
	})
	if err != nil {
		return err
	}
	mine := map[remote.Name]bool{}
	for _, name := range own {
		mine[remote.Name(name)] = true
	}
	expected := slices.Concat(slices.Collect(maps.Keys(x.v.Heads)), slices.Collect(maps.Keys(mine)))
	slices.Sort(expected)
	for _, name := range slices.Compact(expected) {
		n, ok := parseHead(name)
		if !ok || slices.Contains(x.heads, n) || !mine[name] && x.replacedHead(n) {
			continue
		}
		h, found, err := x.openListed(ctx, n)
		if err != nil {
			return err
		}
		if !found {
			x.suspect(n.lane, 0)
			continue
		}
		x.heads, x.opened[n] = append(x.heads, n), h
	}
	return nil
}

// replacedHead says that another head of the lane tells at least as much. Of a
// lane under which two histories go on none does for sure.
func (x *exchange) replacedHead(n headName) bool {
	if slices.Contains(x.v.Branched, n.lane) {
		return false
	}
	for h := range x.opened {
		if h.lane == n.lane && (h.last > n.last || h.last == n.last && h.chain == n.chain) {
			return true
		}
	}
	return false
}

// compareSeen suspects the lanes of which the writer of a new head had seen
// less than was there and here before this run. A head that its writer has
// replaced since, and that is shown again, tells nothing.
func (x *exchange) compareSeen(h Head) {
	for _, other := range x.opened {
		if other.By == h.By && other.At.After(h.At) {
			return
		}
	}
	for lane, last := range x.before {
		seen := h.seen(lane)
		d, _ := x.v.device(lane)
		if seen < last && (seen > 0 || !d.Private) {
			x.suspect(lane, seen)
		}
	}
}

// suspect notes that the place may lack something of a lane beyond a number.
func (x *exchange) suspect(lane stash.Lane, upto int64) {
	if had, already := x.suspects[lane]; !already || upto < had {
		x.suspects[lane] = upto
	}
}

// noteBefore notes how far every lane was there and here when the run began.
func (x *exchange) noteBefore(ctx context.Context) error {
	x.before = map[stash.Lane]int64{}
	return x.o.Store.View(ctx, func(tx *sqlite.Tx) error {
		lanes, err := tx.Lanes()
		if err != nil {
			return err
		}
		published, err := tx.Published()
		if err != nil {
			return err
		}
		for _, l := range lanes {
			if _, known := x.v.device(l.Name); known {
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
func (x *exchange) rememberHeads(ctx context.Context) error {
	now := map[remote.Name]claims{}
	for n, h := range x.opened {
		now[n.name()] = h.claims
	}
	same := maps.EqualFunc(now, x.v.Heads, func(a, b claims) bool { return a.By == b.By })
	if same {
		return nil
	}
	return x.change(ctx, func(v *vault, _ *sqlite.Tx) error {
		v.Heads = now
		return nil
	})
}

// claimed gives, for every lane that is known here, the greatest number that
// any verified head tells of, and who has seen it.
func (x *exchange) claimed() map[stash.Lane]claim {
	out := map[stash.Lane]claim{}
	for _, d := range x.v.Devices {
		for _, h := range x.opened {
			seen := h.seen(d.Lane)
			c := out[d.Lane]
			if seen > c.last {
				c = claim{last: seen}
			}
			by, _ := x.v.device(h.By)
			if seen == c.last && seen > 0 && h.By != d.Lane && by.Recipient != d.Recipient {
				c.holders = append(c.holders, x.v.label(h.By))
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
func (x *exchange) nameGaps(ctx context.Context) error {
	upto, here, err := x.lacking(ctx)
	if err != nil || len(upto) == 0 {
		return err
	}
	if err := x.whoIsThere(ctx); err != nil {
		return err
	}
	claims := x.claimed()
	for _, lane := range slices.Sorted(maps.Keys(upto)) {
		x.report.Gaps = append(x.report.Gaps,
			Gap{Lane: lane, Name: x.v.label(lane), From: min(here[lane]+1, upto[lane]),
				To: upto[lane], Holders: distinct(claims[lane].holders)})
	}
	return nil
}

// lacking gives the lanes of which verified heads tell more than is here, up to
// which number they do, and up to which every lane is here.
func (x *exchange) lacking(ctx context.Context) (upto, here map[stash.Lane]int64, err error) {
	upto, here = map[stash.Lane]int64{}, map[stash.Lane]int64{}
	err = x.o.Store.View(ctx, func(tx *sqlite.Tx) error {
		lanes, err := tx.Lanes()
		if err != nil {
			return err
		}
		for _, l := range lanes {
			here[l.Name] = l.Last
		}
		for _, h := range x.heads {
			held, err := holdsHead(tx, h)
			if err != nil {
				return err
			}
			if _, verified := x.opened[h]; !held && verified {
				upto[h.lane] = max(upto[h.lane], h.last)
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
func (x *exchange) noteShut(h headName) {
	if gone, shut := x.v.shut(h); shut {
		x.report.Shut = append(x.report.Shut, gone.label())
	}
}

// holdsHead says whether what a head tells of is here.
func holdsHead(tx *sqlite.Tx, h headName) (bool, error) {
	if h.last == 0 {
		return true, nil
	}
	return tx.Holds(h.lane, h.last, h.chain)
}
