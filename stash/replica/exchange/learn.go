package exchange

import (
	"bytes"
	"context"
	"errors"
	"slices"

	"filippo.io/age"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// readDevices reads the records that are wanted and keeps what is new in them.
// A record for which a machine vouches that is not known waits until that one's
// has been read.
func (x *Session) readDevices(ctx context.Context, want func(format.DeviceName) bool) error {
	found, err := x.List(ctx, format.DevicePrefix, "")
	if err != nil {
		return err
	}
	x.ignore(found)
	waiting := map[format.DeviceName][]byte{}
	for _, name := range slices.Compact(found.Names) {
		n, ok := format.ParseDevice(name)
		if !ok {
			x.Report.Ignored++
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

// WhoIsThere reads all records, so that machines are called what they are
// called now.
func (x *Session) WhoIsThere(ctx context.Context) error {
	return x.readDevices(ctx, func(format.DeviceName) bool { return true })
}

// openDevices opens records, as long as there is progress, and takes out those
// that it could tell what to do with.
func (x *Session) openDevices(ctx context.Context, waiting map[format.DeviceName][]byte) error {
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
			err = x.Change(ctx, func(v *Membership, _ *sqlite.Tx) error {
				v.Know(d)
				if kept, _ := v.Device(d.Lane); kept.Stamp == d.Stamp {
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
func (x *Session) openRecord(
	ctx context.Context,
	n format.DeviceName,
	data []byte,
) (format.Device, error) {
	d, err := x.Member.OpenDevice(n, data)
	var b *format.BadObject
	switch {
	case err == nil:
		return d, nil
	case errors.As(err, &b) && b.Step == format.StepRegister:
		return format.Device{}, errWait
	case errors.As(err, &b) && b.Step == format.StepAge && (x.Newer != "" || x.Member.SealedEarlier(data)):
		return format.Device{}, nil // with the key of another time
	}
	return format.Device{}, x.refuse(ctx, err)
}

// refreshKeys looks for a newer key if a head seems to be sealed with one. What
// the name of a head says is no proof: it is asked anew in every run.
func (x *Session) refreshKeys(ctx context.Context) error {
	var newest format.EpochName
	for _, h := range x.Heads {
		if _, ok := x.Member.Epoch(h.Epoch); !ok &&
			h.Epoch.Number >= x.Member.Current().Name.Number &&
			newest.Less(h.Epoch) {
			newest = h.Epoch
		}
	}
	x.Newer = ""
	if newest.Number == 0 {
		return nil
	}
	if err := x.Recognise(ctx); err != nil {
		return err
	}
	found, err := x.List(ctx, format.KeyPrefix, "")
	if err != nil {
		return err
	}
	opened, err := x.readRings(ctx, found.Names)
	if err != nil || opened {
		return err
	}
	x.Newer = newest.String()
	return x.ReadNotices(ctx, found.Names)
}

// readRings opens the newer rings that are wrapped for this machine and takes
// them in; opened says that there was one.
func (x *Session) readRings(ctx context.Context, listed []remote.Name) (opened bool, err error) {
	identity, err := x.machineIdentity(ctx)
	if err != nil {
		return false, err
	}
	tag := format.MachineTag(x.Member.ID, identity.Recipient().String())
	for _, name := range slices.Compact(listed) {
		n, ok := format.ParseKey(name)
		if _, known := x.Member.Epoch(n.Epoch); !ok || known || n.Kind != format.WrapDevice ||
			n.Tag != tag {
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

// OpenedRing is a wrap as it lies in the shared place, and the keys in it.
type OpenedRing struct {
	Data []byte
	Wrap format.WrappedRing
	Ring format.Ring
}

// OpenRing reads a wrap and opens it with a secret; nil where the wrap is not there or
// is for another secret.
func (x *Session) OpenRing(ctx context.Context, n format.KeyName,
	identity age.Identity) (*OpenedRing, error) {
	data, err := x.Get(ctx, n.Name())
	if errors.Is(err, remote.NotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	w, ring, err := format.Unwrap(n, data, identity)
	if errors.Is(err, format.ErrNotOurs) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return &OpenedRing{Data: data, Wrap: w, Ring: ring}, nil
}

// readRing takes in the keys of a wrap that is for this machine; false where it is not
// there, is for another or was refused.
func (x *Session) readRing(ctx context.Context, n format.KeyName,
	identity age.Identity) (bool, error) {
	opened, err := x.OpenRing(ctx, n, identity)
	if err != nil || opened == nil {
		return false, x.refuse(ctx, err)
	}
	err = x.Change(ctx, func(v *Membership, tx *sqlite.Tx) error {
		before := v.Ring
		if err := v.Adopt(n.Name(), opened.Wrap, opened.Ring); err != nil {
			return err
		}
		v.Keep(n.Name(), opened.Data)
		return x.reregister(tx, v, before, opened.Ring)
	})
	if err != nil {
		return false, x.refuse(ctx, err)
	}
	x.Fault(PointRekeyed)
	return true, nil
}

// reregister seals with the new key the records that were known here and that
// the maker of the key did not know.
func (x *Session) reregister(tx *sqlite.Tx, v *Membership, before, made format.Ring) error {
	signer, err := x.Options.Store.Signer(false)
	if err != nil {
		return err
	}
	for _, d := range before.Devices {
		_, known := made.Device(d.Lane)
		_, gone := v.RemovedLane(d.Lane)
		if known || gone {
			continue
		}
		if err := v.Register(tx, d, signer); err != nil {
			return err
		}
	}
	return nil
}

// machineIdentity is the secret of this machine, drawn when first needed.
func (r *Part) machineIdentity(ctx context.Context) (identity *age.X25519Identity, err error) {
	err = r.Options.Store.Act(ctx, func(*sqlite.Tx) error {
		identity, err = r.Identity()
		return err
	})
	return identity, err
}

// Identity is machineIdentity within a transaction, which keeps two processes
// from drawing at once.
func (r *Part) Identity() (*age.X25519Identity, error) {
	secret, err := r.Options.Store.DeviceSecret(func() (string, error) {
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
func (x *Session) learnSigners(ctx context.Context) error {
	if x.learned {
		return nil
	}
	x.learned = true
	return x.readDevices(ctx, func(n format.DeviceName) bool {
		_, known := x.Member.Device(n.Lane)
		return !known
	})
}

// ReadNotices looks for a verified notice that the key was changed.
func (x *Session) ReadNotices(ctx context.Context, listed []remote.Name) error {
	for _, name := range slices.Compact(listed) {
		n, ok := format.ParseKey(name)
		if _, known := x.Member.Epoch(n.Epoch); !ok || known || n.Kind != format.WrapNotice {
			continue
		}
		data, err := x.Get(ctx, name)
		if err != nil && !errors.Is(err, remote.NotFound) {
			return err
		}
		if err != nil || !bytes.HasPrefix(data, []byte("age-encryption.org/")) {
			continue
		}
		if by := x.Member.OpenNotice(n, data); by != "" {
			x.Report.Locked = by
		}
	}
	return nil
}

// OwnLanes are the lanes that this replica writes or wrote.
func (r *Part) OwnLanes() (map[stash.Lane]bool, error) {
	signers, err := r.Options.Store.Signers()
	own := map[stash.Lane]bool{}
	for _, s := range signers {
		own[s.Lane] = true
	}
	return own, err
}

// LookAround looks whether there is a newer key, and who is there.
func (x *Session) LookAround(ctx context.Context) error {
	for _, step := range []func(context.Context) error{x.ListHeads, x.refreshKeys, x.WhoIsThere} {
		if err := step(ctx); err != nil {
			return err
		}
	}
	return nil
}
