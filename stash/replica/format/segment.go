package format

import (
	"bytes"
	"crypto/ed25519"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// The layout of a segment's header; doc.go has the table.
const (
	segMagic     = "endsmseg"
	segVersion   = 1
	atVersion    = 8
	atEpoch      = 9
	atLane       = 18
	atSigner     = 33
	atFirst      = 48
	atLast       = 56
	atPrevious   = 64
	atChain      = 96
	atLength     = 128
	atSignature  = 136
	headerLength = 200
)

// How much goes into one segment.
const (
	MaxEvents = 50_000
	maxBytes  = 16 << 20 // of lines, before compression
)

// Step is the check that an object failed.
type Step string

// The checks, in the order in which they are made.
const (
	StepName      Step = "name"
	StepFormat    Step = "format"
	StepLength    Step = "length"
	StepHash      Step = "hash"
	StepRegister  Step = "registration"
	StepRemoved   Step = "removed" // signed by a machine that was removed
	StepSignature Step = "signature"
	StepHeader    Step = "header"
	StepKey       Step = "key"
	StepAge       Step = "age"
	StepZstd      Step = "zstd"
	StepCount     Step = "count"
	StepChain     Step = "chain"
)

// BadObject says which check an object of the shared place failed.
type BadObject struct {
	Name    remote.Name
	Step    Step
	Problem string
}

// Error names the object and what is wrong with it.
func (e *BadObject) Error() string { return fmt.Sprintf("%s: %s", e.Name, e.Problem) }

// Bad is an object that failed a check, with what is wrong with it.
func Bad(name remote.Name, step Step, format string, args ...any) *BadObject {
	return &BadObject{name, step, fmt.Sprintf(format, args...)}
}

// StepOf is the check that an object failed; empty for other errors.
func StepOf(err error) Step {
	var b *BadObject
	if errors.As(err, &b) {
		return b.Step
	}
	return ""
}

// headMessage is what a signature is over.
func headMessage(vaultID string, lane stash.Lane, last int64, id stash.EventID) []byte {
	m := append([]byte("endsmeet head 1\n"), vaultID...)
	m = append(m, laneBytes(lane)...)
	m = binary.BigEndian.AppendUint64(m, uint64(last))
	return append(m, id[:]...)
}

// Seal makes a segment of events, which follow each other in a lane after
// previous, and gives its name.
func (v *Vault) Seal(lane stash.Lane, previous stash.Chain, events []sqlite.RawEvent,
	signer sqlite.Signer) (SegmentName, []byte, error) {
	lines := make([][]byte, len(events))
	for i, e := range events {
		lines[i] = e.Raw
	}
	epoch := v.Current()
	body, err := epoch.encrypt(compress(bytes.Join(lines, []byte("\n"))))
	if err != nil {
		return SegmentName{}, nil, err
	}
	first, last := events[0].Seq, events[len(events)-1]
	data := make([]byte, headerLength, headerLength+len(body))
	copy(data, segMagic)
	data[atVersion] = segVersion
	copy(data[atEpoch:], epoch.Name.bytes())
	copy(data[atLane:], laneBytes(lane))
	copy(data[atSigner:], laneBytes(signer.Lane))
	binary.BigEndian.PutUint64(data[atFirst:], uint64(first))
	binary.BigEndian.PutUint64(data[atLast:], uint64(last.Seq))
	copy(data[atPrevious:], previous[:])
	copy(data[atChain:], last.Chain[:])
	binary.BigEndian.PutUint64(data[atLength:], uint64(headerLength+len(body)))
	copy(data[atSignature:], ed25519.Sign(signer.Key,
		headMessage(v.ID, lane, last.Seq, last.Chain.ID())))
	data = append(data, body...)
	return SegmentName{Run{lane, first, last.Seq, last.Chain.ID()}, HashOf(data)}, data, nil
}

// Unseal verifies a segment and gives the run of events in it. Every error
// about the object itself is a *BadObject.
func (v *Vault) Unseal(name remote.Name, data []byte) (sqlite.Incoming, error) {
	n, ok := ParseSegment(name)
	if !ok {
		return sqlite.Incoming{}, Bad(name, StepName, "its name is not one that a machine gives")
	}
	if err := checkWhole(name, n.Object, data); err != nil {
		return sqlite.Incoming{}, err
	}
	in := sqlite.Incoming{Lane: laneFromBytes(data[atLane:]),
		First: int64(binary.BigEndian.Uint64(data[atFirst:]))}
	copy(in.Previous[:], data[atPrevious:])
	copy(in.Chain[:], data[atChain:])
	last := int64(binary.BigEndian.Uint64(data[atLast:]))
	signer := laneFromBytes(data[atSigner:])
	if err := v.checkSignature(name, signer, headMessage(v.ID, in.Lane, last, in.Chain.ID()),
		data[atSignature:headerLength]); err != nil {
		return sqlite.Incoming{}, err
	}
	if (Run{in.Lane, in.First, last, in.Chain.ID()}) != n.Run {
		return sqlite.Incoming{},
			Bad(name, StepHeader,
				"its header says entries %d to %d of machine %s, which is not what its name says",
				in.First, last, in.Lane)
	}
	writer, ok := v.Device(in.Lane)
	if !ok {
		return sqlite.Incoming{},
			Bad(name, StepRegister, "no machine that takes part wrote it")
	}
	in.Private, in.Key = writer.Private, writer.Key
	return v.unsealLines(name, in, last, data)
}

// RunOf is what the header of a segment says that it holds.
func RunOf(data []byte) Run {
	r := Run{Lane: laneFromBytes(data[atLane:]),
		First: int64(binary.BigEndian.Uint64(data[atFirst:])),
		Last:  int64(binary.BigEndian.Uint64(data[atLast:]))}
	r.Chain = stash.Chain(data[atChain:atLength]).ID()
	return r
}

// checkWhole checks magic, version, length and hash.
func checkWhole(name remote.Name, object stash.EventID, data []byte) error {
	switch {
	case len(data) < headerLength:
		return Bad(name, StepLength, "it is cut short: %d bytes, less than its header", len(data))
	case !bytes.HasPrefix(data, []byte(segMagic)):
		return Bad(name, StepFormat, "it does not begin as such a file does")
	case data[atVersion] != segVersion:
		return Bad(name, StepFormat, "it has the format %d; this version reads %d", data[atVersion],
			segVersion)
	}
	if length := binary.BigEndian.Uint64(data[atLength:]); length != uint64(len(data)) {
		return Bad(name, StepLength, "it is %d bytes long and says that it is %d", len(data),
			length)
	}
	if HashOf(data) != object {
		return Bad(name, StepHash,
			"its content is not what its name says: it was altered or damaged")
	}
	return nil
}

// checkSignature checks that a registered machine, not a removed one, signed.
func (v *Vault) checkSignature(name remote.Name, signer stash.Lane, message,
	signature []byte) error {
	if gone, ok := v.RemovedLane(signer); ok {
		return Bad(name, StepRemoved, "it was signed by %s, which was removed", gone.Label())
	}
	by, ok := v.Device(signer)
	if !ok {
		return Bad(name, StepRegister, "the machine that signed it is not registered")
	}
	if !ed25519.Verify(ed25519.PublicKey(by.Key), message, signature) {
		return Bad(name, StepSignature, "it was not signed by %s", by.label())
	}
	return nil
}

// unsealLines opens what lies behind a verified header.
func (v *Vault) unsealLines(name remote.Name, in sqlite.Incoming, last int64,
	data []byte) (sqlite.Incoming, error) {
	epoch, ok := v.Epoch(epochFromBytes(data[atEpoch:]))
	if !ok {
		return in, Bad(name, StepKey, "it is sealed with a key that this machine does not have")
	}
	packed, err := epoch.decrypt(data[headerLength:])
	if err != nil {
		return in, Bad(name, StepAge, "it cannot be opened: %v", err)
	}
	lines, err := decompress(packed)
	if err != nil {
		return in, Bad(name, StepZstd, "what is in it cannot be unpacked: %v", err)
	}
	in.Lines = bytes.Split(lines, []byte("\n"))
	if want := last - in.First + 1; int64(len(in.Lines)) != want {
		return in, Bad(name, StepCount, "it holds %d events and says %d", len(in.Lines), want)
	}
	if chainOf(in) != in.Chain {
		return in, Bad(name, StepChain, "the events in it are not the ones that were written")
	}
	return in, nil
}

func chainOf(in sqlite.Incoming) stash.Chain {
	chain := in.Previous
	for _, raw := range in.Lines {
		chain = stash.NextChain(chain, in.Lane, raw)
	}
	return chain
}

// Portion gives how many of the events go into one segment: as many as are
// few and short enough, but always one.
func Portion(events []sqlite.RawEvent) int {
	size := 0
	cut := slices.IndexFunc(events, func(e sqlite.RawEvent) bool {
		size += len(e.Raw) + 1
		return size > maxBytes
	})
	if cut < 0 {
		cut = len(events)
	}
	return max(1, min(cut, MaxEvents))
}

// WholeObject refuses content that is not what its name says: the hash in the name is
// of all of it.
func WholeObject(name remote.Name, object stash.EventID, data []byte) error {
	if HashOf(data) != object {
		return Bad(name, StepHash,
			"its content is not what its name says: it was altered or damaged")
	}
	return nil
}

// HasKeyOf says that a segment is sealed with a key of this ring, as its header says.
func (v *Vault) HasKeyOf(data []byte) bool {
	if len(data) < headerLength {
		return true // it is no segment
	}
	_, known := v.Epoch(epochFromBytes(data[atEpoch:]))
	return known
}
