package format

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

// WrapKind says for whom a ring is wrapped.
type WrapKind string

// The kinds of wrap.
const (
	WrapPhrase   WrapKind = "phrase"   // a pass-phrase, by scrypt
	WrapRecovery WrapKind = "recovery" // the printed code, by scrypt
	WrapInvite   WrapKind = "invite"   // a code shown on another machine, by scrypt
	WrapDevice   WrapKind = "device"   // a machine, by X25519
	// no ring: the change of key, for those who have only the one before
	WrapNotice WrapKind = "notice"
)

// Work factors of scrypt, the logarithm of N. A code holds 160 random bits, so
// that guessing it is hopeless at any; the work is for pass-phrases.
const (
	PhraseWork    = 18
	CodeWork      = 10
	MostWork      = 20 // what is tried at all, so that a store cannot keep us busy
	ringSignature = "endsmeet ring 1\n"
)

// WrappedRing is what lies within a wrap: the ring as JSON text, and the lane
// whose machine signed that.
type WrappedRing struct {
	Vault     string     `json:"vault"`
	Ring      string     `json:"ring"`
	By        stash.Lane `json:"by"`
	Signature []byte     `json:"signature"`
}

func ringMessage(vaultID, ring string) []byte {
	return []byte(ringSignature + vaultID + "\n" + ring)
}

// wrap seals the ring for a recipient and gives the object.
func (v *Vault) wrap(kind WrapKind, tag stash.EventID, to age.Recipient,
	signer sqlite.Signer) (Object, error) {
	ring, err := json.Marshal(v.Ring)
	if err != nil {
		return Object{}, err
	}
	raw, err := json.Marshal(WrappedRing{v.ID, string(ring), signer.Lane,
		ed25519.Sign(signer.Key, ringMessage(v.ID, string(ring)))})
	if err != nil {
		return Object{}, err
	}
	data, err := encryptTo(compress(raw), to)
	if err != nil {
		return Object{}, err
	}
	return Object{KeyName{v.Current().Name, kind, tag, HashOf(data)}.Name(), data}, nil
}

// WrapSecret seals the ring for a pass-phrase or a code.
func (v *Vault) WrapSecret(kind WrapKind, secret string, work int,
	signer sqlite.Signer) (Object, error) {
	to, err := age.NewScryptRecipient(secret)
	if err != nil {
		return Object{}, err
	}
	to.SetWorkFactor(work)
	return v.wrap(kind, stash.EventID{}, to, signer)
}

// WrapMachine seals the ring for a machine.
func (v *Vault) WrapMachine(recipient string, signer sqlite.Signer) (Object, error) {
	to, err := age.ParseX25519Recipient(recipient)
	if err != nil {
		return Object{}, err
	}
	return v.wrap(WrapDevice, MachineTag(v.ID, recipient), to, signer)
}

// MachineTag lets a machine find its wrap. It tells nothing to those who do
// not know the recipient, which never stands in the open.
func MachineTag(vaultID, recipient string) stash.EventID {
	return HashOf([]byte(vaultID + recipient))
}

// ErrNotOurs says that a secret does not open a wrap.
var ErrNotOurs = errors.New("it does not open")

// Unwrap opens a wrapped ring and checks that a lane in it signed it. It is
// ErrNotOurs where the identity does not fit, a *BadObject for what is damaged.
func Unwrap(name KeyName, data []byte, identity age.Identity) (WrappedRing, Ring, error) {
	var ring Ring
	var w WrappedRing
	if HashOf(data) != name.Object {
		return w, ring, Bad(name.Name(), StepHash,
			"its content is not what its name says: it was altered or damaged")
	}
	packed, err := decryptWith(data, identity)
	var mismatch *age.NoIdentityMatchError
	if errors.As(err, &mismatch) {
		return w, ring, ErrNotOurs
	}
	if err != nil {
		return w, ring, Bad(name.Name(), StepAge, "it cannot be opened: %v", err)
	}
	raw, err := decompress(packed)
	if err != nil || json.Unmarshal(raw, &w) != nil ||
		json.Unmarshal([]byte(w.Ring), &ring) != nil || len(ring.Epochs) == 0 ||
		ring.Current().Name != name.Epoch {
		return w, ring, Bad(name.Name(), StepFormat, "it holds no keys that can be read")
	}
	by, ok := ring.Device(w.By)
	if !ok || !ed25519.Verify(ed25519.PublicKey(by.Key), ringMessage(w.Vault, w.Ring),
		w.Signature) {
		return w, ring, Bad(name.Name(), StepSignature,
			"it was not signed by a machine of this shared place")
	}
	return w, ring, nil
}

// Adopt takes in a ring that another machine made: it must be of this vault
// and signed by a machine that is known here and not removed. What is known
// here stays known.
func (v *Vault) Adopt(name remote.Name, w WrappedRing, ring Ring) error {
	by, known := v.Device(w.By)
	signed, _ := ring.Device(w.By)
	if _, gone := v.RemovedLane(w.By); gone || !known || w.Vault != v.ID ||
		!bytes.Equal(by.Key, signed.Key) {
		return Bad(name, StepSignature, "the new key was not made by a machine that is known here")
	}
	v.Ring.join(ring)
	return nil
}
