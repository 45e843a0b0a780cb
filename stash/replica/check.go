package replica

import (
	"context"
	"errors"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/sqlite"
)

// Checked is what a check of the shared place found.
type Checked struct {
	Traffic `json:"traffic"`
	// Objects counts what lies there, Read how many were read and verified.
	Objects int `json:"objects"`
	Read    int `json:"read"`
	// Bad are objects that fail a check.
	Bad []BadObject `json:"-"`
	// Gaps are events that others have and that are not here.
	Gaps []Gap `json:"gaps"`
	// Missing are events that are here and no more there.
	Missing []Gap `json:"missing"`
	// Lost are other parts of the vault that are not there.
	Lost     []remote.Name `json:"lost"`
	Ignored  int           `json:"ignored"`
	Examples []string      `json:"-"`
	// Unannounced are segments of which no head tells: their writer was broken
	// off, or put back to a backup. Repair takes them in.
	Unannounced []Gap `json:"unannounced"`
	// Superseded counts objects of removed machines that nobody reads.
	Superseded int `json:"superseded"`
	// Locked counts objects under a newer key that this machine was not given.
	Locked int `json:"locked"`
	// Repaired counts objects that were put back, Cleared damaged ones that
	// were deleted. Only Repair does so.
	Repaired int `json:"repaired"`
	Cleared  int `json:"cleared"`
}

// OK says that nothing is missing, damaged, or not to be read here.
func (c Checked) OK() bool {
	return len(c.Bad) == 0 && len(c.Gaps) == 0 && len(c.Missing) == 0 && len(c.Lost) == 0 &&
		c.Locked == 0
}

// inspection is a check under way.
type inspection struct {
	*exchange
	out Checked
	// read says that all is read, suspects, where it is not nil, that all is but
	// segments, and of those the ones that reach beyond a number of these lanes.
	read     bool
	suspects map[stash.Lane]int64
	segs     map[stash.Lane][]segName
	keys     map[remote.Name]bool
	devs     map[stash.Lane]bool
	lack     []lack
	heads    []Head
	// misplaced are whole segments under names that are not theirs.
	misplaced map[remote.Name]run
	// junk says that what nobody can ever read, and nobody misses, is deleted.
	junk bool
	// formatGood says that format.json is there as it should be.
	formatGood bool
}

// lack is a run of events that is here and not in the shared place.
type lack struct {
	lane     sqlite.Lane
	end      sqlite.End // of the history that they belong to
	from, to int64
	// headless says that no head tells of the end.
	headless bool
}

// Check compares the shared place with what is known here; with read it also
// reads every object and verifies it. It changes nothing there.
func (r *Replica) Check(ctx context.Context, read bool) (Checked, error) {
	var out Checked
	err := r.locked(ctx, func() error {
		i, err := r.inspect(ctx, read, false)
		if i != nil {
			out = i.out
			out.Traffic = i.traffic
		}
		return placeError(err)
	})
	return out, err
}

func (r *Replica) inspect(ctx context.Context, read, refill bool) (*inspection, error) {
	x, err := r.begin(ctx)
	if err != nil {
		return nil, err
	}
	if err := x.recognise(ctx); err != nil && (!refill || stash.CodeOf(err) != CodePlace) {
		return nil, err
	}
	x.recognised = true
	i := x.inspection()
	i.read = read
	for _, step := range []func(context.Context) error{x.finish, x.lookAround, i.look} {
		if err := step(ctx); err != nil {
			return i, err
		}
	}
	return i, nil
}

// inspection begins a check in the middle of a run.
func (x *exchange) inspection() *inspection {
	return &inspection{exchange: x, segs: map[stash.Lane][]segName{}, keys: map[remote.Name]bool{},
		devs: map[stash.Lane]bool{}, misplaced: map[remote.Name]run{}}
}

// look compares what lies there with what is here.
func (i *inspection) look(ctx context.Context) error {
	for _, step := range []func(context.Context) error{i.list, i.lookAtFormat, i.lookForLost,
		i.compare} {
		if err := step(ctx); err != nil {
			return err
		}
	}
	return nil
}

// list lists all that is there and, if asked, reads it.
func (i *inspection) list(ctx context.Context) error {
	found, err := i.List(ctx, "", "")
	if err != nil {
		return err
	}
	i.out.Ignored, i.out.Examples = found.Ignored, found.Examples
	i.exchange.heads, i.opened = nil, map[headName]Head{} // only those that can be opened count
	names := slices.Compact(found.Names)
	for n, name := range names {
		if err := i.lookAt(ctx, name); err != nil {
			return err
		}
		i.progress("checking", int64(n+1), int64(len(names)))
	}
	return nil
}

