package replica

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/remote"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
)

// machineLabel is what a machine is called until somebody names it.
func machineLabel() string {
	host, err := os.Hostname()
	if err != nil || stash.Clean(host) == "" {
		return "a machine"
	}
	return stash.Clean(host)
}

// nameSelf gives this machine, which is about to take part, a name that no
// other bears: the one that was asked for, or that it bore, or one of its own.
func (x *session) nameSelf(ctx context.Context, v *exchange.Membership) error {
	own, err := x.OwnLanes()
	if err != nil {
		return err
	}
	there, err := x.recordsThere(ctx, v)
	if err != nil {
		return err
	}
	before, taken := "", []string{}
	for _, d := range there {
		if own[d.Lane] { // also one that was removed, and is let in again
			before = d.Name
		} else {
			taken = append(taken, d.Name)
		}
	}
	wanted := stash.Clean(strings.TrimSpace(v.Name))
	if wanted != "" && bears(taken, wanted) {
		return nameTaken(wanted)
	}
	v.Name = cmp.Or(wanted, distinctName(cmp.Or(before, machineLabel()), taken))
	return nil
}

// recordsThere opens the records of machines, as far as they can be.
func (x *session) recordsThere(
	ctx context.Context,
	v *exchange.Membership,
) ([]format.Device, error) {
	found, err := x.List(ctx, format.DevicePrefix, "")
	if err != nil {
		return nil, err
	}
	there := slices.Clone(v.Devices)
	for _, name := range slices.Compact(found.Names) {
		n, ok := format.ParseDevice(name)
		if !ok {
			continue
		}
		data, err := x.Get(ctx, name)
		if err != nil && !errors.Is(err, remote.NotFound) {
			return nil, err
		}
		if d, bad := v.OpenDevice(n, data); err == nil &&
			(bad == nil || format.StepOf(bad) == format.StepRegister) {
			there = append(there, d)
		}
	}
	return there, nil
}

func bears(taken []string, name string) bool {
	return slices.ContainsFunc(taken, func(t string) bool { return strings.EqualFold(t, name) })
}

func nameTaken(name string) error {
	return stash.Refuse(stash.CodeInput,
		"give another name; `endsmeet sync devices` lists those that are taken",
		"another machine is called %q already", name)
}

// distinctName is a name, with a number after it where others bear it.
func distinctName(name string, taken []string) string {
	for n, try := 2, name; ; n++ {
		if !bears(taken, try) {
			return try
		}
		try = fmt.Sprintf("%s %d", name, n)
	}
}
