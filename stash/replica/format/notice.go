package format

import (
	"crypto/ed25519"
	"encoding/json"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// notice tells those who have only the key before that it was changed, and who
// was shut out. Without it nobody could tell that from a file whose name says
// so.
type notice struct {
	Epoch   EpochName    `json:"epoch"`
	Removed []stash.Lane `json:"removed"`
}

func noticeMessage(vaultID, text string) []byte {
	return []byte("endsmeet notice 1\n" + vaultID + "\n" + text)
}

// SealNotice makes the notice of the current key, sealed with the one before.
func (v *Vault) SealNotice(before Epoch, removed []stash.Lane, signer sqlite.Signer) (Object,
	error) {
	text, err := json.Marshal(notice{v.Current().Name, removed})
	if err != nil {
		return Object{}, err
	}
	raw, err := json.Marshal(WrappedRing{v.ID, string(text), signer.Lane,
		ed25519.Sign(signer.Key, noticeMessage(v.ID, string(text)))})
	if err != nil {
		return Object{}, err
	}
	data, err := before.encrypt(raw)
	if err != nil {
		return Object{}, err
	}
	return Object{KeyName{v.Current().Name, WrapNotice, stash.EventID{}, HashOf(data)}.Name(),
		data}, nil
}

// OpenNotice verifies a notice and gives who wrote it; empty where it is none
// that counts.
func (v *Vault) OpenNotice(n KeyName, data []byte) (by string) {
	for _, e := range v.Epochs {
		raw, err := e.decrypt(data)
		if err != nil {
			continue
		}
		var w WrappedRing
		var said notice
		if json.Unmarshal(raw, &w) != nil || json.Unmarshal([]byte(w.Ring), &said) != nil ||
			w.Vault != v.ID || said.Epoch != n.Epoch {
			return ""
		}
		signer, known := v.Device(w.By)
		_, gone := v.RemovedLane(w.By)
		if known && !gone && ed25519.Verify(ed25519.PublicKey(signer.Key),
			noticeMessage(v.ID, w.Ring), w.Signature) {
			return signer.label()
		}
		return ""
	}
	return ""
}
