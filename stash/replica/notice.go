package replica

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// notice tells those who have only the key before that it was changed, and who
// was shut out. Without it nobody could tell that from a file whose name says
// so.
type notice struct {
	Epoch   epochName    `json:"epoch"`
	Removed []stash.Lane `json:"removed"`
}

func noticeMessage(vaultID, text string) []byte {
	return []byte("endsmeet notice 1\n" + vaultID + "\n" + text)
}

// sealNotice makes the notice of the current key, sealed with the one before.
func (v *vault) sealNotice(before epoch, removed []stash.Lane, signer sqlite.Signer) (keptObject,
	error) {
	text, err := json.Marshal(notice{v.current().Name, removed})
	if err != nil {
		return keptObject{}, err
	}
	raw, err := json.Marshal(wrappedRing{v.ID, string(text), signer.Lane,
		ed25519.Sign(signer.Key, noticeMessage(v.ID, string(text)))})
	if err != nil {
		return keptObject{}, err
	}
	data, err := before.encrypt(raw)
	if err != nil {
		return keptObject{}, err
	}
	return keptObject{keyName{v.current().Name, wrapNotice, stash.EventID{}, objectID(data)}.name(),
		data}, nil
}

// openNotice verifies a notice and gives who wrote it; empty where it is none
// that counts.
func (v *vault) openNotice(n keyName, data []byte) (by string) {
	for _, e := range v.Epochs {
		raw, err := e.decrypt(data)
		if err != nil {
			continue
		}
		var w wrappedRing
		var said notice
		if json.Unmarshal(raw, &w) != nil || json.Unmarshal([]byte(w.Ring), &said) != nil ||
			w.Vault != v.ID || said.Epoch != n.epoch {
			return ""
		}
		signer, known := v.device(w.By)
		_, gone := v.removed(w.By)
		if known && !gone && ed25519.Verify(ed25519.PublicKey(signer.Key),
			noticeMessage(v.ID, w.Ring), w.Signature) {
			return signer.label()
		}
		return ""
	}
	return ""
}

// readNotices looks for a verified notice that the key was changed.
func (x *exchange) readNotices(ctx context.Context, listed []remote.Name) error {
	for _, name := range slices.Compact(listed) {
		n, ok := parseKey(name)
		if _, known := x.v.epoch(n.epoch); !ok || known || n.kind != wrapNotice {
			continue
		}
		data, err := x.Get(ctx, name)
		if err != nil && !errors.Is(err, remote.NotFound) {
			return err
		}
		if err != nil || !bytes.HasPrefix(data, []byte("age-encryption.org/")) {
			continue
		}
		if by := x.v.openNotice(n, data); by != "" {
			x.report.Locked = by
		}
	}
	return nil
}
