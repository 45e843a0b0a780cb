package replica

import (
	"context"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// Repair reads all that lies in the shared place and puts back what is missing
// or damaged and is held here, of whatever lane. Damaged objects that are thus
// replaced are deleted. What nobody here holds stays as it is. With refill it
// also fills a place in which nothing shows that it is the shared one.
func (r *Replica) Repair(ctx context.Context, refill bool) (Checked, error) {
	var out Checked
	err := r.locked(ctx, func() error {
		i, err := r.inspect(ctx, true, refill)
		if err == nil {
			i.junk = true
			err = i.mend(ctx)
		}
		if i != nil {
			out = i.out
			out.Traffic = i.traffic
		}
		return placeError(err)
	})
	return out, err
}

func (i *inspection) mend(ctx context.Context) error {
	before := i.traffic.Puts
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
	err := i.change(ctx, func(v *vault, tx *sqlite.Tx) error {
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
	err = i.finish(ctx)
	i.out.Repaired = i.traffic.Puts - before
	return err
}

// pullUnannounced reads the segments of a lane of which no head tells, and
// puts heads.
func (i *inspection) pullUnannounced(ctx context.Context, lane stash.Lane) error {
	var names []remote.Name
	last := int64(0)
	for _, n := range i.segs[lane] {
		names, last = append(names, n.name()), max(last, n.last)
	}
	p := puller{exchange: i.exchange, waiting: map[segName]sqlite.Incoming{}}
	p.offer(names, last)
	if err := p.all(ctx); err != nil {
		return err
	}
	if err := i.announceForks(ctx); err != nil {
		return err
	}
	return i.o.Store.Act(ctx, func(tx *sqlite.Tx) error { return i.announceEnds(tx, lane) })
}

// putBack seals a run of events again, in as many segments as it takes, and a
// head where there is none.
func (i *inspection) putBack(ctx context.Context, l lack) error {
	for from := l.from; from <= l.to; {
		err := i.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
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
	return i.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
		signer, err := i.signerOf(i.v, l.lane)
		if err != nil {
			return err
		}
		return i.replaceHead(tx, i.v, due{lane: l.lane, tip: l.end, follows: l.lane.Own}, signer)
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
			"events from %d on of lane %s are not whole here", from, l.lane.Name)
	}
	path = path[:min(int64(len(path)), l.to-from+1)]
	path = path[:portion(path)]
	signer, err := i.signerOf(i.v, l.lane)
	if err != nil {
		return 0, err
	}
	n, data, err := i.v.seal(l.lane.Name, previous, path, signer)
	if err != nil {
		return 0, err
	}
	return path[len(path)-1].Seq + 1, tx.Stow(string(n.name()), data)
}

// putBackVault has the parts of the vault put that are lost.
func (i *inspection) putBackVault(tx *sqlite.Tx, v *vault) error {
	if !i.formatGood {
		if err := tx.Stow(string(formatName), formatOf(v.ID)); err != nil {
			return err
		}
	}
	own, err := i.o.Store.Signer(false)
	if err != nil {
		return err
	}
	for _, name := range i.out.Lost {
		if k := slices.IndexFunc(v.Kept,
			func(k keptObject) bool { return k.Name == name }); k >= 0 {
			if err := tx.Stow(string(name), v.Kept[k].Data); err != nil {
				return err
			}
		}
		if d, ok := v.device(stash.Lane(strings.TrimPrefix(string(name), devicePrefix))); ok {
			if err := v.putBackRecord(tx, d, own); err != nil {
				return err
			}
		}
	}
	return nil
}

// putBackRecord has the record of a lane put as it was, or, where that is not
// kept or was sealed with an earlier key, anew: two machines that vouched for
// each other would be unknown to whoever comes new.
func (v *vault) putBackRecord(tx *sqlite.Tx, d Device, own sqlite.Signer) error {
	kept := v.Records[d.Lane]
	n, ok := parseDevice(kept.Name)
	if ok {
		_, err := v.openDevice(n, kept.Data)
		ok = err == nil
	}
	if !ok {
		return v.register(tx, d, own)
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
		if err := tx.Doom(string(b.Name), i.o.Now()); err != nil {
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
func (i *inspection) isJunk(b BadObject) bool {
	n, isSeg := parseSeg(b.Name)
	missed := slices.ContainsFunc(i.out.Gaps, func(g Gap) bool { return g.Lane == n.lane })
	unreadable := b.Step == StepHash || b.Step == StepLength || b.Step == StepHeader ||
		b.Step == StepFormat && isSeg
	return b.Name != formatName && unreadable && !(isSeg && missed)
}

func (i *inspection) replaced(tx *sqlite.Tx, name remote.Name) (bool, error) {
	if r, ok := i.misplaced[name]; ok { // it lies under its own name too, or was put there anew
		return tx.Holds(r.lane, r.last, r.chain)
	}
	if n, ok := parseSeg(name); ok {
		return tx.Holds(n.lane, n.last, n.chain)
	}
	if n, ok := parseHead(name); ok {
		return tx.Holds(n.lane, n.last, n.chain)
	}
	if n, ok := parseDevice(name); ok {
		_, known := i.v.device(n.lane)
		return known && i.v.Records[n.lane].Name != name, nil // which is put again under its name
	}
	if n, ok := parseKey(name); ok { // one that nobody here can put again
		return n.epoch == i.v.current().Name &&
			!slices.ContainsFunc(i.v.Kept, func(k keptObject) bool { return k.Name == name }) &&
			n.kind == wrapDevice, nil
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
			func(b BadObject) bool { return string(b.Name) == q.Name })
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
