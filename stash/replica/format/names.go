package format

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"endsmeet/stash"
	"endsmeet/stash/remote"
)

// FileName is the object that says what the shared place is.
const FileName remote.Name = "format.json"

// The directories of the shared place.
const (
	HeadPrefix    = "head/"
	SegmentPrefix = "seg/"
	KeyPrefix     = "keys/"
	DevicePrefix  = "dev/"
	// PicturePrefix is of the bytes of photos.
	PicturePrefix = "pic/"
)

// HashOf is the hash of an object that stands in its name.
func HashOf(data []byte) stash.EventID {
	sum := sha256.Sum256(data)
	return stash.EventID(sum[:16])
}

// EpochName is the number of an epoch and a mark that tells two epochs of one
// number apart, as in 2.k3jd8sla.
type EpochName struct {
	Number uint32
	mark   [5]byte
}

// String gives the epoch as it stands in the names of objects.
func (e EpochName) String() string {
	return strconv.FormatUint(uint64(e.Number), 10) + "." + stash.Base32.EncodeToString(e.mark[:])
}

// Less says whether e was made before other; of two of one number the lesser
// mark counts as the earlier.
func (e EpochName) Less(other EpochName) bool {
	if e.Number != other.Number {
		return e.Number < other.Number
	}
	return string(e.mark[:]) < string(other.mark[:])
}

func (e EpochName) bytes() []byte {
	return append(binary.BigEndian.AppendUint32(nil, e.Number), e.mark[:]...)
}

func epochFromBytes(b []byte) EpochName {
	e := EpochName{Number: binary.BigEndian.Uint32(b)}
	copy(e.mark[:], b[4:9])
	return e
}

