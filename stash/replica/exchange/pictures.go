package exchange

import (
	"context"
	"errors"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// picturesAtOnce is how many bytes of pictures a run sends or gets; what is beyond
// waits for the next. Small pictures go before full ones, of all photos.
const picturesAtOnce = 64 << 20

// pictures exchanges the bytes of the pictures that photos name: none is asked for
// where all are here and were seen there, but once a day.
func (x *Session) pictures(ctx context.Context) error {
	var named []sqlite.Picturing
	err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		named, err = tx.Picturings()
		return err
	})
	idle := x.Options.Now().Sub(x.Member.PicturesLooked).Abs() < LookEvery
	due := func(p sqlite.Picturing) bool { return !p.Here || !p.Sent }
	if err != nil || len(named) == 0 || idle && !slices.ContainsFunc(named, due) {
		return err
	}
	if err := x.Recognise(ctx); err != nil {
		return err
	}
	there, err := x.listPictures(ctx)
	if err != nil {
		return err
	}
	left := int64(picturesAtOnce)
	for _, p := range named {
		if err := x.picture(ctx, p, there[x.Member.PictureKey(p.ID)], &left); err != nil {
			return err
		}
	}
	return x.Change(ctx, func(v *Membership, _ *sqlite.Tx) error {
		v.PicturesLooked = x.Options.Now()
		return nil
	})
}

// listPictures lists what pictures lie there, by their key.
func (x *Session) listPictures(
	ctx context.Context,
) (map[stash.ContentID][]format.PictureName, error) {
	found, err := x.List(ctx, format.PicturePrefix, "")
	x.ignore(found)
	there := map[stash.ContentID][]format.PictureName{}
	for _, name := range found.Names {
		if n, ok := format.ParsePicture(name); ok {
			there[n.Key] = append(there[n.Key], n)
		} else {
			x.Report.Ignored++
		}
	}
	return there, err
}

// picture sends a picture that is not there, gets one that is not here, or notes
// that both have it.
func (x *Session) picture(ctx context.Context, p sqlite.Picturing, there []format.PictureName,
	left *int64) error {
	switch {
	case *left <= 0 && (p.Here != (len(there) > 0)):
		x.Report.PicturesWaiting++
	case p.Here && len(there) == 0:
		return x.sendPicture(ctx, p.ID, left)
	case !p.Here:
		return x.getPicture(ctx, p.ID, there, left)
	case !p.Sent:
		return x.Options.Store.Act(
			ctx,
			func(tx *sqlite.Tx) error { return tx.MarkSent(p.ID) },
		)
	}
	return nil
}

func (x *Session) sendPicture(ctx context.Context, id stash.ContentID, left *int64) error {
	var data []byte
	err := x.Options.Store.View(ctx, func(tx *sqlite.Tx) (err error) {
		data, _, err = tx.Picture(id)
		return err
	})
	if err != nil {
		return err
	}
	name, sealed, err := x.Member.SealPicture(id, data)
	if err != nil {
		return err
	}
	if err := x.deliver(ctx, name, sealed); err != nil {
		return err
	}
	*left -= int64(len(sealed))
	x.Report.PicturesSent++
	return x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error { return tx.MarkSent(id) })
}

// getPicture gets a picture under one of the names that it lies under. Where none
// is whole it waits: whoever has it puts it there again once the bad one is gone.
func (x *Session) getPicture(ctx context.Context, id stash.ContentID, there []format.PictureName,
	left *int64) error {
	for _, n := range there {
		data, err := x.Get(ctx, n.Name())
		if errors.Is(err, remote.NotFound) {
			continue
		}
		if err != nil {
			return err
		}
		*left -= int64(len(data))
		open, err := x.Member.OpenPicture(n, id, data)
		if err != nil {
			if err := x.refuse(ctx, err); err != nil {
				return err
			}
			continue
		}
		x.Report.PicturesReceived++
		return x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
			if _, err := tx.KeepPicture(open); err != nil {
				return err
			}
			return tx.MarkSent(id)
		})
	}
	x.Report.PicturesWaiting++
	return nil
}
