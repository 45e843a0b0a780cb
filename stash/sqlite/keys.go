package sqlite

import (
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"github.com/gofrs/flock"

	"endsmeet/stash"
)

// keyFile holds the lanes that a database on this machine, at this path, may
// write, each with the seed of its Ed25519 key.
type keyFile struct {
	Version int                `json:"version"`
	Machine string             `json:"machine"`
	Path    string             `json:"path"`
	Lanes   map[string]laneKey `json:"lanes"`
	// Former holds lanes that this replica wrote and writes no more, so that
	// what it has not passed on yet can still be signed.
	Former []laneKey `json:"former,omitempty"`
	// Device is the secret that opens what other machines seal for this one.
	Device string `json:"device,omitempty"`
}

type laneKey struct {
	Lane stash.Lane `json:"lane"`
	Seed []byte     `json:"seed"`
}

// The names of a replica's two lanes.
const (
	openLane    = "open"
	privateLane = "private"
)

func laneName(private bool) string {
	if private {
		return privateLane
	}
	return openLane
}

// machineTail ends the name of the file with the machine's random id.
const machineTail = ".machine"

// KeyPath is where the key file of a stash lies.
func (s *Store) KeyPath() string { return s.path + ".key" }

// ownLane gives the lane of this replica, drawing a new one if the key file
// is not there or belongs to another machine or path.
func (s *Store) ownLane(private bool) (laneKey, error) {
	keys, err := s.readKeys()
	if err != nil {
		return laneKey{}, err
	}
	if key, ok := keys.Lanes[laneName(private)]; ok {
		return key, nil
	}
	keys, err = s.changeKeys(func(keys *keyFile) (bool, error) {
		_, drawn := keys.Lanes[laneName(private)] // by another process, meanwhile
		if !drawn {
			keys.Lanes[laneName(private)] = s.newKey()
		}
		return !drawn, nil
	})
	return keys.Lanes[laneName(private)], err
}

// changeKeys changes the key file while no other process does; change says
// whether it did.
func (s *Store) changeKeys(change func(*keyFile) (bool, error)) (keyFile, error) {
	lock := flock.New(s.KeyPath()+".lock", flock.SetPermissions(0o600))
	if err := lock.Lock(); err != nil {
		return keyFile{}, err
	}
	defer lock.Unlock() //nolint:errcheck // released with the process at the latest
	if err := s.nameMachine(); err != nil {
		return keyFile{}, err
	}
	keys, err := s.readKeys()
	if err != nil {
		return keys, err
	}
	changed, err := change(&keys)
	if err != nil || !changed {
		return keys, err
	}
	return keys, s.writeKeys(keys)
}

func (s *Store) newKey() laneKey {
	seed := make([]byte, ed25519.SeedSize)
	s.ids.Bytes(seed)
	return laneKey{Lane: s.ids.Lane(), Seed: seed}
}

func (s *Store) readKeys() (keyFile, error) {
	fresh := keyFile{Version: 1, Machine: s.machine, Path: s.path, Lanes: map[string]laneKey{}}
	raw, err := os.ReadFile(s.KeyPath())
	if errors.Is(err, fs.ErrNotExist) {
		return fresh, nil
	}
	if err != nil {
		return keyFile{}, err
	}
	var keys keyFile
	if err := json.Unmarshal(raw, &keys); err != nil {
		return keyFile{}, stash.Refuse(stash.CodeStorage,
			"move it away: this copy then goes on under a new lane, and nothing is lost",
			"the key file %s cannot be read", s.KeyPath())
	}
	if keys.Version != fresh.Version {
		return keyFile{}, stash.Refuse(stash.CodeNewer, "install that version or a newer one",
			"the key file %s was written by a newer endsmeet", s.KeyPath())
	}
	if keys.Machine != s.machine || keys.Path != s.path || keys.Lanes == nil {
		fresh.Former = keys.allLanes()
		return fresh, nil
	}
	return keys, nil
}

// allLanes lists the lanes that the file holds, written and former ones.
func (k keyFile) allLanes() []laneKey {
	all := k.Former
	for _, private := range []bool{false, true} {
		if key, ok := k.Lanes[laneName(private)]; ok {
			all = append(all, key)
		}
	}
	return all
}

// writeKeys replaces the key file in one step; for changeKeys only. What a
// killed process left of a new file is replaced.
func (s *Store) writeKeys(keys keyFile) error {
	raw, err := json.MarshalIndent(keys, "", "  ")
	if err != nil {
		return err
	}
	temp, err := os.OpenFile(s.KeyPath()+".new", os.O_CREATE|os.O_WRONLY|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	defer os.Remove(temp.Name()) //nolint:errcheck // gone once renamed
	_, writeErr := temp.Write(append(raw, '\n'))
	if err := errors.Join(writeErr, temp.Sync(), temp.Close()); err != nil {
		return fmt.Errorf("key file: %w", err)
	}
	s.fault(PointKey)
	err = os.Rename(temp.Name(), s.KeyPath())
	s.fault(PointKeyed)
	return err
}

// systemID is where the operating system keeps its id of the machine.
var systemID = "/etc/machine-id"

// machineName is the operating system's id of the machine; where it has none,
// the random id in a file beside the key. A host name will not do: it changes
// with the network.
func machineName(beside string) string {
	for _, path := range []string{systemID, beside} {
		raw, err := os.ReadFile(path)
		if id := strings.TrimSpace(string(raw)); err == nil && id != "" {
			return id
		}
	}
	return ""
}

// nameMachine draws the id of a machine that has none, for changeKeys only.
func (s *Store) nameMachine() error {
	if s.machine == "" { // unless another process drew it meanwhile
		s.machine = machineName(s.path + machineTail)
	}
	if s.machine != "" {
		return nil
	}
	id := make([]byte, 16)
	s.ids.Bytes(id)
	s.machine = stash.EventID(id).String()
	return os.WriteFile(s.path+machineTail, []byte(s.machine+"\n"), 0o600)
}
