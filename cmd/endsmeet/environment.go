package main

import (
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/adrg/xdg"
	"golang.org/x/term"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// environment is what the program takes from the machine, so that a script
// can give it another clock, other ids and another terminal.
type environment struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	getenv         func(string) string
	// stdinTTY and stderrTTY say which of them are terminals.
	stdinTTY, stderrTTY bool
	now                 func() time.Time
	ids                 stash.IDs
	machine             string
	// work is the work factor of scrypt for pass-phrases; 0 is the usual one.
	work int
	// fault is told of every point that a write passes; nil is nobody.
	fault func(sqlite.Point)
}

func systemEnvironment() *environment {
	return &environment{
		stdin: os.Stdin, stdout: os.Stdout, stderr: os.Stderr, getenv: os.Getenv,
		stdinTTY: isTerminal(os.Stdin), stderrTTY: isTerminal(os.Stderr),
		now: time.Now, ids: stash.RandomIDs(),
	}
}

func isTerminal(f *os.File) bool { return term.IsTerminal(int(f.Fd())) }

// stashPath is the file that the stash is in: the one named, else
// ENDSMEET_STASH, else stash.db in the XDG data directory.
func (e *environment) stashPath(named string) string {
	if named != "" {
		return named
	}
	if path := e.getenv("ENDSMEET_STASH"); path != "" {
		return path
	}
	return filepath.Join(xdg.DataHome, "endsmeet", "stash.db")
}

func (e *environment) options() sqlite.Options {
	return sqlite.Options{Now: e.now, IDs: e.ids, Machine: e.machine, Fault: e.fault}
}
