//go:build unix

package dir

import (
	"io/fs"
	"os"
	"syscall"
	"testing"

	"endsmeet/stash/remote"
)

// TestEverySystemErrorHasItsKind uses errors wrapped as the system wraps them.
func TestEverySystemErrorHasItsKind(t *testing.T) {
	for errno, want := range map[syscall.Errno]remote.Kind{
		syscall.ENOSPC: remote.Full, syscall.EDQUOT: remote.Full,
		syscall.EROFS:  remote.ReadOnly,
		syscall.ENOENT: remote.NotFound, syscall.EISDIR: remote.NotFound,
		syscall.ENOTEMPTY: remote.NotFound,
		syscall.EACCES:    remote.Denied, syscall.EPERM: remote.Denied,
		syscall.ENODEV: remote.NoPlace, syscall.ENOTCONN: remote.NoPlace,
		syscall.EIO: remote.Retry, syscall.ESTALE: remote.Retry, syscall.ETIMEDOUT: remote.Retry,
		syscall.EMFILE:       remote.Retry,
		syscall.ENAMETOOLONG: remote.Refused, syscall.EFBIG: remote.Refused,
	} {
		kind, hint := classify(&fs.PathError{Op: "open", Path: "x",
			Err: os.NewSyscallError("openat", errno)})
		if kind != want {
			t.Errorf("%v: %v, want %v", errno, kind, want)
		}
		if needsHint := kind != remote.NotFound && kind != remote.Refused; needsHint && hint == "" {
			t.Errorf("%v: no hint", errno)
		}
	}
}
