package sqlite

import (
	"database/sql"

	"endsmeet/stash"
)

// KeepPicture keeps the bytes of a picture under their name; again is nothing new.
func (tx *Tx) KeepPicture(data []byte) (stash.ContentID, error) {
	id := stash.ContentOf(data)
	_, err := tx.execNow(`INSERT INTO picture (id, data) VALUES (?, ?) ON CONFLICT DO NOTHING`,
		id[:], data)
	return id, err
}

// Picture reads the bytes of a picture; false where they are not here.
func (tx *Tx) Picture(id stash.ContentID) (data []byte, found bool, err error) {
	found, err = tx.one(`SELECT data FROM picture WHERE id = ?`, []any{id[:]}, &data)
	return data, found, err
}

// Photos reads the photos that stand, in the order in which they were first heard of.
func (tx *Tx) Photos() ([]stash.Photo, error) {
	return load[stash.Photo](tx, stash.WhatPhoto, true)
}

// PhotosOf reads the photos of a yarn, a package or a piece.
func (tx *Tx) PhotosOf(thing stash.Subject) (out []stash.Photo, err error) {
	err = batchesWhere(tx, func(batch []stash.Photo) error {
		out = append(out, batch...)
		return nil
	}, `what = 'photo' AND live = 1 AND parent = ?`, string(thing))
	return out, err
}

// Picturing is a picture that the ledger names: whether its bytes are here, and
// whether the shared place was seen to hold it.
type Picturing struct {
	ID         stash.ContentID
	Here, Sent bool
}

// Picturings lists the pictures that the photos name, the small ones first.
func (tx *Tx) Picturings() ([]Picturing, error) {
	photos, err := tx.Photos()
	if err != nil || len(photos) == 0 {
		return nil, err
	}
	kept := map[stash.ContentID]bool{}
	if err := tx.each(`SELECT id, sent FROM picture`, nil, func(rows *sql.Rows) error {
		var raw []byte
		var sent bool
		err := rows.Scan(&raw, &sent)
		kept[stash.ContentID(raw)] = sent
		return err
	}); err != nil {
		return nil, err
	}
	var out []Picturing
	seen := map[stash.ContentID]bool{}
	for _, of := range []func(stash.Photo) stash.ContentID{func(p stash.Photo) stash.ContentID { return p.Small }, func(p stash.Photo) stash.ContentID { return p.Full }} {
		for _, p := range photos {
			if id := of(p); !seen[id] {
				seen[id] = true
				sent, here := kept[id]
				out = append(out, Picturing{ID: id, Here: here, Sent: sent})
			}
		}
	}
	return out, nil
}

// MarkSent notes that the shared place was seen to hold a picture.
func (tx *Tx) MarkSent(id stash.ContentID) error {
	_, err := tx.execNow(`UPDATE picture SET sent = 1 WHERE id = ?`, id[:])
	return err
}

// checkPictures compares the bytes of every picture with its name, and tells which
// photos have not come to this machine.
func (tx *Tx) checkPictures(r *Report) error {
	err := tx.each(`SELECT id, data FROM picture`, nil, func(rows *sql.Rows) error {
		var id, data sql.RawBytes
		err := rows.Scan(&id, &data)
		if name := stash.ContentOf(data); err == nil && string(name[:]) != string(id) {
			r.fault("picture", name.String(),
				"a photo is damaged: its bytes are not what its name says")
		}
		return err
	})
	if err != nil {
		return err
	}
	named, err := tx.Picturings()
	lacking := 0
	for _, p := range named {
		if !p.Here {
			lacking++
		}
	}
	if lacking > 0 {
		r.note("photo_missing", "",
			"%d pictures of photos have not come to this machine yet: sync where they are, then here", lacking)
	}
	return err
}
