//go:build linux

package main

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"testing"
)

// faults are what the system answers to which calls.
var faults = []string{"pwrite64:error=ENOSPC", "pwrite64:error=EIO", "fsync,fdatasync:error=EIO",
	"openat:error=EMFILE", "openat:error=EACCES",
	"ftruncate:error=EIO", "unlink,unlinkat:error=EIO", "write:error=ENOSPC",
	"rename,renameat,renameat2:error=EIO", "pwrite64:signal=KILL", "fsync,fdatasync:signal=KILL"}

// Every command that records is run with a fault at its n-th call of a kind,
// injected by strace. Whatever it then says, the stash is whole, holds what it
// held, and what was answered for; and the same command or its check goes on.
func TestAFaultAtAnyCallLeavesTheStashWholeAndNothingByHalves(t *testing.T) {
	t.Parallel()
	b := newBench(t)
	most := 24
	if n, err := strconv.Atoi(os.Getenv("ENDSMEET_FAULTS")); err == nil {
		most = n
	}
	if os.Getenv("ENDSMEET_LONG") != "" {
		most = 1 << 20
	}
	chance := rand.New(rand.NewPCG(3, 4))
	tried, refused := 0, 0
	for i, args := range recordingRuns {
		before := b.files()
		had := b.countOr0()
		turns := bytes.Repeat([]byte("."), 100+i)
		b.must(os.WriteFile(b.count, turns, 0o600))
		b.run(args...)
		whole := b.countOr0()
		after := b.files()
		for _, fault := range faults {
			for n := 1; n <= 12; n++ {
				if chance.IntN(len(recordingRuns)*len(faults)*12) >= most {
					continue
				}
				b.putBack(before)
				// the fault may have hit what counts the runs
				b.must(os.WriteFile(b.count, turns, 0o600))
				tried++
				if b.faulty(fmt.Sprintf("%s:when=%d", fault, n), args, had, whole) {
					refused++
				}
			}
		}
		b.putBack(after)
	}
	if refused == 0 || tried < 10 {
		t.Errorf("of %d faults %d were noticed", tried, refused)
	}
	t.Logf("%d faults, %d refused or killed", tried, refused)
}

func (b *bench) countOr0() int64 {
	if _, err := os.Stat(b.stash()); err != nil {
		return 0
	}
	n, err := eventsIn(b.stash())
	b.must(err)
	return n
}

// faulty runs a command with a fault and says whether it failed.
func (b *bench) faulty(inject string, args []string, had, whole int64) bool {
	b.t.Helper()
	out, err := b.command([]string{"-qq", "-o", "/dev/null", "-e", "inject=" + inject},
		args...).CombinedOutput()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		b.t.Fatal(err)
	}
	n := b.countOr0()
	if n != had && n != whole || err == nil && n != whole {
		b.t.Errorf("%v with %s: %d events, %d before and %d when all is done: %v\n%s", args, inject,
			n, had, whole, err, out)
	}
	return err != nil
}
