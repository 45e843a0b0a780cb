//go:build unix

package dir_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"syscall"
	"testing"

	"endsmeet/stash/outside"
	"endsmeet/stash/remote"
	"endsmeet/stash/remote/dir"
	"endsmeet/stash/remote/remotetest"
)

// The child that a test kills finds here where and when.
const (
	childFolder = "ENDSMEET_TEST_FOLDER"
	childPoint  = "ENDSMEET_TEST_POINT"
)

var (
	oldContent = bytes.Repeat([]byte("old"), 1000)
	newContent = bytes.Repeat([]byte("new content "), 10_000)
)

// TestMain is also the child: it puts and deletes, and dies at the point asked for.
func TestMain(m *testing.M) {
	if folder := os.Getenv(childFolder); folder != "" {
		child(folder, os.Getenv(childPoint))
	}
	os.Exit(m.Run())
}

func child(folder, point string) {
	d, err := dir.New(dir.Options{Path: folder, Owner: "child", Fault: func(at string) {
		if at == point {
			_ = syscall.Kill(os.Getpid(), syscall.SIGKILL)
			select {}
		}
	}})
	if err == nil {
		err = d.Put(context.Background(), "seg/lane/1.seg", newContent)
	}
	if err == nil {
		err = d.Delete(context.Background(), "head/old")
	}
	if err != nil {
		fmt.Println(err)
		os.Exit(1)
	}
	os.Exit(0)
}

// runChild runs the child and tells whether it was killed.
func runChild(t *testing.T, folder, point string) bool {
	t.Helper()
	command := exec.Command(os.Args[0])
	command.Env = append(os.Environ(), childFolder+"="+folder, childPoint+"="+point)
	out, err := command.CombinedOutput()
	if err == nil {
		return false
	}
	status, ok := command.ProcessState.Sys().(syscall.WaitStatus)
	if !ok || !status.Signaled() {
		t.Fatalf("the child failed: %v\n%s", err, out)
	}
	return true
}

func TestKilledAtEveryPointLeavesAnObjectWholeOrAbsent(t *testing.T) {
	for _, c := range []struct {
		point             string
		stored, unended   int  // objects at the new name, temporary files left
		deletedBeforeKill bool // the old object is gone
	}{
		{remote.PointBeforePut, 0, 0, false},
		{remote.PointHalfWritten, 0, 1, false},
		{remote.PointBeforeFsync, 0, 1, false},
		{remote.PointBeforeRename, 0, 1, false},
		{remote.PointBeforeDirsync, 1, 0, false},
		{remote.PointAfterPut, 1, 0, false},
		{remote.PointBeforeDelete, 1, 0, false},
		{remote.PointAfterDelete, 1, 0, true},
	} {
		t.Run(c.point, func(t *testing.T) {
			folder := t.TempDir()
			plant(t, folder, "head/old", oldContent)
			plant(t, folder, "seg/lane/.~s-other-1-1.tmp", nil) // another machine's
			if !runChild(t, folder, c.point) {
				t.Fatal("the child was not killed: it never came by the point")
			}
			d := open(t, dir.Options{Path: folder})
			wantPlace(t, d, c.stored, c.unended+1, c.deletedBeforeKill)
			if runChild(t, folder, "nowhere") {
				t.Fatal("the second run was killed too")
			}
			wantPlace(t, d, 1, 1, true) // healed; the other machine's file still there
		})
	}
}

