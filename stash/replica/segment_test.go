package replica

import (
	"context"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/remotetest"
	"endsmeet/stash/sqlite"
)

// vaultOf reads what a machine knows of the vault.
func (m *machine) vaultOf() (v *vault) {
	m.t.Helper()
	m.view(func(tx *sqlite.Tx) (err error) {
		v, _, err = loadVault(tx)
		return err
	})
	return v
}

// objects gives the names that lie in a place under a prefix.
func objects(t testing.TB, place remote.Remote, prefix string) []remote.Name {
	t.Helper()
	found, err := place.List(context.Background(), prefix, "")
	if err != nil {
		t.Fatal(err)
	}
	return found.Names
}

func get(t testing.TB, place remote.Remote, name remote.Name) []byte {
	t.Helper()
	data, err := place.Get(context.Background(), name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// stepOf is the check that an error names.
// forge makes segments that are wrong in one way each.
type forge struct {
	t        *testing.T
	v        *vault
	n        segName
	good     []byte
	lane     stash.Lane
	events   []sqlite.RawEvent
	signer   sqlite.Signer
	other    sqlite.Signer // of a machine that was removed
	stranger epoch
}

func newForge(t *testing.T) *forge {
	a, b, _ := pair(t)
	f := &forge{t: t, v: a.vaultOf(), lane: a.lane()}
	var err error
	f.signer, err = a.store.Signer(false)
	a.must(err)
	f.other, err = b.store.Signer(false)
	b.must(err)
	a.view(func(tx *sqlite.Tx) (err error) {
		f.events, err = tx.RawEvents(f.lane, 0, 9)
		return err
	})
	if len(f.events) < 2 {
		t.Fatal("no events to seal")
	}
	f.n, f.good, err = f.v.seal(f.lane, stash.Chain{}, f.events, f.signer)
	a.must(err)
	if _, err := f.v.unseal(f.n.name(), f.good); err != nil {
		t.Fatal(err)
	}
	f.stranger, err = newEpoch(9)
	a.must(err)
	f.v.know(Device{Lane: f.other.Lane, Key: f.other.Public(), Name: "bo"})
	f.v.Removed = append(f.v.Removed,
		removal{Lane: f.other.Lane, Name: "bo", Epoch: f.v.current().Name})
	return f
}

// renamed gives data the name that its content asks for.
func (f *forge) renamed(data []byte) (remote.Name, []byte) {
	n := f.n
	n.object = objectID(data)
	return n.name(), data
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
func (f *forge) sealed(v *vault, signer sqlite.Signer) (remote.Name, []byte) {
	n, data, err := v.seal(f.lane, stash.Chain{}, f.events, signer)
	if err != nil {
		f.t.Fatal(err)
	}
	return n.name(), data
}

// body has another plain text.
func (f *forge) body(plain []byte) (remote.Name, []byte) {
	packed, err := f.v.current().encrypt(plain)
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
		return "seg/what",
			f.good
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
		return f.n.name(), data
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
		other.Epochs = []epoch{f.stranger}
		return f.sealed(&other, f.signer)
	}},
	{"what age cannot open", StepAge,
		func(f *forge) (remote.Name, []byte) { return f.flipped(len(f.good) - 1) }},
	{"what zstd cannot unpack", StepZstd,
		func(f *forge) (remote.Name, []byte) { return f.body([]byte("no zstd")) }},
	{"what unpacks to more than the memory allows", StepZstd,
		func(f *forge) (remote.Name,
			[]byte) {
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
			if _, err := f.v.unseal(name, data); stepOf(err) != c.step {
				t.Errorf("refused at %q: %v; want %q", stepOf(err), err, c.step)
			}
		})
		met[c.step] = true
	}
	if len(met) != 13 {
		t.Errorf("only %d checks were met", len(met))
	}
}

// damaged puts another content under the name of an object.
func damaged(place *remotetest.Memory, name remote.Name, data []byte) {
	place.Plant(string(name), data)
}

func TestEveryFlippedBitAndEveryTruncationIsNamedAndChangesNothing(t *testing.T) {
	place := remotetest.NewMemory()
	a := newMachine(t, "anneke", place)
	a.setup()
	cone := a.receive(a.yarn("Ossentarn cotton"), "Y01", 400)
	a.use(cone, 10, time.Time{})
	a.quiet()
	b := newMachine(t, "bo", place)
	b.join()
	before := b.ledger()
	v := b.vaultOf()
	tried := map[string]int{}
	for _, prefix := range []string{segPrefix, headPrefix, devicePrefix, keyPrefix} {
		for _, name := range objects(t, place, prefix) {
			good := get(t, place, name)
			for i := range damages(good) {
				data := damage(good, i)
				if step := look(v, name, data); step == "" {
					t.Fatalf("%s: damage %d is not noticed", name, i)
				}
				tried[prefix]++
			}
		}
	}
	for _, prefix := range []string{segPrefix, headPrefix, devicePrefix, keyPrefix} {
		if tried[prefix] == 0 {
			t.Errorf("nothing under %s was damaged", prefix)
		}
	}
	// What a sync makes of it: the object is named, nothing comes in.
	seg := objects(t, place, segPrefix)[0]
	good := get(t, place, seg)
	for _, i := range []int{0, 1600, 8 * headerLength, 8*len(good) - 1, 8*len(good) + 1,
		8*len(good) + len(good) - 1} {
		damaged(place, seg, damage(good, i))
		r, err := b.Sync(context.Background())
		b.must(err)
		if len(r.Bad) != 1 || r.Bad[0].Name != seg || r.Received != 0 || len(r.Gaps) != 1 {
			t.Errorf("damage %d of a segment: %+v", i, r)
		}
		if b.ledger() != before {
			t.Fatal("a damaged segment changed the ledger")
		}
	}
	damaged(place, seg, good)
	if r := b.quiet(); r.Received != 3 {
		t.Errorf("after the segment was put back %d events came in", r.Received)
	}
	b.holds(cone, 390)
	b.view(func(tx *sqlite.Tx) error {
		bad, err := tx.Quarantined()
		if len(bad) != 0 {
			t.Errorf("still held back: %v", bad)
		}
		return err
	})
}