// MarshalText writes the epoch as String does.
func (e EpochName) MarshalText() ([]byte, error) { return []byte(e.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (e *EpochName) UnmarshalText(text []byte) error {
	number, mark, _ := strings.Cut(string(text), ".")
	n, err := strconv.ParseUint(number, 10, 32)
	raw, markErr := stash.Base32.DecodeString(mark)
	if err != nil || markErr != nil || len(raw) != len(e.mark) || n == 0 {
		return fmt.Errorf("%q is no number of a key", text)
	}
	e.Number = uint32(n)
	copy(e.mark[:], raw)
	if e.String() != string(text) {
		return fmt.Errorf("%q is no number of a key", text)
	}
	return nil
}

// Run is a run of events of a lane by its numbers and its end.
type Run struct {
	Lane        stash.Lane
	First, Last int64
	Chain       stash.EventID // of the last event
}

// SegmentName is the name of a segment.
type SegmentName struct {
	Run
	Object stash.EventID
}

// Name is the name that the segment has in the shared place.
func (n SegmentName) Name() remote.Name {
	return remote.Name(fmt.Sprintf("%s%s/%d-%d-%s-%s.seg", SegmentPrefix, n.Lane, n.First, n.Last,
		n.Chain, n.Object))
}

// HeadName is the name of a head: lane, last, chain, epoch. A machine that has
// recorded nothing puts one that ends at 0, for what it has seen of others.
type HeadName struct {
	Lane   stash.Lane
	Last   int64
	Chain  stash.EventID
	Epoch  EpochName
	object stash.EventID
}

// stem is the name up to the object.
func (n HeadName) stem() string {
	return fmt.Sprintf("%s%s-%d-%s-%s", HeadPrefix, n.Lane, n.Last, n.Chain, n.Epoch)
}

// Name is the name that the head has in the shared place.
func (n HeadName) Name() remote.Name { return remote.Name(n.stem() + "-" + n.object.String()) }

// The forms of names. They are compiled when they are first needed.
var (
	segForm  = form(`^seg/([a-z2-7]{24})/([0-9]+)-([0-9]+)-([a-z2-7]{26})-([a-z2-7]{26})\.seg$`)
	headForm = form(
		`^head/([a-z2-7]{24})-([0-9]+)-([a-z2-7]{26})-([0-9]+\.[a-z2-7]{8})-([a-z2-7]{26})$`,
	)
	deviceForm = form(`^dev/([a-z2-7]{24})-([a-z2-7]{26})\.age$`)
	keyForm    = form(`^keys/([0-9]+\.[a-z2-7]{8})/([a-z]+)-([a-z2-7]{26})-([a-z2-7]{26})\.age$`)
)

func form(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}

// ParseSegment reads the name of a segment; false for what is none.
func ParseSegment(name remote.Name) (SegmentName, bool) {
	m := segForm().FindStringSubmatch(string(name))
	if m == nil {
		return SegmentName{}, false
	}
	n := SegmentName{Run: Run{Lane: stash.Lane(m[1])}}
	var errs [4]error
	n.First, errs[0] = strconv.ParseInt(m[2], 10, 64)
	n.Last, errs[1] = strconv.ParseInt(m[3], 10, 64)
	errs[2] = n.Chain.UnmarshalText([]byte(m[4]))
	errs[3] = n.Object.UnmarshalText([]byte(m[5]))
	return n, errs == [4]error{} && n.First > 0 && n.First <= n.Last && n.Name() == name
}

// ParseHead reads the name of a head; false for what is none.
func ParseHead(name remote.Name) (HeadName, bool) {
	m := headForm().FindStringSubmatch(string(name))
	if m == nil {
		return HeadName{}, false
	}
	n := HeadName{Lane: stash.Lane(m[1])}
	var errs [4]error
	n.Last, errs[0] = strconv.ParseInt(m[2], 10, 64)
	errs[1] = n.Chain.UnmarshalText([]byte(m[3]))
	errs[2] = n.Epoch.UnmarshalText([]byte(m[4]))
	errs[3] = n.object.UnmarshalText([]byte(m[5]))
	return n, errs == [4]error{} && n.Last >= 0 && n.Name() == name
}

// DeviceName is the name of a record about a lane.
type DeviceName struct {
	Lane   stash.Lane
	object stash.EventID
}

// Name is the name that the record has in the shared place.
func (n DeviceName) Name() remote.Name {
	return remote.Name(fmt.Sprintf("%s%s-%s.age", DevicePrefix, n.Lane, n.object))
}

// ParseDevice reads the name of a record about a lane; false for what is none.
func ParseDevice(name remote.Name) (DeviceName, bool) {
	m := deviceForm().FindStringSubmatch(string(name))
	if m == nil {
		return DeviceName{}, false
	}
	n := DeviceName{Lane: stash.Lane(m[1])}
	err := n.object.UnmarshalText([]byte(m[2]))
	return n, err == nil && n.Name() == name
}

// KeyName is the name of a wrapped ring.
type KeyName struct {
	Epoch  EpochName
	Kind   WrapKind
	Tag    stash.EventID
	Object stash.EventID
}

// Name is the name that the wrap has in the shared place.
func (n KeyName) Name() remote.Name {
	return remote.Name(fmt.Sprintf("%s%s/%s-%s-%s.age", KeyPrefix, n.Epoch, n.Kind, n.Tag,
		n.Object))
}

// ParseKey reads the name of a wrap; false for what is none.
func ParseKey(name remote.Name) (KeyName, bool) {
	m := keyForm().FindStringSubmatch(string(name))
	if m == nil {
		return KeyName{}, false
	}
	n := KeyName{Kind: WrapKind(m[2])}
	errs := [3]error{n.Epoch.UnmarshalText([]byte(m[1])), n.Tag.UnmarshalText([]byte(m[3])),
		n.Object.UnmarshalText([]byte(m[4]))}
	return n, errs == [3]error{} && n.Name() == name
}

// laneBytes is a lane's name in 15 bytes.
func laneBytes(lane stash.Lane) []byte {
	raw, err := stash.Base32.DecodeString(string(lane))
	if err != nil || len(raw) != 15 {
		return make([]byte, 15)
	}
	return raw
}

func laneFromBytes(b []byte) stash.Lane { return stash.Lane(stash.Base32.EncodeToString(b[:15])) }
