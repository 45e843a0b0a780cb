package exchange

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// Membership is what this machine knows of the vault in the shared place. It is
// kept as JSON in the stash.
type Membership struct {
	format.Vault
	Place string `json:"place"`
	// Folder says that the place is a folder, which other machines may see late.
	Folder bool `json:"folder"`
	// Name is what this machine is called.
	Name string `json:"name"`
	// Kept are the objects under keys/ of the current epoch, so that they can
	// be put back.
	Kept []format.Object `json:"kept,omitempty"`
	// Vouched are the removed lanes whose events this machine has looked after.
	Vouched []stash.Lane `json:"vouched,omitempty"`
	// Forked are lanes under which two histories go on and of which heads have
	// yet to tell.
	Forked []stash.Lane `json:"forked,omitempty"`
	// Records are the records of lanes as they were put, so that they can be put
	// back with the signature of those who made them.
	Records map[stash.Lane]format.Object `json:"records,omitempty"`
	// Branched are lanes under which two histories go on, for good.
	Branched []stash.Lane `json:"branched,omitempty"`
	// Heads are the heads that were there and were verified in the last run,
	// with what they say.
	Heads map[remote.Name]format.Claims `json:"heads,omitempty"`
	// Looked is when the whole place was last looked over.
	Looked time.Time `json:"looked,omitzero"`
	// PicturesLooked is when it was last seen which pictures lie there.
	PicturesLooked time.Time `json:"pictures_looked,omitzero"`
	// Asked is how many questions were open after the last sync.
	Asked Counted `json:"asked,omitzero"`
	// Told is what the head of this replica says that it has seen.
	Told format.Claims `json:"told,omitempty"`
}

// LoadMembership reads the vault; false where this stash exchanges with none.
func LoadMembership(tx *sqlite.Tx) (*Membership, bool, error) {
	config, err := tx.VaultConfig()
	if err != nil || config == "" {
		return nil, false, err
	}
	var v Membership
	if err := json.Unmarshal([]byte(config), &v); err != nil {
		return nil, false, fmt.Errorf("what is kept of the shared place cannot be read: %w", err)
	}
	return &v, true, nil
}

// Save writes the membership into the stash.
func (v *Membership) Save(tx *sqlite.Tx) error {
	raw, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return tx.SetVaultConfig(string(raw))
}

// keepRecord remembers the record of a lane as it was put.
func (v *Membership) keepRecord(n format.DeviceName, data []byte) {
	if v.Records == nil {
		v.Records = map[stash.Lane]format.Object{}
	}
	v.Records[n.Lane] = format.Object{Name: n.Name(), Data: data}
}

// Keep remembers an object under keys/, so that it can be put back, and
// forgets those of older epochs.
func (v *Membership) Keep(name remote.Name, data []byte) {
	now := v.Current().Name
	v.Kept = slices.DeleteFunc(v.Kept, func(k format.Object) bool {
		n, ok := format.ParseKey(k.Name)
		return k.Name == name || ok && n.Epoch != now
	})
	v.Kept = append(v.Kept, format.Object{Name: name, Data: data})
}

// Change changes what is kept of the vault, in a transaction that reads it
// anew.
func (x *Session) Change(ctx context.Context, do func(*Membership, *sqlite.Tx) error) error {
	return x.Options.Store.Act(ctx, func(tx *sqlite.Tx) error {
		v, found, err := LoadMembership(tx)
		if err != nil || !found {
			return err
		}
		if err := do(v, tx); err != nil {
			return err
		}
		x.Member = v
		return v.Save(tx)
	})
}

// Register has a record put, and knows it from now on.
func (v *Membership) Register(tx *sqlite.Tx, d format.Device, signer sqlite.Signer) error {
	v.Know(d)
	n, data, err := v.SealDevice(d, signer)
	if err != nil {
		return err
	}
	v.keepRecord(n, data)
	return tx.Stow(string(n.Name()), data)
}

// Put has an object under keys/ put, and keeps it to be put back.
func (v *Membership) Put(tx *sqlite.Tx, w format.Object) error {
	v.Keep(w.Name, w.Data)
	return tx.Stow(string(w.Name), w.Data)
}

// Counted is how many questions were open after which event.
type Counted struct {
	Open int   `json:"open"`
	Upto int64 `json:"upto"`
}
