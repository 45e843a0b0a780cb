package main

import (
	"errors"
	"io"
	"os"
	"os/signal"
	"runtime"
	"syscall"
)

// keepWriting has a write into a pipe that nobody reads fail, where else the system would
// end the program in the middle of a record.
func keepWriting() { signal.Notify(make(chan os.Signal, 1), syscall.SIGPIPE) }

// listened writes for as long as anybody reads. What nobody reads is let go: it changes
// nothing of what a command records, and is no failure of it.
type listened struct {
	io.Writer
	gone bool
}

// Write implements io.Writer.
func (l *listened) Write(p []byte) (int, error) {
	if l.gone {
		return len(p), nil
	}
	n, err := l.Writer.Write(p)
	if l.gone = nobodyReads(err); l.gone {
		return len(p), nil
	}
	return n, err
}

// What Windows says of a pipe that nobody reads: ERROR_BROKEN_PIPE, ERROR_NO_DATA.
const (
	windowsBrokenPipe = syscall.Errno(109)
	windowsNoData     = syscall.Errno(232)
)

// nobodyReads says whether a write failed since the other end of a pipe is closed.
func nobodyReads(err error) bool {
	return errors.Is(err, syscall.EPIPE) || errors.Is(err, io.ErrClosedPipe) ||
		runtime.GOOS == "windows" &&
			(errors.Is(err, windowsBrokenPipe) || errors.Is(err, windowsNoData))
}
