package replica

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"sync"
	"time"

	"filippo.io/age"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// vault is what this machine knows of the vault in the shared place. It is
// kept as JSON in the stash.
type vault struct {
	ID    string `json:"vault"`
	Place string `json:"place"`
	// Folder says that the place is a folder, which other machines may see late.
	Folder bool `json:"folder"`
	// Name is what this machine is called.
	Name string `json:"name"`
	Ring
	// Kept are the objects under keys/ of the current epoch, so that they can
	// be put back.
	Kept []keptObject `json:"kept,omitempty"`
	// Vouched are the removed lanes whose events this machine has looked after.
	Vouched []stash.Lane `json:"vouched,omitempty"`
	// Forked are lanes under which two histories go on and of which heads have
	// yet to tell.
	Forked []stash.Lane `json:"forked,omitempty"`
	// Records are the records of lanes as they were put, so that they can be put
	// back with the signature of those who made them.
	Records map[stash.Lane]keptObject `json:"records,omitempty"`
	// Branched are lanes under which two histories go on, for good.
	Branched []stash.Lane `json:"branched,omitempty"`
	// Heads are the heads that were there and were verified in the last run,
	// with what they say.
	Heads map[remote.Name]claims `json:"heads,omitempty"`
	// Looked is when the whole place was last looked over.
	Looked time.Time `json:"looked,omitzero"`
	// PicturesLooked is when it was last seen which pictures lie there.
	PicturesLooked time.Time `json:"pictures_looked,omitzero"`
	// Asked is how many questions were open after the last sync.
	Asked asked `json:"asked,omitzero"`
	// Told is what the head of this replica says that it has seen.
	Told claims `json:"told,omitempty"`
}

type keptObject struct {
	Name remote.Name `json:"name"`
	Data []byte      `json:"data"`
}

// Ring is the keys of a vault and who may use it. It is what is wrapped for
// pass-phrases, codes and machines.
type Ring struct {
	// Epochs are the keys, the current one last.
	Epochs []epoch `json:"epochs"`
	// Devices are the lanes that are known, with their keys.
	Devices []Device `json:"devices"`
	// Removed are the lanes that were shut out.
	Removed []removal `json:"removed,omitempty"`
}

// epoch is one key of the vault.
type epoch struct {
	Name     epochName `json:"name"`
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

// removal is a lane that was shut out, from which epoch on.
type removal struct {
	Lane  stash.Lane `json:"lane"`
	Name  string     `json:"name"`
	Epoch epochName  `json:"epoch"`
}

func label(name string, lane stash.Lane) string {
	return cmp.Or(stash.Clean(name), "lane "+string(lane[:min(6, len(lane))]))
}

func (d Device) label() string  { return label(d.Name, d.Lane) }
func (r removal) label() string { return label(r.Name, r.Lane) }

// newEpoch draws a key for the epoch of the given number.
func newEpoch(number uint32) (epoch, error) {
	identity, err := age.GenerateX25519Identity()
	if err != nil {
		return epoch{}, err
	}
	mark := objectID([]byte(identity.Recipient().String()))
	e := epoch{Name: epochName{number: number}, Identity: identity.String()}
	copy(e.Name.mark[:], mark[:])
	return e, nil
}

// current is the key that is sealed with now.
func (r Ring) current() epoch { return r.Epochs[len(r.Epochs)-1] }

func (r Ring) epoch(name epochName) (epoch, bool) {
	for _, e := range r.Epochs {
		if e.Name == name {
			return e, true
		}
	}
	return epoch{}, false
}

func (r Ring) device(lane stash.Lane) (Device, bool) {
	for _, d := range r.Devices {
		if d.Lane == lane {
			return d, true
		}
	}
	return Device{}, false
}

func (r Ring) removed(lane stash.Lane) (removal, bool) {
	for _, gone := range r.Removed {
		if gone.Lane == lane {
			return gone, true
		}
	}
	return removal{}, false
}

// twoKeys says that two machines made the current key at the same time, each
// shutting somebody out whom the other's key may still let in.
func (r Ring) twoKeys() bool {
	n := len(r.Epochs)
	return n > 1 && r.Epochs[n-2].Name.number == r.Epochs[n-1].Name.number
}

// label is what the machine that writes a lane is called.
func (r Ring) label(lane stash.Lane) string {
	if gone, ok := r.removed(lane); ok {
		return gone.label()
	}
	d, _ := r.device(lane)
	return label(d.Name, lane)
}

// know takes in a record unless a newer one of the same lane is known.
func (r *Ring) know(d Device) {
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
		if _, ok := r.epoch(e.Name); !ok {
			r.Epochs = append(r.Epochs, e)
		}
	}
	slices.SortFunc(r.Epochs, func(a, b epoch) int {
		if a.Name.less(b.Name) {
			return -1
		}
		return 1
	})
	for _, d := range other.Devices {
		r.know(d)
	}
	for _, gone := range other.Removed {
		if _, ok := r.removed(gone.Lane); !ok {
			r.Removed = append(r.Removed, gone)
		}
	}
}

