package dir

import (
	"syscall"

	"endsmeet/stash/remote"
)

// systemClasses are the Windows codes that have no portable name
// (winerror.h; from memory).
var systemClasses = []class{
	{remote.Full, "make room there, then run it again; nothing was lost",
		[]error{syscall.Errno(39), syscall.Errno(112)}}, // ERROR_HANDLE_DISK_FULL, ERROR_DISK_FULL
	{remote.ReadOnly, "the medium is write-protected",
		[]error{syscall.Errno(19)}}, // ERROR_WRITE_PROTECT
	{remote.NoPlace, gone,
		// INVALID_DRIVE, NOT_READY, BAD_NETPATH, BAD_NET_NAME
		[]error{syscall.Errno(15), syscall.Errno(21), syscall.Errno(53), syscall.Errno(67)}},
	{remote.NotFound, "",
		[]error{syscall.Errno(145)}}, // DIR_NOT_EMPTY
	{remote.Retry, "another program holds the file; run it again",
		[]error{syscall.Errno(32), syscall.Errno(33)}}, // SHARING_VIOLATION, LOCK_VIOLATION
}
