package replica

import (
	"context"
	"errors"
	"slices"

	"filippo.io/age"

	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// readDevices reads the records that are wanted and keeps what is new in them.
// A record for which a machine vouches that is not known waits until that one's
// has been read.
func (x *exchange) readDevices(ctx context.Context, want func(deviceName) bool) error {
	found, err := x.List(ctx, devicePrefix, "")
	if err != nil {
		return err
	}
	x.ignore(found)
	waiting := map[deviceName][]byte{}
	for _, name := range slices.Compact(found.Names) {
		n, ok := parseDevice(name)
		if !ok {
			x.report.Ignored++
			continue
		}
		if !want(n) {
			continue
		}
		data, err := x.Get(ctx, name)
		if err == nil {
			waiting[n] = data
		} else if !errors.Is(err, remote.NotFound) {
			return err
		}
	}
	if err := x.openDevices(ctx, waiting); err != nil || len(waiting) == 0 {
		return err
	}
	return x.learnSigners(ctx)
}

// whoIsThere reads all records, so that machines are called what they are
// called now.
func (x *exchange) whoIsThere(ctx context.Context) error {
	return x.readDevices(ctx, func(deviceName) bool { return true })
}

// openDevices opens records, as long as there is progress, and takes out those
// that it could tell what to do with.
func (x *exchange) openDevices(ctx context.Context, waiting map[deviceName][]byte) error {
	for progress := true; progress; {
		progress = false
		for n, data := range waiting {
			d, err := x.openRecord(ctx, n, data)
			if errors.Is(err, errWait) {
				continue
			}
			delete(waiting, n)
			if err != nil {
				return err
			}
			if d.Lane == "" {
				continue
			}
			progress = true
			err = x.change(ctx, func(v *vault, _ *sqlite.Tx) error {
				v.know(d)
				if kept, _ := v.device(d.Lane); kept.Stamp == d.Stamp {
					v.keepRecord(n, data)
				}
				return nil
			})
			if err != nil {
				return err
			}
		}
	}
	return nil
}

// errWait says that a record can't be judged yet.
var errWait = errors.New("who vouches for it is not known yet")

// openRecord opens a record; no lane means that it was refused, or sealed
// before the key changed.
func (x *exchange) openRecord(ctx context.Context, n deviceName, data []byte) (Device, error) {
	d, err := x.v.openDevice(n, data)
	var b *BadObject
	switch {
	case err == nil:
		return d, nil
	case errors.As(err, &b) && b.Step == StepRegister:
		return Device{}, errWait
	case errors.As(err, &b) && b.Step == StepAge && (x.newer != "" || x.v.sealedEarlier(data)):
		return Device{}, nil // with the key of another time
	}
	return Device{}, x.refuse(ctx, err)
}

// sealedEarlier says whether data opens with a key that is not current.
func (v *vault) sealedEarlier(data []byte) bool {
	return slices.ContainsFunc(v.Epochs[:len(v.Epochs)-1], func(e epoch) bool {
		_, err := e.decrypt(data)
		return err == nil
	})
}

// change changes what is kept of the vault, in a transaction that reads it
// anew.
func (x *exchange) change(ctx context.Context, do func(*vault, *sqlite.Tx) error) error {
	return x.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
		v, found, err := loadVault(tx)
		if err != nil || !found {
			return err
		}
		if err := do(v, tx); err != nil {
			return err
		}
		x.v = v
		return v.save(tx)
	})
}

// refreshKeys looks for a newer key if a head seems to be sealed with one. What
// the name of a head says is no proof: it is asked anew in every run.
func (x *exchange) refreshKeys(ctx context.Context) error {
	var newest epochName
	for _, h := range x.heads {
		if _, ok := x.v.epoch(h.epoch); !ok && h.epoch.number >= x.v.current().Name.number &&
			newest.less(h.epoch) {
			newest = h.epoch
		}
	}
	x.newer = ""
	if newest.number == 0 {
		return nil
	}
	if err := x.recognise(ctx); err != nil {
		return err
	}
	found, err := x.List(ctx, keyPrefix, "")
	if err != nil {
		return err
	}
	opened, err := x.readRings(ctx, found.Names)
	if err != nil || opened {
		return err
	}
	x.newer = newest.String()
	return x.readNotices(ctx, found.Names)
}

