// Package open opens the shared place at an address.
package open

import (
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/dir"
	"endsmeet/stash/remote/object"
	"endsmeet/stash/remote/where"
)

// Options are what an address does not say.
type Options struct {
	Owner string       // marks this writer's temporary files in a folder; see dir.Options
	Fault remote.Fault // called at named points; nil outside tests
}

// Open returns the place at w. Nothing is read or connected before its first
// call, so that an error here is one in the address or the options.
func Open(w where.Where, options Options) (remote.Remote, error) {
	if w.Folder != "" {
		return opened(dir.New(dir.Options{Path: w.Folder, Owner: options.Owner,
			Fault: options.Fault}))
	}
	return opened(object.New(object.Options{Bucket: w.Bucket, Prefix: w.Prefix,
		Endpoint: w.Endpoint, Region: w.Region, Fault: options.Fault}))
}

// opened keeps a nil pointer from becoming an interface that is not nil.
func opened[R remote.Remote](r R, err error) (remote.Remote, error) {
	if err != nil {
		return nil, err
	}
	return r, nil
}
