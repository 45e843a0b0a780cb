package replica

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
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
func machines(v *format.Vault, own map[stash.Lane]bool) []Machine {
	var out []Machine
	index := map[string]int{}
	for _, d := range v.Devices {
		_, gone := v.RemovedLane(d.Lane)
		// one that was let in again is another
		key := fmt.Sprint(cmp.Or(d.Recipient, string(d.Lane)), gone)
		i, ok := index[key]
		if !ok {
			i = len(out)
			index[key] = i
			out = append(out, Machine{ID: string(d.Lane[:6]), Name: v.Label(d.Lane), Removed: gone})
		}
		out[i].Lanes = append(out[i].Lanes, d.Lane)
		out[i].Own = out[i].Own || own[d.Lane] && !gone
	}
	slices.SortStableFunc(out, func(a, b Machine) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.ID, b.ID))
	})
	return out
}

// find finds a machine by its name, its id, or this one by "this".
func find(v *format.Vault, query string, own map[stash.Lane]bool) (Machine, error) {
	var hits []Machine
	var names []stash.Choice
	for _, m := range machines(v, own) {
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

// Devices lists the machines of the vault as they are known here.
func (r *Replica) Devices(ctx context.Context) ([]Machine, error) {
	var out []Machine
	err := r.part.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		v, found, err := exchange.LoadMembership(tx)
		if err == nil && !found {
			err = stash.Refuse(stash.CodeRefused, "`endsmeet sync setup WHERE` makes one",
				"this stash has no shared place yet")
		}
		if err != nil {
			return err
		}
		own, err := r.part.OwnLanes()
		out = machines(&v.Vault, own)
		return err
	})
	return out, err
}

// Meet looks in the shared place which machines there are now, and what they
// are called.
func (r *Replica) Meet(ctx context.Context) error {
	return r.part.Locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		return exchange.Refusal(x.LookAround(ctx))
	})
}

// Rename gives a machine another name, which the others learn with their next
// look at the machines.
func (r *Replica) Rename(ctx context.Context, query, name string) error {
	name = stash.Clean(strings.TrimSpace(name))
	if name == "" {
		return stash.Refuse(stash.CodeInput, "", "a machine needs a name")
	}
	return r.withMachine(ctx, query, func(x *session, m Machine) error {
		for _, other := range machines(&x.Member.Vault, nil) {
			if other.ID != m.ID && !other.Removed && strings.EqualFold(other.Name, name) {
				return nameTaken(name)
			}
		}
		found, err := x.List(ctx, format.DevicePrefix, "")
		if err != nil {
			return err
		}
		err = x.Change(ctx, func(v *exchange.Membership, tx *sqlite.Tx) error {
			return x.rename(tx, v, m, name, found.Names)
		})
		if err != nil {
			return err
		}
		return x.Finish(ctx)
	})
}

// rename has new records put and those deleted that they take the place of.
func (x *session) rename(tx *sqlite.Tx, v *exchange.Membership, m Machine, name string,
	listed []remote.Name) error {
	own, err := x.Options.Store.Signer(false)
	if err != nil {
		return err
	}
	if m.Own {
		v.Name = name
	}
	for _, lane := range m.Lanes {
		d, _ := v.Device(lane)
		d.Name, d.Stamp = name, max(d.Stamp+1, x.Options.Now().UnixMilli())
		if err := v.Register(tx, d, own); err != nil {
			return err
		}
	}
	for _, old := range slices.Compact(listed) {
		if n, ok := format.ParseDevice(old); ok && slices.Contains(m.Lanes, n.Lane) {
			if err := tx.Doom(string(old), x.Options.Now()); err != nil {
				return err
			}
		}
	}
	return nil
}

// withMachine finds a machine, having looked who is there, under the lock.
func (r *Replica) withMachine(ctx context.Context, query string,
	do func(*session, Machine) error) error {
	return r.part.Locked(ctx, func() error {
		x, err := r.begin(ctx)
		if err != nil {
			return err
		}
		if err := x.Finish(ctx); err != nil {
			return exchange.Refusal(err)
		}
		if err := x.LookAround(ctx); err != nil {
			return exchange.Refusal(err)
		}
		own, err := r.part.OwnLanes()
		if err != nil {
			return err
		}
		m, err := find(&x.Member.Vault, query, own)
		if err != nil {
			return err
		}
		return exchange.Refusal(do(x, m))
	})
}
