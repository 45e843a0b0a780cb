package replica

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/sqlite"
)

// The letters of the words of a fingerprint: consonant, vowel, consonant,
// vowel, consonant stand for 4, 2, 4, 2 and 4 bits, so a word for 16.
const (
	consonants = "bdfghjklmnprstvz"
	vowels     = "aiou"
	words      = 5
)

// Print is a fingerprint: of the vault and its keys, and of all that has been
// taken in. Two machines that hold the same print the same.
type Print struct {
	Vault  string `json:"vault"`
	Events string `json:"events"`
	// Count is how many events the second is over.
	Count int64 `json:"count"`
}

// Fingerprint gives words to compare with those of another machine. What is
// told about people counts only where it is passed on.
func (r *Replica) Fingerprint(ctx context.Context) (Print, error) {
	var out Print
	err := r.part.Options.Store.View(ctx, func(tx *sqlite.Tx) error {
		v, found, err := exchange.LoadMembership(tx)
		if err != nil {
			return err
		}
		if !found {
			return stash.Refuse(stash.CodeRefused, "`endsmeet sync setup WHERE` makes one",
				"this stash has no shared place yet")
		}
		keys := sha256.New()
		keys.Write([]byte(v.ID))
		for _, e := range v.Epochs {
			keys.Write([]byte(e.Identity))
		}
		out.Vault = inWords(keys.Sum(nil))
		out.Events, out.Count, err = printOfEvents(tx)
		return err
	})
	return out, err
}

func printOfEvents(tx *sqlite.Tx) (string, int64, error) {
	settings, err := tx.Settings()
	if err != nil {
		return "", 0, err
	}
	lanes, err := tx.Lanes()
	if err != nil {
		return "", 0, err
	}
	var sum [sha256.Size]byte
	var count int64
	for _, l := range lanes {
		if l.Private && !settings.PeopleSync {
			continue
		}
		ends, err := tx.Ends(l.Name)
		if err != nil {
			return "", 0, err
		}
		for _, end := range ends { // added up, so that the order does not matter
			h := sha256.Sum256(append(binary.BigEndian.AppendUint64([]byte(l.Name),
				uint64(end.Seq)), end.Chain[:]...))
			for i := range sum {
				sum[i] ^= h[i]
			}
			count += end.Seq
		}
	}
	return inWords(sum[:]), count, nil
}

// inWords writes the first bytes of a hash as words that can be said aloud.
func inWords(hash []byte) string {
	var out []string
	for i := range words {
		n := binary.BigEndian.Uint16(hash[2*i:])
		out = append(out, string([]byte{
			consonants[n>>12&15], vowels[n>>10&3], consonants[n>>6&15], vowels[n>>4&3],
			consonants[n&15],
		}))
	}
	return strings.Join(out, " ")
}
