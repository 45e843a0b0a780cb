package main

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/photo"
	"endsmeet/stash/sqlite"
)

// picturesFolder is where the tables of a stash have its pictures beside them, each
// under the name that the events call it.
const picturesFolder = "photos"

// writePictures writes the pictures that photos name into a new folder; none make no
// folder.
func writePictures(tx *sqlite.Tx, folder string) error {
	named, err := tx.Picturings()
	if err != nil || len(named) == 0 {
		return err
	}
	if err := os.Mkdir(folder, 0o700); err != nil {
		return show.Unwritable(folder, err)
	}
	for _, p := range named {
		data, here, err := tx.Picture(p.ID)
		if err != nil {
			return err
		}
		if !here {
			continue
		}
		if err := writeNew(filepath.Join(folder, p.ID.String()+".jpg"), data, false); err != nil {
			return err
		}
	}
	return nil
}

// readPictures takes in the pictures that photos name and that are not here. One
// that is not what its name says is left where it is.
func readPictures(tx *sqlite.Tx, folder string) error {
	named, err := tx.Picturings()
	for _, p := range named {
		if err != nil || p.Here {
			continue
		}
		var data []byte
		data, err = os.ReadFile(filepath.Join(folder, p.ID.String()+".jpg"))
		if errors.Is(err, fs.ErrNotExist) || err == nil &&
			(len(data) > photo.MostKept || stash.ContentOf(data) != p.ID) {
			err = nil
			continue
		}
		if err == nil {
			_, err = tx.KeepPicture(data)
		}
	}
	return err
}
