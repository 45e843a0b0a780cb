package replica

import (
	"cmp"
	"context"
	"slices"
	"strings"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// Machine is one machine of the vault with the lanes that it writes.
type Machine struct {
	// ID is the short name of its first lane.
	ID    string       `json:"id"`
	Name  string       `json:"name"`
	Own   bool         `json:"own"`
	Lanes []stash.Lane `json:"lanes"`
	// Removed says that it was shut out.
	Removed bool `json:"removed"`
}

// machines groups the lanes by the machine that writes them.
func (v *vault) machines(own map[stash.Lane]bool) []Machine {
	var out []Machine
	index := map[string]int{}
	for _, d := range v.Devices {
		_, gone := v.removed(d.Lane)
		key := cmp.Or(d.Recipient, string(d.Lane))
		i, ok := index[key]
		if !ok {
			i = len(out)
			index[key] = i
			out = append(out, Machine{ID: string(d.Lane[:6]), Name: v.label(d.Lane), Removed: gone})
		}
		out[i].Lanes = append(out[i].Lanes, d.Lane)
		out[i].Own = out[i].Own || own[d.Lane]
	}
	slices.SortStableFunc(out, func(a, b Machine) int { return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.ID, b.ID)) })
	return out
}

// find finds a machine by its name, its id, or this one by "this".
func (v *vault) find(query string, own map[stash.Lane]bool) (Machine, error) {
	var hits []Machine
	var names []stash.Choice
	for _, m := range v.machines(own) {
		names = append(names, stash.Choice{ID: m.ID, Name: m.Name})
		byID := len(query) >= 4 && slices.ContainsFunc(m.Lanes, func(l stash.Lane) bool { return strings.HasPrefix(string(l), query) })
		if strings.EqualFold(m.Name, query) || byID || m.Own && query == "this" {
			hits = append(hits, m)
		}
	}
	switch len(hits) {
	case 0:
		return Machine{}, stash.Refuse(stash.CodeUnknown, "`endsmeet sync devices` lists them", "no machine is called %q", stash.Clean(query))
	case 1:
		return hits[0], nil
	}
	return Machine{}, stash.Ambiguous("machine", query, names)
}

// ownLanes are the lanes that this replica writes or wrote.
func (r *Replica) ownLanes() (map[stash.Lane]bool, error) {
	signers, err := r.o.Store.Signers()
	own := map[stash.Lane]bool{}
	for _, s := range signers {
		own[s.Lane] = true
	}
	return own, err
}

// Devices lists the machines of the vault as they are known here.
func (r *Replica) Devices(ctx context.Context) ([]Machine, error) {
	var out []Machine
	err := r.o.Store.View(ctx, func(tx *sqlite.Tx) error {
		v, found, err := loadVault(tx)
		if err == nil && !found {
			err = stash.Refuse(stash.CodeRefused, "`endsmeet sync setup WHERE` makes one", "this stash has no shared place yet")
		}
		if err != nil {
			return err
		}
		own, err := r.ownLanes()
		out = v.machines(own)
		return err
	})
	return out, err
}

// Meet looks in the shared place which machines there are now, and what they
// are called.
func (r *Replica) Meet(ctx context.Context) error {
	return r.locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		return placeError(x.whoIsThere(ctx))
	})
}

// Rename gives a machine another name, which the others learn with their next
// look at the machines.
func (r *Replica) Rename(ctx context.Context, query, name string) error {
	name = stash.Clean(strings.TrimSpace(name))
	if name == "" {
		return stash.Refuse(stash.CodeInput, "", "a machine needs a name")
	}
	return r.withMachine(ctx, query, func(x *exchange, m Machine) error {
		found, err := x.List(ctx, devicePrefix, "")
		if err != nil {
			return err
		}
		err = x.change(ctx, func(v *vault, tx *sqlite.Tx) error { return x.rename(tx, v, m, name, found.Names) })
		if err != nil {
			return err
		}
		return x.finish(ctx)
	})
}

// rename has new records put and those deleted that they take the place of.
func (x *exchange) rename(tx *sqlite.Tx, v *vault, m Machine, name string, listed []remote.Name) error {
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	if m.Own {
		v.Name = name
	}
	for _, lane := range m.Lanes {
		d, _ := v.device(lane)
		d.Name, d.Stamp = name, max(d.Stamp+1, x.o.Now().UnixMilli())
		if err := v.register(tx, d, own); err != nil {
			return err
		}
	}
	for _, old := range slices.Compact(listed) {
		if n, ok := parseDevice(old); ok && slices.Contains(m.Lanes, n.lane) {
			if err := tx.Doom(string(old), x.o.Now()); err != nil {
				return err
			}
		}
	}
	return nil
}

// withMachine finds a machine, having looked who is there, under the lock.
func (r *Replica) withMachine(ctx context.Context, query string, do func(*exchange, Machine) error) error {
	return r.locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		if err := x.finish(ctx); err != nil {
			return placeError(err)
		}
		if err := x.whoIsThere(ctx); err != nil {
			return placeError(err)
		}
		own, err := r.ownLanes()
		if err != nil {
			return err
		}
		m, err := x.v.find(query, own)
		if err != nil {
			return err
		}
		return placeError(do(x, m))
	})
}

// Removed is what a removal did.
type Removed struct {
	Machine Machine
	// Code is the new code to be printed; the one before opens nothing new.
	Code string
}

