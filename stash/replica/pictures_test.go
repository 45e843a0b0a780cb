package replica

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// photo records a photo of a yarn, of made-up bytes.
func (m *machine) photo(yarn stash.YarnID, text string) (small, full stash.ContentID) {
	m.t.Helper()
	m.act(func(tx *sqlite.Tx) (err error) {
		if small, err = tx.KeepPicture([]byte("small " + text)); err != nil {
			return err
		}
		if full, err = tx.KeepPicture(bytes.Repeat([]byte("full "+text), 2000)); err != nil {
			return err
		}
		_, err = tx.Record(stash.Draft{Kind: stash.KindPhoto, Of: tx.NewID(),
			Body: stash.Pictured{Thing: stash.Subject(yarn), Small: small, Full: full, Width: 4,
				Height: 3, Bytes: 9}})
		return err
	})
	return small, full
}

// shows says whether the bytes of a picture are here and are what they should be.
func (m *machine) shows(id stash.ContentID) (here bool) {
	m.t.Helper()
	m.view(func(tx *sqlite.Tx) error {
		data, found, err := tx.Picture(id)
		here = found && stash.ContentOf(data) == id
		return err
	})
	return here
}

// pictureNames are the names of the pictures in a place.
func pictureNames(t *testing.T, place remote.Remote) []remote.Name {
	t.Helper()
	found, err := place.List(context.Background(), format.PicturePrefix, "")
	if err != nil {
		t.Fatal(err)
	}
	return found.Names
}

func TestPicturesReachEveryMachineSealedAndOnce(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 3, place)
	a, b := machines[0], machines[1]
	yarn := a.yarn("Ossentarn cotton")
	small, full := a.photo(yarn, "cone")
	if r := a.quiet(); r.PicturesSent != 2 || r.PicturesWaiting != 0 {
		t.Fatalf("%+v", r)
	}
	if r := b.quiet(); r.PicturesReceived != 2 || !b.shows(small) || !b.shows(full) {
		t.Fatalf("%+v", r)
	}
	_, again := b.photo(yarn, "cone") // the same picture from another machine
	if again != full {
		t.Fatal("one picture has two names")
	}
	b.quiet()
	names := pictureNames(t, place)
	if len(names) != 2 {
		t.Errorf("%d objects for two pictures: %q", len(names), names)
	}
	for _, name := range names {
		data, err := place.Get(context.Background(), name)
		if err != nil || bytes.Contains(data, []byte("cone")) ||
			strings.Contains(string(name), small.String()) ||
			strings.Contains(string(name), full.String()) {
			t.Errorf("%s is not sealed, or its name tells: %v", name, err)
		}
	}
	meet(machines...)
	meet(machines...)
	for _, m := range machines {
		if r := m.quiet(); r.Traffic != (exchange.Traffic{Lists: 1, Down: r.Down}) {
			t.Errorf("%s with nothing new: %+v", m.name, r.Traffic)
		}
		m.checkLedger()
	}
	late := newMachine(t, "late", place)
	late.join()
	if late.quiet(); !late.shows(small) || !late.shows(full) {
		t.Error("a machine that joined has no pictures")
	}
}

func TestTheSmallPicturesGoFirst(t *testing.T) {
	place := remotetest.NewMemory()
	a := several(t, 1, place)[0]
	yarn := a.yarn("Ossentarn cotton")
	var smalls []stash.ContentID
	for _, text := range []string{"one", "two", "three"} {
		small, _ := a.photo(yarn, text)
		smalls = append(smalls, small)
	}
	a.view(func(tx *sqlite.Tx) error {
		named, err := tx.Picturings()
		for i, p := range named {
			if isSmall := i < len(smalls); isSmall != (p.ID == smalls[min(i, len(smalls)-1)]) ||
				len(named) != 6 {
				t.Errorf("picture %d of %d is in the wrong place", i, len(named))
			}
		}
		return err
	})
}

// A picture that the place lost is put back within a day; one that it altered is
// named and never taken for the picture.
func TestALostPictureComesBackAndAnAlteredOneIsNamed(t *testing.T) {
	place := remotetest.NewMemory()
	machines := several(t, 2, place)
	a, b := machines[0], machines[1]
	small, full := a.photo(a.yarn("Ossentarn cotton"), "cone")
	a.quiet()
	whole := map[remote.Name][]byte{}
	for _, name := range pictureNames(t, place) {
		data, err := place.Get(context.Background(), name)
		a.must(err)
		whole[name] = data
		altered := bytes.Clone(data)
		altered[len(altered)/2] ^= 1
		a.must(place.Delete(context.Background(), name))
		a.must(place.Put(context.Background(), name, altered))
	}
	if r := b.sync(); len(r.Bad) != 2 || r.PicturesWaiting != 2 || b.shows(small) || b.shows(full) {
		t.Fatalf("%+v", r)
	}
	for name := range whole {
		a.must(place.Delete(context.Background(), name))
	}
	for _, m := range machines {
		m.clock.at = m.clock.at.Add(25 * time.Hour)
	}
	if r := a.sync(); r.PicturesSent != 2 {
		t.Fatalf("what was lost is not put back: %+v", r)
	}
	if r := b.sync(); r.PicturesReceived != 2 || !b.shows(small) || !b.shows(full) {
		t.Fatalf("%+v", r)
	}
}
