package main

import (
	"encoding/base64"
	"fmt"
	"html/template"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/book"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// newestSmall are the small pictures of all that has a photo, the newest of each, as
// far as they are here.
func newestSmall(tx *sqlite.Tx) (map[stash.Subject][]byte, error) {
	photos, err := tx.Photos()
	newest := map[stash.Subject]stash.Photo{}
	for _, p := range photos {
		if have, found := newest[p.Thing]; !found || !p.At.Before(have.At) {
			newest[p.Thing] = p
		}
	}
	out := map[stash.Subject][]byte{}
	for thing, p := range newest {
		if err != nil {
			return nil, err
		}
		var data []byte
		var here bool
		if data, here, err = tx.Picture(p.Small); here {
			out[thing] = data
		}
	}
	return out, err
}

// photoOf is the first photo that there is of some things, nil for none.
func (m *bookMaker) photoOf(name string, things ...stash.Subject) *book.Photo {
	for _, thing := range things {
		if data := m.photos[thing]; data != nil {
			return &book.Photo{Data: dataAddress(data), Alt: "Photo of " + stash.Clean(name)}
		}
	}
	return nil
}

// yarnThings are a yarn and its packages.
func yarnThings(id stash.YarnID, packages []*stash.Package) []stash.Subject {
	out := []stash.Subject{stash.Subject(id)}
	for _, p := range packages {
		out = append(out, stash.Subject(p.ID))
	}
	return out
}

// dataAddress is a picture that this program wrote, as an address that holds it.
func dataAddress(jpeg []byte) template.URL {
	return template.URL("data:image/jpeg;base64," + base64.StdEncoding.EncodeToString(jpeg))
}

// photoWords say that there is a photo of a thing and how to get it; empty for none.
func photoWords(tx *sqlite.Tx, thing stash.Subject, name string) (string, error) {
	p, found, err := newestPhoto(tx, thing)
	if err != nil || !found {
		return "", err
	}
	return fmt.Sprintf("%d × %d pixels, %s. To write it: %s FILE", p.Width, p.Height,
		show.DayWords(p.At),
		stash.Command("photo save", stash.Clean(name))), nil
}

// fullPhoto is the newest photo of a thing, nil where none is here.
func fullPhoto(tx *sqlite.Tx, thing stash.Subject) ([]byte, error) {
	p, found, err := newestPhoto(tx, thing)
	if err != nil || !found {
		return nil, err
	}
	data, here, err := tx.Picture(p.Full)
	if err == nil && !here {
		data, _, err = tx.Picture(p.Small)
	}
	return data, err
}