// lookAt sorts one object into its kind, having verified it if asked to.
func (i *inspection) lookAt(ctx context.Context, name remote.Name) error {
	var verify func([]byte) error
	good := func() {}
	reading := i.read || i.suspects != nil
	if n, ok := parseSeg(name); ok {
		upto, suspect := i.suspects[n.lane]
		reading = i.read || suspect && n.last > upto
		verify = func(data []byte) error { _, err := i.v.unseal(name, data); return err }
		good = func() { i.segs[n.lane] = append(i.segs[n.lane], n) }
	} else if n, ok := parseHead(name); ok {
		reading = true
		verify = func(data []byte) error { return i.openHead(n, data) }
	} else if n, ok := parseKey(name); ok {
		verify = func(data []byte) error { return wholeObject(name, n.object, data) }
		good = func() { i.keys[name] = true }
	} else if n, ok := parseDevice(name); ok {
		verify = func(data []byte) error { return i.checkDevice(n, data) }
		good = func() { i.devs[n.lane] = true }
	} else if n, ok := parsePicture(name); ok {
		verify = func(data []byte) error { return wholeObject(name, n.object, data) }
	} else if name == formatName {
		i.out.Objects++
		return nil
	} else {
		i.out.Ignored++
		return nil
	}
	i.out.Objects++
	if !reading {
		good()
		return nil
	}
	return i.verify(ctx, name, verify, good)
}

// verify reads an object and notes whether it is what it should be.
func (i *inspection) verify(ctx context.Context, name remote.Name, verify func([]byte) error,
	good func()) error {
	data, err := i.Get(ctx, name)
	if errors.Is(err, remote.NotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	i.out.Read++
	err = verify(data)
	var b *BadObject
	switch {
	case errors.As(err, &b) && b.Step == StepRemoved:
		i.out.Superseded++
	case errors.As(err, &b) && i.unknownKey(name, b, data):
		i.out.Locked++
	case errors.As(err, &b):
		i.out.Bad = append(i.out.Bad, *b)
		if b.Step == StepHeader {
			i.misplaced[name] = runOf(data)
		}
	case err != nil:
		return err
	default:
		good()
	}
	return nil
}

func wholeObject(name remote.Name, object stash.EventID, data []byte) error {
	if objectID(data) != object {
		return bad(name, StepHash,
			"its content is not what its name says: it was altered or damaged")
	}
	return nil
}

// unknownKey says that an object is sealed with a key that this machine was not
// given, as far as can be told from outside.
func (i *inspection) unknownKey(name remote.Name, b *BadObject, data []byte) bool {
	_, isDevice := parseDevice(name)
	switch {
	case b.Step == StepKey:
		return true
	case b.Step == StepRegister && len(data) >= headerLength:
		_, known := i.v.epoch(epochFromBytes(data[atEpoch:]))
		return !known
	}
	return isDevice && b.Step == StepAge && i.newer != ""
}

func (i *inspection) openHead(n headName, data []byte) error {
	h, err := i.v.openHead(n.name(), data)
	if err != nil {
		return err
	}
	i.heads = append(i.heads, h)
	i.exchange.heads, i.opened[n] = append(i.exchange.heads, n), h
	return nil
}

// checkDevice verifies a record; one that was sealed with an earlier key is
// of no use and no fault.
func (i *inspection) checkDevice(n deviceName, data []byte) error {
	_, err := i.v.openDevice(n, data)
	var b *BadObject
	if errors.As(err, &b) && (b.Step == StepAge && i.v.sealedEarlier(data)) {
		return bad(n.name(), StepRemoved, "it was sealed with an earlier key")
	}
	return err
}

func (i *inspection) lookAtFormat(ctx context.Context) error {
	err := i.sameVault(ctx)
	var damaged *BadObject
	switch {
	case errors.Is(err, remote.NotFound):
		i.out.Lost = append(i.out.Lost, formatName)
		return nil
	case errors.As(err, &damaged):
		i.out.Bad = append(i.out.Bad, *damaged)
		return nil
	case errors.Is(err, errOther): // and yet it was recognised
		i.out.Bad = append(i.out.Bad, *bad(formatName, StepFormat, "it is of another shared place"))
		return nil
	}
	i.formatGood = err == nil
	return err
}

// lookForLost names wraps and records that should be there.
func (i *inspection) lookForLost(context.Context) error {
	for _, k := range i.v.Kept {
		if n, ok := parseKey(k.Name); ok && n.epoch == i.v.current().Name && !i.keys[k.Name] {
			i.out.Lost = append(i.out.Lost, k.Name)
		}
	}
	for _, d := range i.v.Devices {
		if _, gone := i.v.removed(d.Lane); !gone && !i.devs[d.Lane] {
			i.out.Lost = append(i.out.Lost, remote.Name(devicePrefix+string(d.Lane)))
		}
	}
	return nil
}
