package format

import (
	"crypto/ed25519"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// forge makes segments that are wrong in one way each.
type forge struct {
	t        *testing.T
	v        *Vault
	n        SegmentName
	good     []byte
	lane     stash.Lane
	events   []sqlite.RawEvent
	signer   sqlite.Signer
	other    sqlite.Signer // of a machine that was removed
	stranger Epoch
}

// newLane draws a lane with its key.
func newLane(t *testing.T, letter string) sqlite.Signer {
	t.Helper()
	_, key, err := ed25519.GenerateKey(nil)
	if err != nil {
		t.Fatal(err)
	}
	return sqlite.Signer{Lane: stash.Lane(strings.Repeat(letter, 24)), Key: key}
}

func newForge(t *testing.T) *forge {
	f := &forge{t: t, signer: newLane(t, "k"), other: newLane(t, "b")}
	f.lane = f.signer.Lane
	e, err := NewEpoch(1)
	if err != nil {
		t.Fatal(err)
	}
	f.v = &Vault{ID: strings.Repeat("v", 26), Ring: Ring{Epochs: []Epoch{e}}}
	f.v.Know(Device{Lane: f.lane, Key: f.signer.Public(), Name: "anneke"})
	f.v.Know(Device{Lane: f.other.Lane, Key: f.other.Public(), Name: "bo"})
	f.v.Removed = []Removal{{Lane: f.other.Lane, Name: "bo", Epoch: e.Name}}
	var chain stash.Chain
	for i := range 3 {
		raw := fmt.Appendf(nil, `{"v":1,"kind":"use","of":"package %d"}`, i)
		chain = stash.NextChain(chain, f.lane, raw)
		f.events = append(f.events, sqlite.RawEvent{
			End: sqlite.End{Seq: int64(i + 1), Chain: chain}, Raw: raw})
	}
	f.n, f.good, err = f.v.Seal(f.lane, stash.Chain{}, f.events, f.signer)
	if err == nil {
		_, err = f.v.Unseal(f.n.Name(), f.good)
	}
	if err == nil {
		f.stranger, err = NewEpoch(9)
	}
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// renamed gives data the name that its content asks for.
func (f *forge) renamed(data []byte) (remote.Name, []byte) {
	n := f.n
	n.Object = HashOf(data)
	return n.Name(), data
}

// changed is the good segment with other bytes at an offset, well named.
func (f *forge) changed(offset int, b ...byte) (remote.Name, []byte) {
	data := slices.Clone(f.good)
	copy(data[offset:], b)
	return f.renamed(data)
}

// flipped has one bit of a byte flipped, well named.
func (f *forge) flipped(offset int) (remote.Name, []byte) {
	return f.changed(offset, f.good[offset]^1)
}

// sealed is sealed by another vault or signer.
func (f *forge) sealed(v *Vault, signer sqlite.Signer) (remote.Name, []byte) {
	n, data, err := v.Seal(f.lane, stash.Chain{}, f.events, signer)
	if err != nil {
		f.t.Fatal(err)
	}
	return n.Name(), data
}

// body has another plain text.
func (f *forge) body(plain []byte) (remote.Name, []byte) {
	packed, err := f.v.Current().encrypt(plain)
	if err != nil {
		f.t.Fatal(err)
	}
	data := append(slices.Clone(f.good[:headerLength]), packed...)
	binary.BigEndian.PutUint64(data[atLength:], uint64(len(data)))
	return f.renamed(data)
}

// forgery is a wrong segment and the check that must refuse it.
type forgery struct {
	rule string
	step Step
	make func(*forge) (remote.Name, []byte)
}

var forgeries = []forgery{
	{"a name that is none", StepName, func(f *forge) (remote.Name, []byte) {
		return "seg/what", f.good
	}},
	{"another magic", StepFormat,
		func(f *forge) (remote.Name, []byte) { return f.changed(0, 'x') }},
	{"a newer format", StepFormat,
		func(f *forge) (remote.Name, []byte) { return f.changed(atVersion, 2) }},
	{"cut within the header", StepLength,
		func(f *forge) (remote.Name, []byte) { return f.renamed(f.good[:headerLength-1]) }},
	{"cut behind the header", StepLength,
		func(f *forge) (remote.Name, []byte) { return f.renamed(f.good[:len(f.good)-1]) }},
	{"something behind the end", StepLength,
		func(f *forge) (remote.Name, []byte) { return f.renamed(append(slices.Clone(f.good), 0)) }},
	{"another content under the name", StepHash, func(f *forge) (remote.Name, []byte) {
		_, data := f.flipped(len(f.good) - 1)
		return f.n.Name(), data
	}},
	{"a signature that is none", StepSignature,
		func(f *forge) (remote.Name, []byte) { return f.flipped(atSignature) }},
	{"a signature of another end", StepSignature,
		func(f *forge) (remote.Name, []byte) { return f.flipped(atChain) }},
	{"signed for another vault", StepSignature, func(f *forge) (remote.Name, []byte) {
		other := *f.v
		other.ID = strings.Repeat("q", 26)
		return f.sealed(&other, f.signer)
	}},
	{"signed by a machine that nobody registered", StepRegister,
		func(f *forge) (remote.Name, []byte) { return f.changed(atSigner, 1, 2, 3) }},
	{"signed by a removed machine", StepRemoved,
		func(f *forge) (remote.Name, []byte) { return f.sealed(f.v, f.other) }},
	{"a first number that the name does not have", StepHeader,
		func(f *forge) (remote.Name, []byte) { return f.changed(atFirst+7, 2) }},
	{"a key that nobody has", StepKey, func(f *forge) (remote.Name, []byte) {
		other := *f.v
		other.Epochs = []Epoch{f.stranger}
		return f.sealed(&other, f.signer)
	}},
	{"what age cannot open", StepAge,
		func(f *forge) (remote.Name, []byte) { return f.flipped(len(f.good) - 1) }},
	{"what zstd cannot unpack", StepZstd,
		func(f *forge) (remote.Name, []byte) { return f.body([]byte("no zstd")) }},
	{"what unpacks to more than the memory allows", StepZstd,
		func(f *forge) (remote.Name, []byte) {
			return f.body(compress(make([]byte, maxUnpacked+1)))
		}},
	{"one event too few", StepCount,
		func(f *forge) (remote.Name, []byte) { return f.body(compress(f.events[0].Raw)) }},
	{"other events", StepChain, func(f *forge) (remote.Name, []byte) {
		line := `{"v":1,"kind":"use","of":"x"}`
		return f.body(compress([]byte(line + strings.Repeat("\n"+line, len(f.events)-1))))
	}},
}

func TestEveryCheckOfASegmentHasItsOwnWords(t *testing.T) {
	f := newForge(t)
	met := map[Step]bool{}
	for _, c := range forgeries {
		t.Run(c.rule, func(t *testing.T) {
			name, data := c.make(f)
			if _, err := f.v.Unseal(name, data); StepOf(err) != c.step {
				t.Errorf("refused at %q: %v; want %q", StepOf(err), err, c.step)
			}
		})
		met[c.step] = true
	}
	if len(met) != 13 {
		t.Errorf("only %d checks were met", len(met))
	}
}
