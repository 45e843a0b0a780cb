package replica

import (
	"context"
	"errors"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
	"endsmeet/stash/sqlite"
)

// Checked is what a check of the shared place found.
type Checked struct {
	exchange.Traffic `json:"traffic"`
	// Objects counts what lies there, Read how many were read and verified.
	Objects int `json:"objects"`
	Read    int `json:"read"`
	// Bad are objects that fail a check.
	Bad []format.BadObject `json:"-"`
	// Gaps are events that others have and that are not here.
	Gaps []exchange.Gap `json:"gaps"`
	// Missing are events that are here and no more there.
	Missing []exchange.Gap `json:"missing"`
	// Lost are other parts of the vault that are not there.
	Lost     []remote.Name `json:"lost"`
	Ignored  int           `json:"ignored"`
	Examples []string      `json:"-"`
	// Unannounced are segments of which no head tells: their writer was broken
	// off, or put back to a backup. Repair takes them in.
	Unannounced []exchange.Gap `json:"unannounced"`
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
	*session
	out Checked
	// read says that all is read, suspects, where it is not nil, that all is but
	// segments, and of those the ones that reach beyond a number of these lanes.
	read     bool
	suspects map[stash.Lane]int64
	segs     map[stash.Lane][]format.SegmentName
	keys     map[remote.Name]bool
	devs     map[stash.Lane]bool
	lack     []lack
	heads    []format.Head
	// misplaced are whole segments under names that are not theirs.
	misplaced map[remote.Name]format.Run
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
	err := r.part.Locked(ctx, func() error {
		i, err := r.inspect(ctx, read, false)
		if i != nil {
			out = i.out
			out.Traffic = i.Traffic
		}
		return exchange.Refusal(err)
	})
	return out, err
}

func (r *Replica) inspect(ctx context.Context, read, refill bool) (*inspection, error) {
	x, err := r.begin(ctx)
	if err != nil {
		return nil, err
	}
	if err := x.Recognise(ctx); err != nil && (!refill || stash.CodeOf(err) != exchange.CodePlace) {
		return nil, err
	}
	x.Recognised = true
	i := x.inspection()
	i.read = read
	for _, step := range []func(context.Context) error{x.Finish, x.LookAround, i.look} {
		if err := step(ctx); err != nil {
			return i, err
		}
	}
	return i, nil
}

// inspection begins a check in the middle of a run.
func (x *session) inspection() *inspection {
	return &inspection{
		session:   x,
		segs:      map[stash.Lane][]format.SegmentName{},
		keys:      map[remote.Name]bool{},
		devs:      map[stash.Lane]bool{},
		misplaced: map[remote.Name]format.Run{},
	}
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
	// only those that can be opened count
	i.Session.Heads, i.Opened = nil, map[format.HeadName]format.Head{}
	names := slices.Compact(found.Names)
	for n, name := range names {
		if err := i.lookAt(ctx, name); err != nil {
			return err
		}
		i.Progress("checking", int64(n+1), int64(len(names)))
	}
	return nil
}

// lookAt sorts one object into its kind, having verified it if asked to.
func (i *inspection) lookAt(ctx context.Context, name remote.Name) error {
	var verify func([]byte) error
	good := func() {}
	reading := i.read || i.suspects != nil
	if n, ok := format.ParseSegment(name); ok {
		upto, suspect := i.suspects[n.Lane]
		reading = i.read || suspect && n.Last > upto
		verify = func(data []byte) error { _, err := i.Member.Unseal(name, data); return err }
		good = func() { i.segs[n.Lane] = append(i.segs[n.Lane], n) }
	} else if n, ok := format.ParseHead(name); ok {
		reading = true
		verify = func(data []byte) error { return i.openHead(n, data) }
	} else if n, ok := format.ParseKey(name); ok {
		verify = func(data []byte) error { return format.WholeObject(name, n.Object, data) }
		good = func() { i.keys[name] = true }
	} else if n, ok := format.ParseDevice(name); ok {
		verify = func(data []byte) error { return i.checkDevice(n, data) }
		good = func() { i.devs[n.Lane] = true }
	} else if n, ok := format.ParsePicture(name); ok {
		verify = func(data []byte) error { return format.WholeObject(name, n.Object, data) }
	} else if name == format.FileName {
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
	var b *format.BadObject
	switch {
	case errors.As(err, &b) && b.Step == format.StepRemoved:
		i.out.Superseded++
	case errors.As(err, &b) && i.unknownKey(name, b, data):
		i.out.Locked++
	case errors.As(err, &b):
		i.out.Bad = append(i.out.Bad, *b)
		if b.Step == format.StepHeader {
			i.misplaced[name] = format.RunOf(data)
		}
	case err != nil:
		return err
	default:
		good()
	}
	return nil
}

// unknownKey says that an object is sealed with a key that this machine was not
// given, as far as can be told from outside.
func (i *inspection) unknownKey(name remote.Name, b *format.BadObject, data []byte) bool {
	_, isDevice := format.ParseDevice(name)
	switch {
	case b.Step == format.StepKey:
		return true
	case b.Step == format.StepRegister:
		return !i.Member.HasKeyOf(data)
	}
	return isDevice && b.Step == format.StepAge && i.Newer != ""
}

func (i *inspection) openHead(n format.HeadName, data []byte) error {
	h, err := i.Member.OpenHead(n.Name(), data)
	if err != nil {
		return err
	}
	i.heads = append(i.heads, h)
	i.Session.Heads, i.Opened[n] = append(i.Session.Heads, n), h
	return nil
}

// checkDevice verifies a record; one that was sealed with an earlier key is
// of no use and no fault.
func (i *inspection) checkDevice(n format.DeviceName, data []byte) error {
	_, err := i.Member.OpenDevice(n, data)
	var b *format.BadObject
	if errors.As(err, &b) && (b.Step == format.StepAge && i.Member.SealedEarlier(data)) {
		return format.Bad(n.Name(), format.StepRemoved, "it was sealed with an earlier key")
	}
	return err
}

func (i *inspection) lookAtFormat(ctx context.Context) error {
	err := i.SameVault(ctx)
	var damaged *format.BadObject
	switch {
	case errors.Is(err, remote.NotFound):
		i.out.Lost = append(i.out.Lost, format.FileName)
		return nil
	case errors.As(err, &damaged):
		i.out.Bad = append(i.out.Bad, *damaged)
		return nil
	case errors.Is(err, exchange.ErrOther): // and yet it was recognised
		i.out.Bad = append(
			i.out.Bad,
			*format.Bad(format.FileName, format.StepFormat, "it is of another shared place"),
		)
		return nil
	}
	i.formatGood = err == nil
	return err
}

// lookForLost names wraps and records that should be there.
func (i *inspection) lookForLost(context.Context) error {
	for _, k := range i.Member.Kept {
		if n, ok := format.ParseKey(k.Name); ok && n.Epoch == i.Member.Current().Name &&
			!i.keys[k.Name] {
			i.out.Lost = append(i.out.Lost, k.Name)
		}
	}
	for _, d := range i.Member.Devices {
		if _, gone := i.Member.RemovedLane(d.Lane); !gone && !i.devs[d.Lane] {
			i.out.Lost = append(i.out.Lost, remote.Name(format.DevicePrefix+string(d.Lane)))
		}
	}
	return nil
}