// Remove shuts a machine out: from now on everything is sealed with a new key,
// which the other machines get, and which phrase, a new pass-phrase, opens.
// What the machine could read before stays readable to it.
func (r *Replica) Remove(ctx context.Context, query, phrase string) (Removed, error) {
	var out Removed
	if err := CheckPhrase(phrase); err != nil {
		return out, err
	}
	err := r.withMachine(ctx, query, func(x *exchange, m Machine) error {
		if m.Own {
			return stash.Refuse(stash.CodeRefused, "do it on another machine; `endsmeet sync leave` ends taking part here", "a machine cannot remove itself")
		}
		if m.Removed {
			return stash.Refuse(stash.CodeRefused, "", "%s was removed already", m.Name)
		}
		if err := x.newPhrase(ctx, phrase); err != nil {
			return err
		}
		if err := x.sync(ctx); err != nil { // what it wrote until now counts
			return err
		}
		out = Removed{m, newCode()}
		return x.rekey(ctx, m, phrase, out.Code)
	})
	out.Machine.Removed = err == nil
	return out, err
}

// newPhrase refuses the pass-phrase that the machine to be removed knows.
func (x *exchange) newPhrase(ctx context.Context, phrase string) error {
	_, err := x.unlock(ctx, &vault{ID: x.v.ID}, phrase)
	switch {
	case err == nil:
		return stash.Refuse(stash.CodeInput, "choose another", "that is the pass-phrase that the removed machine knows")
	case stash.CodeOf(err) == CodeSecret:
		return nil
	}
	return err
}

// rekey draws a new key, wraps it for those who remain, seals their records
// with it and vouches for what the removed machine wrote.
func (x *exchange) rekey(ctx context.Context, m Machine, phrase, code string) error {
	err := x.change(ctx, func(v *vault, tx *sqlite.Tx) error {
		next, err := newEpoch(v.current().Name.number + 1)
		if err != nil {
			return err
		}
		v.Epochs = append(v.Epochs, next)
		for _, lane := range m.Lanes {
			v.Removed = append(v.Removed, removal{lane, m.Name, next.Name})
			v.Vouched = append(v.Vouched, lane)
		}
		if err := x.wrapAll(tx, v, phrase, code); err != nil {
			return err
		}
		if err := x.sealRecords(tx, v); err != nil {
			return err
		}
		if err := x.resealHeads(tx, v, m.Lanes); err != nil {
			return err
		}
		x.fault(PointRekeying)
		return nil
	})
	if err != nil {
		return err
	}
	x.fault(PointRekeyed)
	return x.push(ctx)
}

// sealRecords seals the records of the machines that remain with the new key.
func (x *exchange) sealRecords(tx *sqlite.Tx, v *vault) error {
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	for _, d := range slices.Clone(v.Devices) {
		if _, gone := v.removed(d.Lane); gone {
			continue
		}
		if err := v.register(tx, d, own); err != nil {
			return err
		}
	}
	return nil
}

// resealHeads puts a head under the new key, so that others see that there is
// one, and has the events of removed lanes sealed and signed anew.
func (x *exchange) resealHeads(tx *sqlite.Tx, v *vault, removed []stash.Lane) error {
	lanes, err := tx.Lanes()
	if err != nil {
		return err
	}
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	for _, l := range lanes {
		if slices.Contains(removed, l.Name) && l.Last > 0 {
			tip := sqlite.End{Seq: l.Last, Chain: l.Chain}
			if err := tx.Publish(sqlite.Published{Lane: l.Name, Tip: &tip}); err != nil {
				return err
			}
		}
		if l.Name == own.Lane && l.Last > 0 {
			d := due{lane: l, tip: sqlite.End{Seq: l.Last, Chain: l.Chain}, follows: true}
			if err := x.replaceHead(tx, v, d, own); err != nil {
				return err
			}
		}
	}
	return nil
}

// Invite makes a code that lets one more machine join, for showing on this
// one. It opens the vault until it is used or the key changes.
func (r *Replica) Invite(ctx context.Context) (code string, err error) {
	err = r.locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		code = newCode()
		err = x.change(ctx, func(v *vault, tx *sqlite.Tx) error {
			own, err := r.o.Store.Signer(false)
			if err != nil {
				return err
			}
			wrap, err := v.wrapSecret(wrapInvite, code, codeWork, own)
			if err != nil {
				return err
			}
			return tx.Stow(string(wrap.Name), wrap.Data)
		})
		if err != nil {
			return err
		}
		return placeError(x.finish(ctx))
	})
	return code, err
}

// Recode makes a new code to be printed; the one before opens nothing any more
// that is read anew.
func (r *Replica) Recode(ctx context.Context) (code string, err error) {
	err = r.locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		found, err := x.List(ctx, keyPrefix+x.v.current().Name.String()+"/"+string(wrapRecovery)+"-", "")
		if err != nil {
			return placeError(err)
		}
		code = newCode()
		if err := x.change(ctx, func(v *vault, tx *sqlite.Tx) error { return x.recode(tx, v, code, found.Names) }); err != nil {
			return err
		}
		return placeError(x.finish(ctx))
	})
	return code, err
}

func (x *exchange) recode(tx *sqlite.Tx, v *vault, code string, before []remote.Name) error {
	own, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	v.Kept = slices.DeleteFunc(v.Kept, func(k keptObject) bool {
		n, ok := parseKey(k.Name)
		return ok && n.kind == wrapRecovery
	})
	wrap, err := v.wrapSecret(wrapRecovery, code, codeWork, own)
	if err != nil {
		return err
	}
	if err := v.put(tx, wrap); err != nil {
		return err
	}
	for _, old := range before {
		if err := tx.Doom(string(old), time.Time{}); err != nil {
			return err
		}
	}
	return nil
}
