package remotetest

import (
	"context"
	"slices"
	"strings"

	"endsmeet/stash/remote"
)

// List lists, or makes trouble: several of them at once if chance wills.
func (u *Unruly) List(ctx context.Context, prefix string, after remote.Name) (remote.Listing,
	error) {
	u.mu.Lock()
	defer u.mu.Unlock()
	if err := u.begin(ctx); err != nil {
		return remote.Listing{}, err
	}
	if u.makes(ListFails) {
		return remote.Listing{}, fails("list", remote.Name(prefix))
	}
	found, err := u.under.List(ctx, prefix, after)
	if err != nil {
		return remote.Listing{}, err
	}
	found.Names = u.hideFresh(found.Names)
	found.Names = u.showGone(found.Names, prefix, after)
	found.Names = u.lackAndRepeat(found.Names)
	if len(found.Names) > breakAt && u.makes(ListBreaks) {
		found.Names = found.Names[:breakAt]
	}
	return found, nil
}

// hideFresh leaves out names that were put a few calls ago.
func (u *Unruly) hideFresh(names []remote.Name) []remote.Name {
	return slices.DeleteFunc(names, func(name remote.Name) bool {
		put, ok := u.fresh[name]
		return ok && u.calls-put <= lateCalls && u.makes(ListLate)
	})
}

// showGone adds names that were deleted a few calls ago.
func (u *Unruly) showGone(names []remote.Name, prefix string, after remote.Name) []remote.Name {
	var gone []remote.Name
	for name, deleted := range u.gone {
		if u.calls-deleted <= lateCalls && strings.HasPrefix(string(name), prefix) && name > after &&
			!slices.Contains(names, name) {
			gone = append(gone, name)
		}
	}
	slices.Sort(gone) // a map has no order, and chance must not depend on it
	for _, name := range gone {
		if u.makes(ListStale) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// lackAndRepeat leaves out some names and gives others twice.
func (u *Unruly) lackAndRepeat(names []remote.Name) []remote.Name {
	var shown []remote.Name
	for _, name := range names {
		if u.makes(ListLacks) {
			continue
		}
		shown = append(shown, name)
		if u.makes(ListRepeats) {
			shown = append(shown, name)
		}
	}
	return shown
}
