package format

import (
	"crypto/hmac"
	"crypto/sha256"

	"endsmeet/stash"
	"endsmeet/stash/remote"
)

// PictureName is the name of a sealed picture. Its key comes from the content and a
// secret of the vault, so that machines find the same picture and nobody else can
// tell whether one that he has is there.
type PictureName struct {
	epoch  EpochName
	Key    stash.ContentID
	Object stash.EventID
}

// Name is the name that the picture has in the shared place.
func (n PictureName) Name() remote.Name {
	return remote.Name(PicturePrefix + n.epoch.String() + "-" + n.Key.String() + "-" +
		n.Object.String() + ".age")
}

var pictureForm = form(`^pic/([0-9]+\.[a-z2-7]{8})-([a-z2-7]{26})-([a-z2-7]{26})\.age$`)

// ParsePicture reads the name of a picture; false for what is none.
func ParsePicture(name remote.Name) (PictureName, bool) {
	m := pictureForm().FindStringSubmatch(string(name))
	if m == nil {
		return PictureName{}, false
	}
	var n PictureName
	errs := [3]error{n.epoch.UnmarshalText([]byte(m[1])), n.Key.UnmarshalText([]byte(m[2])),
		n.Object.UnmarshalText([]byte(m[3]))}
	return n, errs == [3]error{} && n.Name() == name
}

// PictureKey is under what a picture lies there.
func (r Ring) PictureKey(id stash.ContentID) stash.ContentID {
	mac := hmac.New(sha256.New, []byte("picture "+r.Epochs[0].Identity))
	mac.Write(id[:])
	return stash.ContentID(mac.Sum(nil)[:16])
}

// SealPicture seals the bytes of a picture under the current key.
func (r Ring) SealPicture(id stash.ContentID, data []byte) (remote.Name, []byte, error) {
	sealed, err := r.Current().encrypt(data)
	n := PictureName{epoch: r.Current().Name, Key: r.PictureKey(id), Object: HashOf(sealed)}
	return n.Name(), sealed, err
}

// OpenPicture opens a sealed picture; it is what the ledger says that it is, or an
// error says which check it failed.
func (r Ring) OpenPicture(n PictureName, id stash.ContentID, data []byte) ([]byte, error) {
	if err := WholeObject(n.Name(), n.Object, data); err != nil {
		return nil, err
	}
	e, known := r.Epoch(n.epoch)
	if !known {
		return nil, Bad(n.Name(), StepKey,
			"it is sealed with a key that this machine does not have")
	}
	open, err := e.decrypt(data)
	if err != nil || stash.ContentOf(open) != id {
		return nil, Bad(n.Name(), StepHash, "it is not the picture that its name says")
	}
	return open, nil
}
