package replica

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"errors"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// picturesAtOnce is how many bytes of pictures a run sends or gets; what is beyond
// waits for the next. Small pictures go before full ones, of all photos.
const picturesAtOnce = 64 << 20

// pictureName is the name of a sealed picture. Its key comes from the content and a
// secret of the vault, so that machines find the same picture and nobody else can
// tell whether one that he has is there.
type pictureName struct {
	epoch  epochName
	key    stash.ContentID
	object stash.EventID
}

func (n pictureName) name() remote.Name {
	return remote.Name(picturePrefix + n.epoch.String() + "-" + n.key.String() + "-" +
		n.object.String() + ".age")
}

var pictureForm = form(`^pic/([0-9]+\.[a-z2-7]{8})-([a-z2-7]{26})-([a-z2-7]{26})\.age$`)

func parsePicture(name remote.Name) (pictureName, bool) {
	m := pictureForm().FindStringSubmatch(string(name))
	if m == nil {
		return pictureName{}, false
	}
	var n pictureName
	errs := [3]error{n.epoch.UnmarshalText([]byte(m[1])), n.key.UnmarshalText([]byte(m[2])),
		n.object.UnmarshalText([]byte(m[3]))}
	return n, errs == [3]error{} && n.name() == name
}

// pictureKey is under what a picture lies there.
func (r Ring) pictureKey(id stash.ContentID) stash.ContentID {
	mac := hmac.New(sha256.New, []byte("picture "+r.Epochs[0].Identity))
	mac.Write(id[:])
	return stash.ContentID(mac.Sum(nil)[:16])
}

// sealPicture seals the bytes of a picture under the current key.
func (r Ring) sealPicture(id stash.ContentID, data []byte) (remote.Name, []byte, error) {
	sealed, err := r.current().encrypt(data)
	n := pictureName{epoch: r.current().Name, key: r.pictureKey(id), object: objectID(sealed)}
	return n.name(), sealed, err
}

// openPicture opens a sealed picture; it is what the ledger says that it is, or an
// error says which check it failed.
func (r Ring) openPicture(n pictureName, id stash.ContentID, data []byte) ([]byte, error) {
	if err := wholeObject(n.name(), n.object, data); err != nil {
		return nil, err
	}
	e, known := r.epoch(n.epoch)
	if !known {
		return nil, bad(n.name(), StepKey,
			"it is sealed with a key that this machine does not have")
	}
	open, err := e.decrypt(data)
	if err != nil || stash.ContentOf(open) != id {
		return nil, bad(n.name(), StepHash, "it is not the picture that its name says")
	}
	return open, nil
}

// pictures exchanges the bytes of the pictures that photos name: none is asked for
// where all are here and were seen there, but once a day.
func (x *exchange) pictures(ctx context.Context) error {
	var named []sqlite.Picturing
	err := x.o.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		named, err = tx.Picturings()
		return err
	})
	idle := x.o.Now().Sub(x.v.PicturesLooked).Abs() < lookEvery
	due := func(p sqlite.Picturing) bool { return !p.Here || !p.Sent }
	if err != nil || len(named) == 0 || idle && !slices.ContainsFunc(named, due) {
		return err
	}
	if err := x.recognise(ctx); err != nil {
		return err
	}
	there, err := x.listPictures(ctx)
	if err != nil {
		return err
	}
	left := int64(picturesAtOnce)
	for _, p := range named {
		if err := x.picture(ctx, p, there[x.v.pictureKey(p.ID)], &left); err != nil {
			return err
		}
	}
	return x.change(ctx, func(v *vault, _ *sqlite.Tx) error {
		v.PicturesLooked = x.o.Now()
		return nil
	})
}

// listPictures lists what pictures lie there, by their key.
func (x *exchange) listPictures(ctx context.Context) (map[stash.ContentID][]pictureName, error) {
	found, err := x.List(ctx, picturePrefix, "")
	x.ignore(found)
	there := map[stash.ContentID][]pictureName{}
	for _, name := range found.Names {
		if n, ok := parsePicture(name); ok {
			there[n.key] = append(there[n.key], n)
		} else {
			x.report.Ignored++
		}
	}
	return there, err
}

// picture sends a picture that is not there, gets one that is not here, or notes
// that both have it.
func (x *exchange) picture(ctx context.Context, p sqlite.Picturing, there []pictureName,
	left *int64) error {
	switch {
	case *left <= 0 && (p.Here != (len(there) > 0)):
		x.report.PicturesWaiting++
	case p.Here && len(there) == 0:
		return x.sendPicture(ctx, p.ID, left)
	case !p.Here:
		return x.getPicture(ctx, p.ID, there, left)
	case !p.Sent:
		return x.o.Store.Act(ctx, func(tx *sqlite.Tx) error { return tx.MarkSent(p.ID, true) })
	}
	return nil
}

func (x *exchange) sendPicture(ctx context.Context, id stash.ContentID, left *int64) error {
	var data []byte
	err := x.o.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		data, _, err = tx.Picture(id)
		return err
	})
	if err != nil {
		return err
	}
	name, sealed, err := x.v.sealPicture(id, data)
	if err != nil {
		return err
	}
	if err := x.deliver(ctx, name, sealed); err != nil {
		return err
	}
	*left -= int64(len(sealed))
	x.report.PicturesSent++
	return x.o.Store.Act(ctx, func(tx *sqlite.Tx) error { return tx.MarkSent(id, true) })
}

// getPicture gets a picture under one of the names that it lies under. Where none
// is whole it waits: whoever has it puts it there again once the bad one is gone.
func (x *exchange) getPicture(ctx context.Context, id stash.ContentID, there []pictureName,
	left *int64) error {
	for _, n := range there {
		data, err := x.Get(ctx, n.name())
		if errors.Is(err, remote.NotFound) {
			continue
		}
		if err != nil {
			return err
		}
		*left -= int64(len(data))
		open, err := x.v.openPicture(n, id, data)
		if err != nil {
			if err := x.refuse(ctx, err); err != nil {
				return err
			}
			continue
		}
		x.report.PicturesReceived++
		return x.o.Store.Act(ctx, func(tx *sqlite.Tx) error {
			if _, err := tx.KeepPicture(open); err != nil {
				return err
			}
			return tx.MarkSent(id, true)
		})
	}
	x.report.PicturesWaiting++
	return nil
}
