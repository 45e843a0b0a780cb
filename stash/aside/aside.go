// Package aside makes the files and folders that are written under another name
// first, beside the place where they are to be, and removes what a killed program
// left of such.
package aside

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"sync"
	"syscall"
	"time"
)

// File makes an empty file in a folder, that only its owner can read. Who makes it
// gives it its name in the end, or removes it.
func File(folder string) (*os.File, error) {
	sweep(folder, time.Now())
	return os.CreateTemp(folder, pattern())
}

// Folder makes an empty folder in a folder; see File.
func Folder(folder string) (string, error) {
	sweep(folder, time.Now())
	return os.MkdirTemp(folder, pattern())
}

// pattern names the process, so that it can be seen whether it still runs.
func pattern() string { return fmt.Sprintf(".endsmeet-%d-*", os.Getpid()) }

// The least age of what is removed: a folder may be shared with another machine,
// whose processes cannot be seen from here. Older programs named no process.
const (
	ageOfDead    = time.Hour
	ageOfUnnamed = 24 * time.Hour
)

// ours matches the names that this package gives, and those of older programs, with
// what SQLite keeps beside a database.
var ours = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^\.(?:endsmeet|stash)-(?:(\d+)-)?\d+(?:-wal|-shm|-journal|\.lock)?$`)
})

// sweep removes what a killed program left in a folder. What cannot be removed stays.
func sweep(folder string, now time.Time) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return
	}
	for _, e := range entries {
		m := ours().FindStringSubmatch(e.Name())
		if m == nil {
			continue
		}
		info, err := e.Info()
		least := ageOfUnnamed
		if m[1] != "" {
			least = ageOfDead
		}
		if err != nil || now.Sub(info.ModTime()) < least || running(m[1]) {
			continue
		}
		_ = os.RemoveAll(filepath.Join(folder, e.Name()))
	}
}

// running says whether a process of this number runs on this machine.
func running(number string) bool {
	pid, err := strconv.Atoi(number)
	if err != nil {
		return false
	}
	p, err := os.FindProcess(pid)
	if err != nil || runtime.GOOS == "windows" {
		return err == nil
	}
	err = p.Signal(syscall.Signal(0))
	return err == nil || errors.Is(err, syscall.EPERM)
}