// damages is how many ways there are to flip one bit or to cut.
func damages(good []byte) int { return 8*len(good) + len(good) }

func damage(good []byte, i int) []byte {
	if i >= 8*len(good) {
		return good[:i-8*len(good)]
	}
	data := slices.Clone(good)
	data[i/8] ^= 1 << (i % 8)
	return data
}

// look verifies an object of any kind and gives the check that it failed.
func look(v *vault, name remote.Name, data []byte) Step {
	var err error
	switch {
	case strings.HasPrefix(string(name), segPrefix):
		_, err = v.unseal(name, data)
	case strings.HasPrefix(string(name), headPrefix):
		_, err = v.openHead(name, data)
	case strings.HasPrefix(string(name), devicePrefix):
		n, _ := parseDevice(name)
		_, err = v.openDevice(n, data)
	default:
		n, _ := parseKey(name)
		_, _, err = unwrap(n, data, nil)
	}
	return stepOf(err)
}

func TestNamesReadBackAndNothingElseIsTakenForOne(t *testing.T) {
	lane := stash.Lane(strings.Repeat("k", 24))
	e := epochName{number: 4294967295, mark: [5]byte{255, 255, 255, 255, 255}}
	id := stash.EventID{1, 2, 3}
	seg := segName{run{lane, 999_999_999_999, 999_999_999_999, id}, id}
	head := headName{lane, 999_999_999_999, id, e, id}
	key := keyName{e, wrapRecovery, id, id}
	device := deviceName{lane, id}
	for _, name := range []remote.Name{seg.name(), head.name(), key.name(), device.name(),
		formatName} {
		if err := name.Check(); err != nil {
			t.Error(err)
		}
	}
	gotSeg, okSeg := parseSeg(seg.name())
	gotHead, okHead := parseHead(head.name())
	gotKey, okKey := parseKey(key.name())
	gotDevice, okDevice := parseDevice(device.name())
	if !okSeg || !okHead || !okKey || !okDevice || gotSeg != seg || gotHead != head ||
		gotKey != key || gotDevice != device {
		t.Errorf("read back as %v %v %v %v", gotSeg, gotHead, gotKey, gotDevice)
	}
	wrong := []string{"seg/" + string(lane) + "/01-2-" + id.String() + "-" + id.String() + ".seg",
		"seg/" + string(lane) + "/3-2-" + id.String() + "-" + id.String() + ".seg",
		"seg/" + string(lane) + "/0-2-" + id.String() + "-" + id.String() + ".seg", "head/x",
		string(head.name()) + ".1", "keys/0.aaaaaaaa/phrase-" + id.String() + "-" + id.String() +
			".age",
		"dev/" + string(lane) + ".age",
		fmt.Sprintf("seg/%s/99999999999999999999-99999999999999999999-%s-%s.seg", lane, id, id)}
	for _, text := range wrong {
		_, a := parseSeg(remote.Name(text))
		_, b := parseHead(remote.Name(text))
		_, c := parseKey(remote.Name(text))
		_, d := parseDevice(remote.Name(text))
		if a || b || c || d {
			t.Errorf("%s is taken for a name", text)
		}
	}
}

func TestACodeIsReadHoweverItIsGroupedAndASlipIsNoticed(t *testing.T) {
	code := newCode()
	for _, typed := range []string{code, strings.ToUpper(code), strings.ReplaceAll(code, "-", ""),
		strings.ReplaceAll(code, "-", " "), " " + code + "\n",
		strings.NewReplacer("o", "0", "l", "1", "b", "8").Replace(code)} {
		if got, is, err := secretOf(typed); err != nil || !is || got != code {
			t.Errorf("%q is read as %q, %v, %v", typed, got, is, err)
		}
	}
	for i, c := range code {
		if c == '-' {
			continue
		}
		other := byte('a')
		if c == 'a' {
			other = 'b'
		}
		slip := code[:i] + string(other) + code[i+1:]
		if _, _, err := secretOf(slip); err == nil {
			t.Errorf("the slip in %q is not noticed", slip)
		}
	}
	if got, is, err := secretOf(phrase); err != nil || is || got != phrase {
		t.Errorf("a pass-phrase is read as %q, %v, %v", got, is, err)
	}
}