// readRings opens the newer rings that are wrapped for this machine and takes
// them in; opened says that there was one.
func (x *exchange) readRings(ctx context.Context, listed []remote.Name) (opened bool, err error) {
	identity, err := x.machineIdentity(ctx)
	if err != nil {
		return false, err
	}
	tag := machineTag(x.v.ID, identity.Recipient().String())
	for _, name := range slices.Compact(listed) {
		n, ok := parseKey(name)
		if _, known := x.v.epoch(n.epoch); !ok || known || n.kind != wrapDevice || n.tag != tag {
			continue
		}
		took, err := x.readRing(ctx, n, identity)
		if err != nil {
			return opened, err
		}
		opened = opened || took
	}
	return opened, nil
}

func (x *exchange) readRing(ctx context.Context, n keyName, identity age.Identity) (bool, error) {
	data, err := x.Get(ctx, n.name())
	if errors.Is(err, remote.NotFound) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	w, ring, err := unwrap(n, data, identity)
	if errors.Is(err, errNotOurs) {
		return false, nil
	}
	if err != nil {
		return false, x.refuse(ctx, err)
	}
	err = x.change(ctx, func(v *vault, tx *sqlite.Tx) error {
		before := v.Ring
		if err := v.adopt(n.name(), w, ring); err != nil {
			return err
		}
		v.keep(n.name(), data)
		return x.reregister(tx, v, before, ring)
	})
	if err != nil {
		return false, x.refuse(ctx, err)
	}
	x.fault(PointRekeyed)
	return true, nil
}

// reregister seals with the new key the records that were known here and that
// the maker of the key did not know.
func (x *exchange) reregister(tx *sqlite.Tx, v *vault, before, made Ring) error {
	signer, err := x.o.Store.Signer(false)
	if err != nil {
		return err
	}
	for _, d := range before.Devices {
		_, known := made.device(d.Lane)
		_, gone := v.removed(d.Lane)
		if known || gone {
			continue
		}
		if err := v.register(tx, d, signer); err != nil {
			return err
		}
	}
	return nil
}

// register has a record put, and knows it from now on.
func (v *vault) register(tx *sqlite.Tx, d Device, signer sqlite.Signer) error {
	v.know(d)
	n, data, err := v.sealDevice(d, signer)
	if err != nil {
		return err
	}
	v.keepRecord(n, data)
	return tx.Stow(string(n.name()), data)
}

// machineIdentity is the secret of this machine, drawn when first needed.
func (r *Replica) machineIdentity(ctx context.Context) (identity *age.X25519Identity, err error) {
	err = r.o.Store.Act(ctx, func(*sqlite.Tx) error {
		identity, err = r.identity()
		return err
	})
	return identity, err
}

// identity is machineIdentity within a transaction, which keeps two processes
// from drawing at once.
func (r *Replica) identity() (*age.X25519Identity, error) {
	secret, err := r.o.Store.DeviceSecret(func() (string, error) {
		identity, err := age.GenerateX25519Identity()
		if err != nil {
			return "", err
		}
		return identity.String(), nil
	})
	if err != nil {
		return nil, err
	}
	return age.ParseX25519Identity(secret)
}

// learnSigners reads the records of all lanes that are not known, once a run.
func (x *exchange) learnSigners(ctx context.Context) error {
	if x.learned {
		return nil
	}
	x.learned = true
	return x.readDevices(ctx, func(n deviceName) bool {
		_, known := x.v.device(n.lane)
		return !known
	})
}
