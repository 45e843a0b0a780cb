package replica

import (
	"context"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// Repair reads all that lies in the shared place and puts back what is missing
// or damaged and is held here, of whatever lane. Damaged objects that are thus
// replaced are deleted. What nobody here holds stays as it is. With refill it
// also fills a place in which nothing shows that it is the shared one.
func (r *Replica) Repair(ctx context.Context, refill bool) (Checked, error) {
	var out Checked
	err := r.part.Locked(ctx, func() error {
		i, err := r.inspect(ctx, true, refill)
		if err == nil {
			i.junk = true
			err = i.mend(ctx)
		}
		if i != nil {
			out = i.out
			out.Traffic = i.Traffic
		}
		return exchange.Refusal(err)
	})
	return out, err
}

func (i *inspection) mend(ctx context.Context) error {
	before := i.Traffic.Puts
	for _, g := range i.out.Unannounced {
		if err := i.pullUnannounced(ctx, g.Lane); err != nil {
			return err
		}
	}
	for _, l := range i.lack {
		if err := i.putBack(ctx, l); err != nil {
			return err
		}
	}
	err := i.Change(ctx, func(v *exchange.Membership, tx *sqlite.Tx) error {
		if err := i.putBackVault(tx, v); err != nil {
			return err
		}
		if err := i.clear(tx); err != nil {
			return err
		}
		return i.forgetGone(tx)
	})
	if err != nil {
		return err
	}
	err = i.Finish(ctx)
	i.out.Repaired = i.Traffic.Puts - before
	return err
}

// pullUnannounced reads the segments of a lane of which no head tells, and
// puts heads.
func (i *inspection) pullUnannounced(ctx context.Context, lane stash.Lane) error {
	var names []remote.Name
	last := int64(0)
	for _, n := range i.segs[lane] {
		names, last = append(names, n.Name()), max(last, n.Last)
	}
	if err := i.PullNamed(ctx, names, last); err != nil {
		return err
	}
	if err := i.AnnounceForks(ctx); err != nil {
		return err
	}
	return i.Options.Store.Act(ctx, func(tx *sqlite.Tx) error { return i.AnnounceEnds(tx, lane) })
}

// putBack seals a run of events again, in as many segments as it takes, and a
// head where there is none.
func (i *inspection) putBack(ctx context.Context, l lack) error {
	for from := l.from; from <= l.to; {
		err := i.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
			next, err := i.sealAgain(tx, l, from)
			from = next
			return err
		})
		if err != nil {
			return err
		}
	}
	if !l.headless {
		return nil
	}
	return i.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
		signer, err := i.SignerOf(i.Member, l.lane)
		if err != nil {
			return err
		}
		return i.ReplaceHead(
			tx,
			i.Member,
			exchange.Due{Lane: l.lane, Tip: l.end, Follows: l.lane.Own},
			signer,
		)
	})
}

// sealAgain seals events of a history from a number on and gives the number
// after the last.
func (i *inspection) sealAgain(tx *sqlite.Tx, l lack, from int64) (int64, error) {
	path, err := tx.Branch(l.lane.Name, max(from-2, 0), l.end)
	if err != nil {
		return 0, err
	}
	var previous stash.Chain
	if from > 1 && len(path) > 0 {
		previous, path = path[0].Chain, path[1:]
	}
	if len(path) == 0 || path[0].Seq != from {
		return 0, stash.Refuse(stash.CodeStorage, "run `endsmeet check`",
			"entries from %d on of machine %s are not whole here", from, l.lane.Name)
	}
	path = path[:min(int64(len(path)), l.to-from+1)]
	path = path[:format.Portion(path)]
	signer, err := i.SignerOf(i.Member, l.lane)
	if err != nil {
		return 0, err
	}
	n, data, err := i.Member.Seal(l.lane.Name, previous, path, signer)
	if err != nil {
		return 0, err
	}
	return path[len(path)-1].Seq + 1, tx.Stow(string(n.Name()), data)
}

