package format

import (
	"crypto/ed25519"
	"crypto/hkdf"
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"slices"
	"time"

	"golang.org/x/crypto/chacha20poly1305"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// The parts of a head; doc.go has the layout.
const (
	headVersion = 1
	headInfo    = "endsmeet head 1"
	epochBytes  = 9
	laneMark    = 6
	headFixed   = 1 + 15 + ed25519.SignatureSize + 8
)

// Head is what a lane had, and had seen of others, when it last wrote.
type Head struct {
	HeadName
	Claims
}

// Claims are what a head says, beside its name.
type Claims struct {
	// At is the wall clock of the machine that wrote it.
	At time.Time `json:"at"`
	// By is the lane that signed it, whose machine has seen what Seen says.
	By stash.Lane `json:"by"`
	// Seen is the greatest number seen of each other lane, by the mark of its name.
	Seen map[LaneTag]int64 `json:"seen,omitempty"`
}

// LaneTag is the beginning of a lane's name, as a head writes it.
type LaneTag [laneMark]byte

// MarshalText writes the mark in the letters of lanes.
func (m LaneTag) MarshalText() ([]byte, error) {
	return []byte(stash.Base32.EncodeToString(m[:])), nil
}

// UnmarshalText reads what MarshalText writes.
func (m *LaneTag) UnmarshalText(text []byte) error {
	raw, err := stash.Base32.DecodeString(string(text))
	copy(m[:], raw)
	return err
}

func markOf(lane stash.Lane) LaneTag { return LaneTag(laneBytes(lane)[:laneMark]) }

// Saw is how far the writer of the head had seen a lane.
func (h Head) Saw(lane stash.Lane) int64 {
	if lane == h.Lane {
		return h.Last
	}
	return h.Seen[markOf(lane)]
}

// SeenOf is what a head of lane tells of the lanes that are known here. What
// is told about people and never left this machine stays unmentioned.
func (v *Vault) SeenOf(lane stash.Lane, lanes []sqlite.Lane) map[LaneTag]int64 {
	seen := map[LaneTag]int64{}
	for _, l := range lanes {
		_, known := v.Device(l.Name)
		if l.Name != lane && l.Last > 0 && (!l.Private || known) {
			seen[markOf(l.Name)] = l.Last
		}
	}
	return seen
}

func (e Epoch) headKey() ([]byte, error) {
	return hkdf.Key(sha256.New, []byte(e.Identity), nil, headInfo, chacha20poly1305.KeySize)
}

// SealHead makes the head of a lane that ends at tip; seen is what this machine
// has seen of the others.
func (v *Vault) SealHead(lane stash.Lane, tip sqlite.End, seen map[LaneTag]int64, at time.Time,
	signer sqlite.Signer) (HeadName, []byte, error) {
	n := HeadName{Lane: lane, Last: tip.Seq, Chain: tip.Chain.ID(), Epoch: v.Current().Name}
	plain := append([]byte{headVersion}, laneBytes(signer.Lane)...)
	plain = append(plain, ed25519.Sign(signer.Key, headMessage(v.ID, lane, tip.Seq, n.Chain))...)
	plain = binary.BigEndian.AppendUint64(plain, uint64(at.UnixMilli()))
	for mark, last := range seen {
		plain = append(plain, mark[:]...)
		plain = binary.AppendUvarint(plain, uint64(last))
	}
	key, err := v.Current().headKey()
	if err != nil {
		return n, nil, err
	}
	aead, err := chacha20poly1305.NewX(key)
	if err != nil {
		return n, nil, err
	}
	nonce := make([]byte, aead.NonceSize())
	_, _ = rand.Read(nonce) // never fails (crypto/rand)
	data := append(n.Epoch.bytes(), nonce...)
	data = aead.Seal(data, nonce, plain, []byte(n.stem()))
	n.object = HashOf(data)
	return n, data, nil
}

// OpenHead verifies a head and reads it. Every error is a *BadObject.
func (v *Vault) OpenHead(name remote.Name, data []byte) (Head, error) {
	n, ok := ParseHead(name)
	if !ok {
		return Head{}, Bad(name, StepName, "its name is not one that a machine gives")
	}
	if HashOf(data) != n.object {
		return Head{}, Bad(name, StepHash,
			"its content is not what its name says: it was altered or damaged")
	}
	e, ok := v.Epoch(n.Epoch)
	if !ok {
		return Head{}, Bad(name, StepKey, "it is sealed with a key that this machine does not have")
	}
	plain, err := e.openHead(n, data)
	if err != nil || len(plain) < headFixed || plain[0] != headVersion {
		return Head{}, Bad(
			name,
			StepAge,
			"it cannot be opened: it was not written by a machine of this shared place, or by a newer version",
		)
	}
	if err := v.checkSignature(name, laneFromBytes(plain[1:]),
		headMessage(v.ID, n.Lane, n.Last, n.Chain),
		plain[16:16+ed25519.SignatureSize]); err != nil {
		return Head{}, err
	}
	h := Head{n, Claims{At: time.UnixMilli(int64(binary.BigEndian.Uint64(plain[headFixed-8:]))),
		By: laneFromBytes(plain[1:]), Seen: map[LaneTag]int64{}}}
	return h, readSeen(name, plain[headFixed:], h.Seen)
}

func (e Epoch) openHead(n HeadName, data []byte) ([]byte, error) {
	key, err := e.headKey()
	if err != nil {
		return nil, err
	}
	aead, err := chacha20poly1305.NewX(key)
	if err != nil {
		return nil, err
	}
	if len(data) < epochBytes+aead.NonceSize() ||
		!slices.Equal(data[:epochBytes], n.Epoch.bytes()) {
		return nil, ErrNotOurs
	}
	return aead.Open(nil, data[epochBytes:epochBytes+aead.NonceSize()],
		data[epochBytes+aead.NonceSize():], []byte(n.stem()))
}

func readSeen(name remote.Name, rest []byte, seen map[LaneTag]int64) error {
	for len(rest) > 0 {
		if len(rest) <= laneMark {
			return Bad(name, StepCount, "what it has seen of others is cut short")
		}
		last, n := binary.Uvarint(rest[laneMark:])
		if n <= 0 {
			return Bad(name, StepCount, "what it has seen of others cannot be read")
		}
		seen[LaneTag(rest[:laneMark])] = int64(last)
		rest = rest[laneMark+n:]
	}
	return nil
}
