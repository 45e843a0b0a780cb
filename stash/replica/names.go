package replica

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

// formatName is the object that says what the shared place is.
const formatName remote.Name = "format.json"

// The directories of the shared place.
const (
	headPrefix   = "head/"
	segPrefix    = "seg/"
	keyPrefix    = "keys/"
	devicePrefix = "dev/"
	// picturePrefix is of the bytes of photos.
	picturePrefix = "pic/"
)

// objectID is the hash of an object that stands in its name.
func objectID(data []byte) stash.EventID {
	sum := sha256.Sum256(data)
	return stash.EventID(sum[:16])
}

// epochName is the number of an epoch and a mark that tells two epochs of one
// number apart, as in 2.k3jd8sla.
type epochName struct {
	number uint32
	mark   [5]byte
}

// String gives the epoch as it stands in the names of objects.
func (e epochName) String() string {
	return strconv.FormatUint(uint64(e.number), 10) + "." + stash.Base32.EncodeToString(e.mark[:])
}

// less says whether e was made before other; of two of one number the lesser
// mark counts as the earlier.
func (e epochName) less(other epochName) bool {
	if e.number != other.number {
		return e.number < other.number
	}
	return string(e.mark[:]) < string(other.mark[:])
}

func (e epochName) bytes() []byte {
	return append(binary.BigEndian.AppendUint32(nil, e.number), e.mark[:]...)
}

func epochFromBytes(b []byte) epochName {
	e := epochName{number: binary.BigEndian.Uint32(b)}
	copy(e.mark[:], b[4:9])
	return e
}

// MarshalText writes the epoch as String does.
func (e epochName) MarshalText() ([]byte, error) { return []byte(e.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (e *epochName) UnmarshalText(text []byte) error {
	number, mark, _ := strings.Cut(string(text), ".")
	n, err := strconv.ParseUint(number, 10, 32)
	raw, markErr := stash.Base32.DecodeString(mark)
	if err != nil || markErr != nil || len(raw) != len(e.mark) || n == 0 {
		return fmt.Errorf("%q is not an epoch", text)
	}
	e.number = uint32(n)
	copy(e.mark[:], raw)
	if e.String() != string(text) {
		return fmt.Errorf("%q is not an epoch", text)
	}
	return nil
}

// run is a run of events of a lane by its numbers and its end.
type run struct {
	lane        stash.Lane
	first, last int64
	chain       stash.EventID // of the last event
}

// segName is the name of a segment.
type segName struct {
	run
	object stash.EventID
}

func (n segName) name() remote.Name {
	return remote.Name(fmt.Sprintf("%s%s/%d-%d-%s-%s.seg", segPrefix, n.lane, n.first, n.last,
		n.chain, n.object))
}

// headName is the name of a head: lane, last, chain, epoch. A machine that has
// recorded nothing puts one that ends at 0, for what it has seen of others.
type headName struct {
	lane   stash.Lane
	last   int64
	chain  stash.EventID
	epoch  epochName
	object stash.EventID
}

// stem is the name up to the object.
func (n headName) stem() string {
	return fmt.Sprintf("%s%s-%d-%s-%s", headPrefix, n.lane, n.last, n.chain, n.epoch)
}

func (n headName) name() remote.Name { return remote.Name(n.stem() + "-" + n.object.String()) }

// The forms of names. They are compiled when they are first needed.
var (
	segForm    = form(`^seg/([a-z2-7]{24})/([0-9]+)-([0-9]+)-([a-z2-7]{26})-([a-z2-7]{26})\.seg$`)
	headForm   = form(`^head/([a-z2-7]{24})-([0-9]+)-([a-z2-7]{26})-([0-9]+\.[a-z2-7]{8})-([a-z2-7]{26})$`)
	deviceForm = form(`^dev/([a-z2-7]{24})-([a-z2-7]{26})\.age$`)
	keyForm    = form(`^keys/([0-9]+\.[a-z2-7]{8})/([a-z]+)-([a-z2-7]{26})-([a-z2-7]{26})\.age$`)
)

func form(text string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(text) })
}

func parseSeg(name remote.Name) (segName, bool) {
	m := segForm().FindStringSubmatch(string(name))
	if m == nil {
		return segName{}, false
	}
	n := segName{run: run{lane: stash.Lane(m[1])}}
	var errs [4]error
	n.first, errs[0] = strconv.ParseInt(m[2], 10, 64)
	n.last, errs[1] = strconv.ParseInt(m[3], 10, 64)
	errs[2] = n.chain.UnmarshalText([]byte(m[4]))
	errs[3] = n.object.UnmarshalText([]byte(m[5]))
	return n, errs == [4]error{} && n.first > 0 && n.first <= n.last && n.name() == name
}

func parseHead(name remote.Name) (headName, bool) {
	m := headForm().FindStringSubmatch(string(name))
	if m == nil {
		return headName{}, false
	}
	n := headName{lane: stash.Lane(m[1])}
	var errs [4]error
	n.last, errs[0] = strconv.ParseInt(m[2], 10, 64)
	errs[1] = n.chain.UnmarshalText([]byte(m[3]))
	errs[2] = n.epoch.UnmarshalText([]byte(m[4]))
	errs[3] = n.object.UnmarshalText([]byte(m[5]))
	return n, errs == [4]error{} && n.last >= 0 && n.name() == name
}

// deviceName is the name of a record about a lane.
type deviceName struct {
	lane   stash.Lane
	object stash.EventID
}

func (n deviceName) name() remote.Name {
	return remote.Name(fmt.Sprintf("%s%s-%s.age", devicePrefix, n.lane, n.object))
}

func parseDevice(name remote.Name) (deviceName, bool) {
	m := deviceForm().FindStringSubmatch(string(name))
	if m == nil {
		return deviceName{}, false
	}
	n := deviceName{lane: stash.Lane(m[1])}
	err := n.object.UnmarshalText([]byte(m[2]))
	return n, err == nil && n.name() == name
}

// keyName is the name of a wrapped ring.
type keyName struct {
	epoch  epochName
	kind   wrapKind
	tag    stash.EventID
	object stash.EventID
}

func (n keyName) name() remote.Name {
	return remote.Name(fmt.Sprintf("%s%s/%s-%s-%s.age", keyPrefix, n.epoch, n.kind, n.tag,
		n.object))
}

func parseKey(name remote.Name) (keyName, bool) {
	m := keyForm().FindStringSubmatch(string(name))
	if m == nil {
		return keyName{}, false
	}
	n := keyName{kind: wrapKind(m[2])}
	errs := [3]error{n.epoch.UnmarshalText([]byte(m[1])), n.tag.UnmarshalText([]byte(m[3])),
		n.object.UnmarshalText([]byte(m[4]))}
	return n, errs == [3]error{} && n.name() == name
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