// identities remembers identities by their text: reading one costs as much as
// opening an object.
var identities sync.Map

func (e epoch) identity() (*age.X25519Identity, error) {
	if known, ok := identities.Load(e.Identity); ok {
		return known.(*age.X25519Identity), nil
	}
	identity, err := age.ParseX25519Identity(e.Identity)
	if err == nil {
		identities.Store(e.Identity, identity)
	}
	return identity, err
}

func (e epoch) encrypt(data []byte) ([]byte, error) {
	identity, err := e.identity()
	if err != nil {
		return nil, err
	}
	return encryptTo(data, identity.Recipient())
}

func (e epoch) decrypt(data []byte) ([]byte, error) {
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

// loadVault reads the vault; false where this stash exchanges with none.
func loadVault(tx *sqlite.Tx) (*vault, bool, error) {
	config, err := tx.VaultConfig()
	if err != nil || config == "" {
		return nil, false, err
	}
	var v vault
	if err := json.Unmarshal([]byte(config), &v); err != nil {
		return nil, false, fmt.Errorf("what is kept of the shared place cannot be read: %w", err)
	}
	return &v, true, nil
}

func (v *vault) save(tx *sqlite.Tx) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return tx.SetVaultConfig(string(raw))
}

// keepRecord remembers the record of a lane as it was put.
func (v *vault) keepRecord(n deviceName, data []byte) {
	if v.Records == nil {
		v.Records = map[stash.Lane]keptObject{}
	}
	v.Records[n.lane] = keptObject{n.name(), data}
}

// keep remembers an object under keys/, so that it can be put back, and
// forgets those of older epochs.
func (v *vault) keep(name remote.Name, data []byte) {
	now := v.current().Name
	v.Kept = slices.DeleteFunc(v.Kept, func(k keptObject) bool {
		n, ok := parseKey(k.Name)
		return k.Name == name || ok && n.epoch != now
	})
	v.Kept = append(v.Kept, keptObject{name, data})
}

// formatFile is the content of format.json.
type formatFile struct {
	Format int    `json:"format"`
	Vault  string `json:"vault"`
	Reader int    `json:"least_reader"`
}

// formatNow is the format of the shared place that this version writes and reads.
const formatNow = 1

func formatOf(vaultID string) []byte {
	raw, _ := json.Marshal(formatFile{formatNow, vaultID, formatNow}) // numbers and a string
	return append(raw, '\n')
}

// readFormat reads format.json. One that needs a newer version is refused.
func readFormat(data []byte) (formatFile, error) {
	var f formatFile
	if json.Unmarshal(data, &f) != nil || f.Format < 1 || len(f.Vault) != 26 {
		return f, bad(formatName, StepFormat, "it says nothing that can be read")
	}
	if f.Reader > formatNow {
		return f, stash.Refuse(stash.CodeNewer,
			"install that version or a newer one; nothing was changed",
			"the shared place was set up by a newer endsmeet (format %d, this one reads %d)",
			f.Reader, formatNow)
	}
	if f.Format == formatNow && !bytes.Equal(data, formatOf(f.Vault)) {
		return f, bad(formatName, StepFormat, "it says something else than what is written there")
	}
	return f, nil
}
