package sqlite

import (
	"crypto/ed25519"

	"endsmeet/stash"
)

// Signer is a lane that this replica writes, or wrote, with its key.
type Signer struct {
	Lane    stash.Lane
	Private bool
	// Former says that this replica writes the lane no more.
	Former bool
	Key    ed25519.PrivateKey
}

// Public is the lane's public key.
func (s Signer) Public() ed25519.PublicKey { return s.Key.Public().(ed25519.PublicKey) }

// Signer gives this replica's lane, drawing one if there is none yet.
func (s *Store) Signer(private bool) (Signer, error) {
	key, err := s.ownLane(private)
	if err != nil {
		return Signer{}, storageError(s.KeyPath(), err)
	}
	return Signer{Lane: key.Lane, Private: private, Key: ed25519.NewKeyFromSeed(key.Seed)}, nil
}

// Signers lists the lanes whose keys lie here: the ones that are written and
// the former ones. Which of the former held notes about people is not known.
func (s *Store) Signers() ([]Signer, error) {
	keys, err := s.readKeys()
	if err != nil {
		return nil, storageError(s.KeyPath(), err)
	}
	var out []Signer
	for _, private := range []bool{false, true} {
		if key, ok := keys.Lanes[laneName(private)]; ok {
			out = append(out, Signer{Lane: key.Lane, Private: private,
				Key: ed25519.NewKeyFromSeed(key.Seed)})
		}
	}
	for _, key := range keys.Former {
		out = append(out, Signer{Lane: key.Lane, Former: true,
			Key: ed25519.NewKeyFromSeed(key.Seed)})
	}
	return out, nil
}

// DeviceSecret gives the secret that this machine opens its keys of the shared
// place with; make draws one if there is none yet. Like the lanes it is bound
// to the machine and the path.
func (s *Store) DeviceSecret(make func() (string, error)) (string, error) {
	keys, err := s.readKeys()
	if err != nil || keys.Device != "" {
		return keys.Device, storageError(s.KeyPath(), err)
	}
	keys, err = s.changeKeys(func(keys *keyFile) (bool, error) {
		if keys.Device != "" {
			return false, nil // another process made it meanwhile
		}
		keys.Device, err = make()
		return true, err
	})
	return keys.Device, storageError(s.KeyPath(), err)
}
