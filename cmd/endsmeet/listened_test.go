package main

import (
	"errors"
	"io"
	"os"
	"strings"
	"syscall"
	"testing"
)

// closed is a pipe that nobody reads any more, from some byte on.
type closed struct{ after int }

// Write implements io.Writer.
func (c *closed) Write(p []byte) (int, error) {
	if c.after -= len(p); c.after < 0 {
		return 0, &os.PathError{Op: "write", Path: "|1", Err: syscall.EPIPE}
	}
	return len(p), nil
}

// TestWhatNobodyReadsIsRecordedAllTheSame: every form of every command that records leaves
// the same events and the same exit code, whether its answer and its notes are read or not.
func TestWhatNobodyReadsIsRecordedAllTheSame(t *testing.T) {
	d := formsDesk(t, true)
	walked := 0
	for _, form := range formsOf {
		name := strings.Join(form[:min(2, len(form))], " ")
		if all := recorders(d); !all[name] && !all[form[0]] {
			continue
		}
		walked++
		args := withFiles(d, form)
		before, err := os.ReadFile(d.path(d.stash))
		if err != nil {
			t.Fatal(err)
		}
		want := d.try(t.Context(), args...)
		events := len(strings.Split(d.run("export", "--events", "-"), "\n"))
		if err := os.WriteFile(d.path(d.stash), before, 0o600); err != nil {
			t.Fatal(err)
		}
		e := d.env
		e.stdout, e.stderr = &closed{}, &closed{after: 40}
		got := run(t.Context(), &e,
			append([]string{"endsmeet", "--stash", d.path(d.stash)}, args...))
		if now := len(strings.Split(d.run("export", "--events", "-"), "\n")); got != want || now != events {
			t.Errorf("%q: exit %d and %d lines where nobody reads, else %d and %d", form, got, now,
				want, events)
		}
		if err := os.WriteFile(d.path(d.stash), before, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if walked < 30 {
		t.Errorf("%d forms that record", walked)
	}
}

func TestAFullDiskIsNoClosedPipe(t *testing.T) {
	for _, err := range []error{syscall.ENOSPC, io.ErrShortWrite, os.ErrClosed, nil} {
		if nobodyReads(err) {
			t.Errorf("%v is taken for a closed pipe", err)
		}
	}
	if !nobodyReads(errors.Join(syscall.EPIPE)) {
		t.Error("a closed pipe is not known")
	}
}
