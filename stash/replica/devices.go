package replica

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

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
		// one that was let in again is another
		key := fmt.Sprint(cmp.Or(d.Recipient, string(d.Lane)), gone)
		i, ok := index[key]
		if !ok {
			i = len(out)
			index[key] = i
			out = append(out, Machine{ID: string(d.Lane[:6]), Name: v.label(d.Lane), Removed: gone})
		}
		out[i].Lanes = append(out[i].Lanes, d.Lane)
		out[i].Own = out[i].Own || own[d.Lane] && !gone
	}
	slices.SortStableFunc(out, func(a, b Machine) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name),
			cmp.Compare(a.ID, b.ID))
	})
	return out
}

// find finds a machine by its name, its id, or this one by "this".
func (v *vault) find(query string, own map[stash.Lane]bool) (Machine, error) {
	var hits []Machine
	var names []stash.Choice
	for _, m := range v.machines(own) {
		names = append(names, stash.Choice{ID: m.ID, Name: m.Name})
		byID := len(query) >= 4 &&
			slices.ContainsFunc(m.Lanes,
				func(l stash.Lane) bool { return strings.HasPrefix(string(l), query) })
		if strings.EqualFold(m.Name, query) || byID || m.Own && query == "this" {
			hits = append(hits, m)
		}
	}
	if here := slices.DeleteFunc(slices.Clone(hits),
		func(m Machine) bool { return m.Removed }); len(here) == 1 {
		return here[0], nil
	}
	switch len(hits) {
	case 0:
		return Machine{}, stash.Refuse(stash.CodeUnknown, "`endsmeet sync devices` lists them",
			"no machine is called %q", stash.Clean(query))
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
			err = stash.Refuse(stash.CodeRefused, "`endsmeet sync setup WHERE` makes one",
				"this stash has no shared place yet")
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
		return placeError(x.lookAround(ctx))
	})
}

// lookAround looks whether there is a newer key, and who is there.
func (x *exchange) lookAround(ctx context.Context) error {
	for _, step := range []func(context.Context) error{x.listHeads, x.refreshKeys, x.whoIsThere} {
		if err := step(ctx); err != nil {
			return err
		}
	}
	return nil
}

// Rename gives a machine another name, which the others learn with their next
// look at the machines.
func (r *Replica) Rename(ctx context.Context, query, name string) error {
	name = stash.Clean(strings.TrimSpace(name))
	if name == "" {
		return stash.Refuse(stash.CodeInput, "", "a machine needs a name")
	}
	return r.withMachine(ctx, query, func(x *exchange, m Machine) error {
		for _, other := range x.v.machines(nil) {
			if other.ID != m.ID && !other.Removed && strings.EqualFold(other.Name, name) {
				return nameTaken(name)
			}
		}
		found, err := x.List(ctx, devicePrefix, "")
		if err != nil {
			return err
		}
		err = x.change(ctx, func(v *vault, tx *sqlite.Tx) error {
			return x.rename(tx, v, m, name,
				found.Names)
		})
		if err != nil {
			return err
		}
		return x.finish(ctx)
	})
}

// rename has new records put and those deleted that they take the place of.
func (x *exchange) rename(tx *sqlite.Tx, v *vault, m Machine, name string,
	listed []remote.Name) error {
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
func (r *Replica) withMachine(ctx context.Context, query string,
	do func(*exchange, Machine) error) error {
	return r.locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		if err := x.finish(ctx); err != nil {
			return placeError(err)
		}
		if err := x.lookAround(ctx); err != nil {
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