// putBackVault has the parts of the vault put that are lost.
func (i *inspection) putBackVault(tx *sqlite.Tx, v *exchange.Membership) error {
	if !i.formatGood {
		if err := tx.Stow(string(format.FileName), format.FileOf(v.ID)); err != nil {
			return err
		}
	}
	own, err := i.Options.Store.Signer(false)
	if err != nil {
		return err
	}
	for _, name := range i.out.Lost {
		if k := slices.IndexFunc(v.Kept,
			func(k format.Object) bool { return k.Name == name }); k >= 0 {
			if err := tx.Stow(string(name), v.Kept[k].Data); err != nil {
				return err
			}
		}
		if d, ok := v.Device(stash.Lane(strings.TrimPrefix(string(name), format.DevicePrefix))); ok {
			if err := putBackRecord(tx, v, d, own); err != nil {
				return err
			}
		}
	}
	return nil
}

// putBackRecord has the record of a lane put as it was, or, where that is not
// kept or was sealed with an earlier key, anew: two machines that vouched for
// each other would be unknown to whoever comes new.
func putBackRecord(tx *sqlite.Tx, v *exchange.Membership, d format.Device,
	own sqlite.Signer) error {
	kept := v.Records[d.Lane]
	n, ok := format.ParseDevice(kept.Name)
	if ok {
		_, err := v.OpenDevice(n, kept.Data)
		ok = err == nil
	}
	if !ok {
		return v.Register(tx, d, own)
	}
	return tx.Stow(string(kept.Name), kept.Data)
}

// clear dooms damaged objects whose content is held here or was put anew. A
// wrap of the keys was put again under its name.
func (i *inspection) clear(tx *sqlite.Tx) error {
	for _, b := range i.out.Bad {
		replaced, err := i.replaced(tx, b.Name)
		if err != nil {
			return err
		}
		if !replaced && !(i.junk && i.isJunk(b)) {
			continue
		}
		if err := tx.Doom(string(b.Name), i.Options.Now()); err != nil {
			return err
		}
		if err := tx.NoteOwnObject(string(b.Name), false); err != nil {
			return err
		}
		i.out.Cleared++
	}
	return nil
}

// isJunk says that an object can never be read by anybody, with whatever key,
// and that no verified head tells of events that it might have held.
func (i *inspection) isJunk(b format.BadObject) bool {
	n, isSeg := format.ParseSegment(b.Name)
	missed := slices.ContainsFunc(i.out.Gaps, func(g exchange.Gap) bool { return g.Lane == n.Lane })
	unreadable := b.Step == format.StepHash || b.Step == format.StepLength ||
		b.Step == format.StepHeader ||
		b.Step == format.StepFormat && isSeg
	return b.Name != format.FileName && unreadable && !(isSeg && missed)
}

func (i *inspection) replaced(tx *sqlite.Tx, name remote.Name) (bool, error) {
	if r, ok := i.misplaced[name]; ok { // it lies under its own name too, or was put there anew
		return tx.Holds(r.Lane, r.Last, r.Chain)
	}
	if n, ok := format.ParseSegment(name); ok {
		return tx.Holds(n.Lane, n.Last, n.Chain)
	}
	if n, ok := format.ParseHead(name); ok {
		return tx.Holds(n.Lane, n.Last, n.Chain)
	}
	if n, ok := format.ParseDevice(name); ok {
		_, known := i.Member.Device(n.Lane)
		return known &&
			i.Member.Records[n.Lane].Name != name, nil // which is put again under its name
	}
	if n, ok := format.ParseKey(name); ok { // one that nobody here can put again
		return n.Epoch == i.Member.Current().Name &&
			!slices.ContainsFunc(
				i.Member.Kept,
				func(k format.Object) bool { return k.Name == name },
			) &&
			n.Kind == format.WrapDevice, nil
	}
	return false, nil
}

// forgetGone forgets what was noted of objects that are no more there, or are
// good again.
func (i *inspection) forgetGone(tx *sqlite.Tx) error {
	noted, err := tx.Quarantined()
	if err != nil {
		return err
	}
	for _, q := range noted {
		standing := slices.ContainsFunc(i.out.Bad,
			func(b format.BadObject) bool { return string(b.Name) == q.Name })
		if replaced, err := i.replaced(tx, remote.Name(q.Name)); err != nil {
			return err
		} else if standing && !replaced {
			continue
		}
		if err := tx.Quarantine(q.Name, ""); err != nil {
			return err
		}
	}
	return nil
}
