package format

import (
	"bytes"
	"cmp"
	"io"
	"slices"
	"sync"

	"filippo.io/age"

	"endsmeet/stash"
	"endsmeet/stash/remote"
)

// Vault is what seals and opens: the name of a vault and its ring.
type Vault struct {
	ID string `json:"vault"`
	Ring
}

// Object is an object as it was put, kept so that it can be put back.
type Object struct {
	Name remote.Name `json:"name"`
	Data []byte      `json:"data"`
}

// Ring is the keys of a vault and who may use it. It is what is wrapped for
// pass-phrases, codes and machines.
type Ring struct {
	// Epochs are the keys, the current one last.
	Epochs []Epoch `json:"epochs"`
	// Devices are the lanes that are known, with their keys.
	Devices []Device `json:"devices"`
	// Removed are the lanes that were shut out.
	Removed []Removal `json:"removed,omitempty"`
}

// Epoch is one key of the vault.
type Epoch struct {
	Name     EpochName `json:"name"`
	Identity string    `json:"identity"`
}

// Device is a lane of a machine: its public key, and what the machine is
// called. A machine writes one lane, and another if it passes on what is told
// about people.
type Device struct {
	Lane    stash.Lane `json:"lane"`
	Key     []byte     `json:"key"`
	Private bool       `json:"private,omitempty"`
	Name    string     `json:"name"`
	// Recipient is the age recipient of the machine.
	Recipient string `json:"recipient"`
	// Stamp is when the record was made, in Unix milliseconds of that machine.
	Stamp int64 `json:"stamp"`
}

// Removal is a lane that was shut out, from which epoch on.
type Removal struct {
	Lane  stash.Lane `json:"lane"`
	Name  string     `json:"name"`
	Epoch EpochName  `json:"epoch"`
}

// Label is what a machine is called: its name, or else the start of its lane.
func Label(name string, lane stash.Lane) string {
	return cmp.Or(stash.Clean(name), "machine "+string(lane[:min(6, len(lane))]))
}

func (d Device) label() string { return Label(d.Name, d.Lane) }

// Label is what the removed machine was called.
func (r Removal) Label() string { return Label(r.Name, r.Lane) }

// NewEpoch draws a key for the epoch of the given number.
func NewEpoch(number uint32) (Epoch, error) {
	identity, err := age.GenerateX25519Identity()
	if err != nil {
		return Epoch{}, err
	}
	mark := HashOf([]byte(identity.Recipient().String()))
	e := Epoch{Name: EpochName{Number: number}, Identity: identity.String()}
	copy(e.Name.mark[:], mark[:])
	return e, nil
}

// Current is the key that is sealed with now.
func (r Ring) Current() Epoch { return r.Epochs[len(r.Epochs)-1] }

// Epoch finds a key by its name.
func (r Ring) Epoch(name EpochName) (Epoch, bool) {
	for _, e := range r.Epochs {
		if e.Name == name {
			return e, true
		}
	}
	return Epoch{}, false
}

// Device finds the record of a lane.
func (r Ring) Device(lane stash.Lane) (Device, bool) {
	for _, d := range r.Devices {
		if d.Lane == lane {
			return d, true
		}
	}
	return Device{}, false
}

// RemovedLane finds the removal of a lane.
func (r Ring) RemovedLane(lane stash.Lane) (Removal, bool) {
	for _, gone := range r.Removed {
		if gone.Lane == lane {
			return gone, true
		}
	}
	return Removal{}, false
}

// TwoKeys says that two machines made the current key at the same time, each
// shutting somebody out whom the other's key may still let in.
func (r Ring) TwoKeys() bool {
	n := len(r.Epochs)
	return n > 1 && r.Epochs[n-2].Name.Number == r.Epochs[n-1].Name.Number
}

// Label is what the machine that writes a lane is called.
func (r Ring) Label(lane stash.Lane) string {
	if gone, ok := r.RemovedLane(lane); ok {
		return gone.Label()
	}
	d, _ := r.Device(lane)
	return Label(d.Name, lane)
}

// Know takes in a record unless a newer one of the same lane is known.
func (r *Ring) Know(d Device) {
	for i, have := range r.Devices {
		if have.Lane == d.Lane {
			if d.Stamp > have.Stamp && bytes.Equal(d.Key, have.Key) && d.Private == have.Private {
				r.Devices[i] = d
			}
			return
		}
	}
	r.Devices = append(r.Devices, d)
	slices.SortFunc(r.Devices, func(a, b Device) int { return cmp.Compare(a.Lane, b.Lane) })
}

// join adds what another ring of the same vault knows.
func (r *Ring) join(other Ring) {
	for _, e := range other.Epochs {
		if _, ok := r.Epoch(e.Name); !ok {
			r.Epochs = append(r.Epochs, e)
		}
	}
	slices.SortFunc(r.Epochs, func(a, b Epoch) int {
		if a.Name.Less(b.Name) {
			return -1
		}
		return 1
	})
	for _, d := range other.Devices {
		r.Know(d)
	}
	for _, gone := range other.Removed {
		if _, ok := r.RemovedLane(gone.Lane); !ok {
			r.Removed = append(r.Removed, gone)
		}
	}
}

// identities remembers identities by their text: reading one costs as much as
// opening an object.
var identities sync.Map

func (e Epoch) identity() (*age.X25519Identity, error) {
	if known, ok := identities.Load(e.Identity); ok {
		return known.(*age.X25519Identity), nil
	}
	identity, err := age.ParseX25519Identity(e.Identity)
	if err == nil {
		identities.Store(e.Identity, identity)
	}
	return identity, err
}

func (e Epoch) encrypt(data []byte) ([]byte, error) {
	identity, err := e.identity()
	if err != nil {
		return nil, err
	}
	return encryptTo(data, identity.Recipient())
}

func (e Epoch) decrypt(data []byte) ([]byte, error) {
	identity, err := e.identity()
	if err != nil {
		return nil, err
	}
	return decryptWith(data, identity)
}

func encryptTo(data []byte, recipient age.Recipient) ([]byte, error) {
	var out bytes.Buffer
	w, err := age.Encrypt(&out, recipient)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil { // writes the last of it
		return nil, err
	}
	return out.Bytes(), nil
}

func decryptWith(data []byte, identity age.Identity) ([]byte, error) {
	r, err := age.Decrypt(bytes.NewReader(data), identity)
	if err != nil {
		return nil, err
	}
	return io.ReadAll(r)
}

// Shut says that a removed machine wrote a head after it was shut out.
func (v *Vault) Shut(h HeadName) (Removal, bool) {
	gone, ok := v.RemovedLane(h.Lane)
	return gone, ok && h.Epoch.Less(gone.Epoch)
}

// SealedEarlier says whether data opens with a key that is not current.
func (v *Vault) SealedEarlier(data []byte) bool {
	return slices.ContainsFunc(v.Epochs[:len(v.Epochs)-1], func(e Epoch) bool {
		_, err := e.decrypt(data)
		return err == nil
	})
}

// Fails says whether an object fails the checks of its kind.
func (v *Vault) Fails(name remote.Name, data []byte) bool {
	var err error
	if n, ok := ParseDevice(name); ok {
		_, err = v.OpenDevice(n, data)
	} else if n, ok := ParseKey(name); ok {
		err = WholeObject(name, n.Object, data)
	} else if n, ok := ParsePicture(name); ok {
		err = WholeObject(name, n.Object, data)
	} else if _, ok := ParseHead(name); ok {
		_, err = v.OpenHead(name, data)
	} else {
		_, err = v.Unseal(name, data)
	}
	return err != nil
}
