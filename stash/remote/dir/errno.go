package dir

import (
	"errors"
	"io/fs"
	"os"
	"slices"
	"syscall"

	"endsmeet/stash/remote"
)

// class is what a group of system errors means here.
type class struct {
	kind   remote.Kind
	hint   string
	errors []error
}

// classes in the order in which they are tried; the system's own additions
// (systemClasses) come first.
var classes = []class{
	{remote.Full, "make room there, then run it again; nothing was lost",
		[]error{syscall.ENOSPC, syscall.EDQUOT}},
	{remote.ReadOnly, "the folder is mounted for reading only, which also happens to a stick with errors: check it, mount it for writing",
		[]error{syscall.EROFS}},
	{remote.NotFound, "",
		[]error{fs.ErrNotExist, syscall.EISDIR, syscall.ENOTEMPTY}},
	{remote.Denied, "ask for the right to read and write in the folder",
		[]error{fs.ErrPermission}},
	{remote.NoPlace, gone,
		[]error{syscall.ENODEV, syscall.ENXIO, syscall.ENOTCONN, os.ErrClosed}},
	{remote.Retry, "the medium or the network gave an error; run it again, and check the medium if it comes back",
		[]error{syscall.EIO, syscall.ESTALE, syscall.ETIMEDOUT, syscall.EBUSY, syscall.EAGAIN,
			syscall.EINTR, syscall.EMFILE, syscall.ENFILE}},
}

// classify returns the kind of a file system error and what to do about it.
func classify(err error) (remote.Kind, string) {
	for _, c := range slices.Concat(systemClasses, classes) {
		for _, known := range c.errors {
			if errors.Is(err, known) {
				return c.kind, c.hint
			}
		}
	}
	return remote.Refused, ""
}