func wantPlace(t *testing.T, d *dir.Dir, stored, unfinished int, deleted bool) {
	t.Helper()
	found, err := d.List(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	var want []remote.Name
	if !deleted {
		want = append(want, "head/old")
	}
	if stored > 0 {
		want = append(want, "seg/lane/1.seg")
	}
	if !slices.Equal(found.Names, want) || found.Unfinished != unfinished || found.Ignored != 0 {
		t.Fatalf("got %q, %d unfinished, %d ignored; want %q, %d, 0", found.Names, found.Unfinished,
			found.Ignored, want, unfinished)
	}
	if stored > 0 {
		if data, err := d.Get(t.Context(), "seg/lane/1.seg"); err != nil ||
			!bytes.Equal(data, newContent) {
			t.Fatalf("stored %d bytes, %v", len(data), err)
		}
	}
}

// TestOrderOfSystemCalls asks the system's own tracer (strace) in which order
// things were made durable, which killing a process can't show. In the second
// run the directories are there already, perhaps not durably.
func TestOrderOfSystemCalls(t *testing.T) {
	strace, folder := outside.Program(t, "strace"), t.TempDir()
	for _, mkdir := range []string{"= 0", "= -1 EEXIST"} {
		plant(t, folder, "head/old", oldContent)
		wantOrder(t, traced(t, strace, folder),
			`mkdirat\(.*<PLACE>, "seg".*`+mkdir,
			`fsync\(\d+<PLACE>\)`,
			`mkdirat\(.*<PLACE/seg>, "lane".*`+mkdir,
			`fsync\(\d+<PLACE/seg>\)`,
			`write\(\d+<PLACE/seg/lane/\.~s-child.*\.tmp>.*= 60000`,
			`write\(\d+<PLACE/seg/lane/\.~s-child.*\.tmp>.*= 60000`,
			`fsync\(\d+<PLACE/seg/lane/\.~s-child.*\.tmp>`,
			`close\(\d+<PLACE/seg/lane/\.~s-child.*\.tmp>`,
			`renameat.*"\.~s-child.*\.tmp".*"1\.seg"`,
			`fsync\(\d+<PLACE/seg/lane>\)`,
			`unlinkat\(.*<PLACE/head>, "old"`,
			`fsync\(\d+<PLACE/head>\)`)
	}
}

// traced runs the child and returns its system calls, with the folder as PLACE.
func traced(t *testing.T, strace, folder string) string {
	t.Helper()
	trace := filepath.Join(t.TempDir(), "trace")
	command := exec.Command(strace, "-f", "-y", "-o", trace, "-e",
		"trace=write,fsync,close,renameat,renameat2,mkdirat,unlinkat", os.Args[0])
	command.Env = append(os.Environ(), childFolder+"="+folder, childPoint+"=nowhere")
	if out, err := command.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	said, err := os.ReadFile(trace)
	if err != nil {
		t.Fatal(err)
	}
	real, err := filepath.EvalSymlinks(folder)
	if err != nil {
		t.Fatal(err)
	}
	return whole(strings.ReplaceAll(string(said), real, "PLACE"))
}

// whole puts calls that the trace breaks in two ("unfinished", "resumed") where
// they ended.
func whole(trace string) string {
	begun := map[string]string{} // by thread
	var out []string
	for _, line := range strings.Split(trace, "\n") {
		thread, call, _ := strings.Cut(line, " ")
		if start, cut := strings.CutSuffix(line, " <unfinished ...>"); cut {
			begun[thread] = start
			continue
		}
		if _, rest, resumed := strings.Cut(call, " resumed>"); resumed && begun[thread] != "" {
			line = begun[thread] + rest
		}
		out = append(out, line)
	}
	return strings.Join(out, "\n")
}

// wantOrder finds the calls in the trace one after the other.
func wantOrder(t *testing.T, trace string, calls ...string) {
	t.Helper()
	rest := trace
	for _, call := range calls {
		at := regexp.MustCompile(call).FindStringIndex(rest)
		if at == nil {
			t.Fatalf("no %s in its place; the trace:\n%s", call, trace)
		}
		rest = rest[at[1]:]
	}
}

// volume mounts a small file system in memory, which needs a privilege that
// a developer's account may lack.
func volume(t *testing.T, size string) string {
	t.Helper()
	mount, folder := outside.Program(t, "mount"), t.TempDir()
	if out, err := exec.Command(mount, "-t", "tmpfs", "-o", "size="+size, "tmpfs",
		folder).CombinedOutput(); err != nil {
		if os.Getuid() == 0 && outside.Required() {
			t.Fatalf("mount: %v %s", err, out)
		}
		t.Skipf("no right to mount: %s", out)
	}
	t.Cleanup(func() {
		if out, err := exec.Command("umount", folder).CombinedOutput(); err != nil {
			t.Errorf("umount: %v %s", err, out)
		}
	})
	return folder
}

func TestFullDiskIsToldAndLeavesNothingHalf(t *testing.T) {
	folder := volume(t, "64k")
	d := open(t, dir.Options{Path: folder, Owner: "me"})
	defer func() { _ = d.Close() }() // before the volume goes
	if err := d.Put(t.Context(), "head/old", oldContent); err != nil {
		t.Fatal(err)
	}
	err := d.Put(t.Context(), "seg/lane/1.seg", newContent)
	if remote.KindOf(err) != remote.Full || remotetest.HintOf(err) == "" {
		t.Fatalf("%v, hint %q", err, remotetest.HintOf(err))
	}
	found, err := d.List(t.Context(), "", "")
	if err != nil || !slices.Equal(found.Names, []remote.Name{"head/old"}) ||
		found.Unfinished != 0 {
		t.Fatalf("%+v, %v", found, err)
	}
	if err := d.Put(t.Context(), "seg/lane/2.seg", oldContent); err != nil {
		t.Fatalf("a smaller one has room: %v", err)
	}
	if data, err := d.Get(t.Context(), "head/old"); err != nil || !bytes.Equal(data, oldContent) {
		t.Fatalf("the old object: %d bytes, %v", len(data), err)
	}
}

func TestReadOnlyVolumeCanBeReadAndIsToldWhenWritten(t *testing.T) {
	folder := volume(t, "1m")
	plant(t, folder, "head/old", oldContent)
	if out, err := exec.Command("mount", "-o", "remount,ro", folder).CombinedOutput(); err != nil {
		t.Fatalf("%v %s", err, out)
	}
	d := open(t, dir.Options{Path: folder, Owner: "me"})
	defer func() { _ = d.Close() }()
	if data, err := d.Get(t.Context(), "head/old"); err != nil || !bytes.Equal(data, oldContent) {
		t.Fatalf("%d bytes, %v", len(data), err)
	}
	for _, err := range []error{d.Put(t.Context(), "head/new", nil),
		d.Put(t.Context(), "seg/lane/1.seg", nil), d.Delete(t.Context(), "head/old")} {
		if remote.KindOf(err) != remote.ReadOnly || remotetest.HintOf(err) == "" {
			t.Fatalf("%v, hint %q", err, remotetest.HintOf(err))
		}
	}
}
