package replica

import (
	"bytes"
	"crypto/ed25519"
	"encoding/json"
	"errors"

	"filippo.io/age"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// wrapKind says for whom a ring is wrapped.
type wrapKind string

// The kinds of wrap.
const (
	wrapPhrase   wrapKind = "phrase"   // a pass-phrase, by scrypt
	wrapRecovery wrapKind = "recovery" // the printed code, by scrypt
	wrapInvite   wrapKind = "invite"   // a code shown on another machine, by scrypt
	wrapDevice   wrapKind = "device"   // a machine, by X25519
	// no ring: the change of key, for those who have only the one before
	wrapNotice wrapKind = "notice"
)

// Work factors of scrypt, the logarithm of N. A code holds 160 random bits, so
// that guessing it is hopeless at any; the work is for pass-phrases.
const (
	phraseWork    = 18
	codeWork      = 10
	mostWork      = 20 // what is tried at all, so that a store cannot keep us busy
	ringSignature = "endsmeet ring 1\n"
)

// wrappedRing is what lies within a wrap: the ring as JSON text, and the lane
// whose machine signed that.
type wrappedRing struct {
	Vault     string     `json:"vault"`
	Ring      string     `json:"ring"`
	By        stash.Lane `json:"by"`
	Signature []byte     `json:"signature"`
}

func ringMessage(vaultID, ring string) []byte {
	return []byte(ringSignature + vaultID + "\n" +
		ring)
}

// wrap seals the ring for a recipient and gives the object.
func (v *vault) wrap(kind wrapKind, tag stash.EventID, to age.Recipient,
	signer sqlite.Signer) (keptObject, error) {
	ring, err := json.Marshal(v.Ring)
	if err != nil {
		return keptObject{}, err
	}
	raw, err := json.Marshal(wrappedRing{v.ID, string(ring), signer.Lane,
		ed25519.Sign(signer.Key, ringMessage(v.ID, string(ring)))})
	if err != nil {
		return keptObject{}, err
	}
	data, err := encryptTo(compress(raw), to)
	if err != nil {
		return keptObject{}, err
	}
	return keptObject{keyName{v.current().Name, kind, tag, objectID(data)}.name(), data}, nil
}

// wrapSecret seals the ring for a pass-phrase or a code.
func (v *vault) wrapSecret(kind wrapKind, secret string, work int,
	signer sqlite.Signer) (keptObject, error) {
	to, err := age.NewScryptRecipient(secret)
	if err != nil {
		return keptObject{}, err
	}
	to.SetWorkFactor(work)
	return v.wrap(kind, stash.EventID{}, to, signer)
}

// wrapMachine seals the ring for a machine.
func (v *vault) wrapMachine(recipient string, signer sqlite.Signer) (keptObject, error) {
	to, err := age.ParseX25519Recipient(recipient)
	if err != nil {
		return keptObject{}, err
	}
	return v.wrap(wrapDevice, machineTag(v.ID, recipient), to, signer)
}

// machineTag lets a machine find its wrap. It tells nothing to those who do
// not know the recipient, which never stands in the open.
func machineTag(vaultID, recipient string) stash.EventID {
	return objectID([]byte(vaultID + recipient))
}

// errNotOurs says that a secret does not open a wrap.
var errNotOurs = errors.New("it does not open")

// unwrap opens a wrapped ring and checks that a lane in it signed it. It is
// errNotOurs where the identity does not fit, a *BadObject for what is damaged.
func unwrap(name keyName, data []byte, identity age.Identity) (wrappedRing, Ring, error) {
	var ring Ring
	var w wrappedRing
	if objectID(data) != name.object {
		return w, ring, bad(name.name(), StepHash,
			"its content is not what its name says: it was altered or damaged")
	}
	packed, err := decryptWith(data, identity)
	var mismatch *age.NoIdentityMatchError
	if errors.As(err, &mismatch) {
		return w, ring, errNotOurs
	}
	if err != nil {
		return w, ring, bad(name.name(), StepAge, "it cannot be opened: %v", err)
	}
	raw, err := decompress(packed)
	if err != nil || json.Unmarshal(raw, &w) != nil ||
		json.Unmarshal([]byte(w.Ring), &ring) != nil || len(ring.Epochs) == 0 ||
		ring.current().Name != name.epoch {
		return w, ring, bad(name.name(), StepFormat, "it holds no keys that can be read")
	}
	by, ok := ring.device(w.By)
	if !ok || !ed25519.Verify(ed25519.PublicKey(by.Key), ringMessage(w.Vault, w.Ring),
		w.Signature) {
		return w, ring, bad(name.name(), StepSignature,
			"it was not signed by a machine of this shared place")
	}
	return w, ring, nil
}

// adopt takes in a ring that another machine made: it must be of this vault
// and signed by a machine that is known here and not removed. What is known
// here stays known.
func (v *vault) adopt(name remote.Name, w wrappedRing, ring Ring) error {
	by, known := v.device(w.By)
	signed, _ := ring.device(w.By)
	if _, gone := v.removed(w.By); gone || !known || w.Vault != v.ID ||
		!bytes.Equal(by.Key, signed.Key) {
		return bad(name, StepSignature, "the new key was not made by a machine that is known here")
	}
	v.Ring.join(ring)
	return nil
}
