package main

import (
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"time"

	"github.com/adrg/xdg"
	"golang.org/x/term"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// environment is what the program takes from the machine, so that a script
// can give it another clock, other ids and another terminal.
type environment struct {
	stdin          io.Reader
	stdout, stderr io.Writer
	getenv         func(string) string
	// system is the operating system, as Go names it.
	system string
	// stdinTTY, stdoutTTY and stderrTTY say which of them are terminals.
	stdinTTY, stdoutTTY, stderrTTY bool
	// asked says that options were asked for, which is done once.
	asked bool
	// colour says that standard output shows colours.
	colour bool
	// columns is how wide what stands on standard output may be; 0 is as wide
	// as it comes, which is for a pipe or a file.
	columns int
	// errorColumns is that of standard error.
	errorColumns int
	now          func() time.Time
	ids          stash.IDs
	machine      string
	// work is the work factor of scrypt for pass-phrases; 0 is the usual one.
	work int
	// scaleWait is how long a scale is waited for; 0 is the usual while.
	scaleWait time.Duration
	// answered is told of every answer as a value; nil is nobody.
	answered func(command string, value any)
	// fault is told of every point that a write passes; nil is nobody.
	fault func(sqlite.Point)
}

func systemEnvironment() *environment {
	keepWriting()
	e := &environment{
		stdin: os.Stdin, stdout: os.Stdout, stderr: os.Stderr, getenv: os.Getenv,
		system:   runtime.GOOS,
		stdinTTY: isTerminal(os.Stdin), stdoutTTY: isTerminal(os.Stdout),
		stderrTTY: isTerminal(os.Stderr),
		columns:   screenColumns(os.Getenv("COLUMNS"), os.Stdout), now: time.Now,
		ids: stash.RandomIDs(),
	}
	e.colour = e.stdoutTTY && e.showsColour()
	if e.stderrTTY {
		e.errorColumns = screenColumns(os.Getenv("COLUMNS"), os.Stderr)
	}
	return e
}

// screenColumns is how wide a screen is: what COLUMNS says, else what the
// terminal says. 0 is no screen.
func screenColumns(told string, f *os.File) int {
	n, err := strconv.Atoi(told)
	if err != nil || n <= 0 {
		if !isTerminal(f) {
			return 0
		}
		if n, _, err = term.GetSize(int(f.Fd())); err != nil || n <= 0 {
			n = show.UsualColumns
		}
	}
	return min(max(n, show.LeastColumns), show.MostColumns)
}

// showsColour says whether a terminal shows colours, and whoever sits there wants them.
func (e *environment) showsColour() bool {
	term := e.getenv("TERM")
	return e.getenv("NO_COLOR") == "" && term != "dumb" && (term != "" || e.getenv("WT_SESSION") != "")
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
