//go:build linux

package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"

	"endsmeet/stash/outside"
	"endsmeet/stash/sqlite"
)

// bench is a folder with a stash in it, and the program as a process that
// strace can watch.
type bench struct {
	t       *testing.T
	dir     string
	program string
	count   string // the file that counts the runs
}

// newBench makes a bench; strace is the reference for what a process asks of
// the system (Debian's strace).
func newBench(t *testing.T) *bench {
	t.Helper()
	outside.Program(t, "strace")
	b := &bench{t: t, dir: t.TempDir(), count: filepath.Join(t.TempDir(), "count")}
	b.program = filepath.Join(t.TempDir(), "endsmeet")
	self, err := os.Executable()
	b.must(err)
	b.must(os.Symlink(self, b.program))
	b.must(os.WriteFile(filepath.Join(b.dir, "sheet.csv"), []byte(benchSheet), 0o600))
	picture, err := os.ReadFile(conePicture)
	b.must(err)
	b.must(os.WriteFile(filepath.Join(b.dir, "cone.jpg"), picture, 0o600))
	b.must(os.WriteFile(filepath.Join(b.dir, "readings.txt"), []byte("Y01 284g\n"), 0o600))
	b.must(os.Mkdir(filepath.Join(b.dir, "shared"), 0o700))
	return b
}

func (b *bench) must(err error) {
	b.t.Helper()
	if err != nil {
		b.t.Fatal(err)
	}
}

func (b *bench) stash() string { return filepath.Join(b.dir, "stash.db") }

// command is the program in the bench's folder, under strace with options, or
// without it.
func (b *bench) command(options []string, args ...string) *exec.Cmd {
	argv := append([]string{b.program}, args...)
	if options != nil {
		argv = append(append([]string{"strace", "-f"}, options...), argv...)
	}
	c := exec.Command(argv[0], argv[1:]...)
	c.Dir = b.dir
	c.Env = append(os.Environ(), "ENDSMEET_STASH="+b.stash(), "ENDSMEET_SCRIPT_MACHINE=bench",
		"ENDSMEET_SCRIPT_COUNT="+b.count,
		"ENDSMEET_PASSPHRASE=four looms stood idle", "XDG_CONFIG_HOME="+b.dir, "HOME="+b.dir)
	return c
}

func (b *bench) run(args ...string) {
	b.t.Helper()
	if out, err := b.command(nil, args...).CombinedOutput(); err != nil {
		b.t.Fatalf("%v: %v\n%s", args, err, out)
	}
}

// files are the contents of the bench's folder.
func (b *bench) files() map[string][]byte {
	out := map[string][]byte{}
	err := filepath.WalkDir(b.dir, func(path string, e os.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		out[path], err = os.ReadFile(path)
		return err
	})
	b.must(err)
	return out
}

// putBack makes the folder as it was.
func (b *bench) putBack(files map[string][]byte) {
	for path := range b.files() {
		b.must(os.Remove(path))
	}
	for path, data := range files {
		b.must(os.MkdirAll(filepath.Dir(path), 0o700))
		b.must(os.WriteFile(path, data, 0o600))
	}
}

// deed is something that a process asked of the files.
type deed struct {
	kind     string // write, truncate, sync, rename, unlink, create, said
	path, to string
	at       int64
	data     []byte
}

var (
	calledForm = regexp.MustCompile(`^\d+ +(\w+)\((.*)$`)
	quotedForm = regexp.MustCompile(`"((?:\\x[0-9a-f]{2})*)"`)
	fdForm     = regexp.MustCompile(`^(\d+)<([^>]*)>`)
	endForm    = regexp.MustCompile(`, (\d+)(?:\) += .*| <unfinished \.\.\.>)$`)
)

// traced runs a command and gives what it asked of the files, in order.
func (b *bench) traced(args ...string) []deed {
	b.t.Helper()
	trace := filepath.Join(b.t.TempDir(), "trace")
	options := []string{"-y", "-xx", "-s", "9999999", "-o", trace, "-e",
		"trace=openat,write,pwrite64,fsync,fdatasync,rename,renameat,renameat2,unlink,unlinkat,ftruncate"}
	if out, err := b.command(options, args...).CombinedOutput(); err != nil {
		b.t.Fatalf("%v: %v\n%s", args, err, out)
	}
	raw, err := os.ReadFile(trace)
	b.must(err)
	r := reader{under: b.dir, ends: map[string]int64{}}
	for line := range bytes.Lines(raw) {
		r.line(strings.TrimSpace(string(line)))
	}
	return r.deeds
}

// reader reads lines of strace.
type reader struct {
	under string
	ends  map[string]int64 // where the next plain write of a file goes
	deeds []deed
}

func unhex(text string) string {
	var out []byte
	for part := range strings.SplitSeq(text, `\x`) {
		if n, err := strconv.ParseUint(part, 16, 8); err == nil {
			out = append(out, byte(n))
		}
	}
	return string(out)
}

func (r *reader) line(line string) {
	m := calledForm.FindStringSubmatch(line)
	if m == nil || strings.Contains(line, " = -1 ") {
		return
	}
	var texts []string
	for _, q := range quotedForm.FindAllStringSubmatch(m[2], -1) {
		texts = append(texts, unhex(q[1]))
	}
	path, fd := "", ""
	if f := fdForm.FindStringSubmatch(m[2]); f != nil {
		fd, path = f[1], f[2]
		if strings.Contains(path, `\x`) {
			path = unhex(path)
		}
	}
	r.call(m[1], m[2], fd, path, texts)
}

func (r *reader) call(name, args, fd, path string, texts []string) {
	number := int64(0)
	if e := endForm.FindStringSubmatch(args); e != nil {
		number, _ = strconv.ParseInt(e[1], 10, 64)
	}
	switch name {
	case "openat":
		path := r.absolute(texts[0])
		if strings.Contains(args, "O_CREAT") {
			r.add(deed{kind: "create", path: path})
		}
		if strings.Contains(args, "O_TRUNC") {
			r.add(deed{kind: "truncate", path: path})
		}
		r.ends[path] = 0
	case "write":
		if fd == "1" {
			r.deeds = append(r.deeds, deed{kind: "said"})
			return
		}
		r.add(deed{kind: "write", path: path, at: r.ends[path], data: []byte(texts[0])})
		r.ends[path] += int64(len(texts[0]))
	case "pwrite64":
		r.add(deed{kind: "write", path: path, at: number, data: []byte(texts[0])})
	case "fsync", "fdatasync":
		r.add(deed{kind: "sync", path: path})
	case "ftruncate":
		r.add(deed{kind: "truncate", path: path, at: number})
	case "unlink", "unlinkat":
		r.add(deed{kind: "unlink", path: r.absolute(texts[0])})
	default:
		r.add(deed{kind: "rename", path: r.absolute(texts[0]), to: r.absolute(texts[1])})
	}
}

func (r *reader) absolute(path string) string {
	if filepath.IsAbs(path) {
		return path
	}
	return filepath.Join(r.under, path)
}

// add adds what concerns the folder. The shared memory of SQLite is made anew.
func (r *reader) add(a deed) {
	if a.path == r.under || strings.HasPrefix(a.path, r.under+"/") &&
		!strings.HasSuffix(a.path, "-shm") {
		r.deeds = append(r.deeds, a)
	}
}

// recordingRuns are runs that record, in an order in which they can be run;
// the words are those of the demonstration's yarns and nobody's.
var recordingRuns = [][]string{
	{"receive", "Ossentarn cotton", "--fibre", "cotton", "--count", "8/2 Ne", "--net", "400g",
		"--tag", "Y01"},
	{"receive", "Marrow wool", "--fibre", "wool", "--count", "8/2 NeW", "--net", "100g", "--tag",
		"M"},
	{"project", "add", "scarf", "--width", "20cm", "--length", "100cm", "--sett", "6/cm", "--picks",
		"6/cm", "--structure", "plain", "--warp", "Y01", "--weft", "Y01"},
	{"person", "add", "Tamsel", "--rule", "against wool"},
	{"config", "units=metric"},
	{"plan", "scarf", "--reserve"},
	{"start", "scarf"},
	{"finish", "scarf", "--weighed", "Y01=300g", "--force"},
	{"use", "Y01", "10g"},
	{"weigh", "Y01", "--net", "285g"},
	{"stocktake", "--from", "readings.txt"},
	{"discard", "Y01", "5g"},
	{"give", "Y01", "5g", "--to", "a friend"},
	{"lend", "M", "--to", "a friend"},
	{"return", "M"},
	{"wind", "Y01", "20g", "--tag", "Y02"},
	{"set", "Y01", "bin=A1"},
	{"photo", "add", "Y01", "cone.jpg"},
	{"undo"},
	{"redate", "today", "yesterday", "--machine", "this"},
	{"retire", "Y02", "--leftover", "lost"},
	{"project", "set", "scarf", "length=60cm"},
	{"share", "scarf", "--reserve"},
	{"start", "scarf"},
	{"loom", "scarf 2", "--woven", "20cm"},
	{"finish", "scarf 2", "--abandon", "no time"},
	{"person", "set", "Tamsel", "--rule", "against angora"},
	{"import", "sheet.csv"},
	{"sync", "setup", "shared", "--name", "bench"},
	{"sync"},
	{"person", "set", "Tamsel", "gone=yes"},
	{"sync"},
	{"sync", "join", "shared", "--name", "other", "--stash", "other.db"},
	{"set", "Y01", "bin=B2", "--stash", "other.db"},
	{"sync", "--stash", "other.db"},
	{"set", "Y01", "bin=C3"},
	{"sync"},
	{"sync", "settle", "Y01", "bin", "--take", "2"},
}

// What the runs find in the folder.
const benchSheet = "id,yarn,fibre,net (g)\nS1,Oldenlea linen,linen,250\nS2,Hazelmane loop,mohair,120\nS3,Osentarn cotton,cotton,80\n"

func TestEveryCommandThatRecordsIsWatchedBySystemCall(t *testing.T) {
	t.Parallel()
	watched := map[string]bool{}
	for _, args := range recordingRuns {
		watched[wholeName(args)] = true
	}
	e, seen := newDesk(t).env, 0
	leaves(commands(&e), "", func(name string, c *cli.Command) {
		if !slices.ContainsFunc(c.Flags, func(f cli.Flag) bool { return f.Names()[0] == "once" }) {
			return
		}
		if seen++; !watched[name] {
			t.Errorf("%s records, and no run of it is in recordingRuns", name)
		}
	})
	if seen < len(everyRecording)/2 {
		t.Errorf("only %d commands record", seen)
	}
}

// eventsIn opens a stash, has all of it checked, by SQLite's own integrity check
// too, and counts its events.
func eventsIn(path string) (n int64, err error) {
	ctx := context.Background()
	s, err := sqlite.Open(ctx, path, sqlite.Options{Machine: "bench"})
	if err != nil {
		return 0, err
	}
	defer s.Close()
	err = s.View(ctx, func(tx *sqlite.Tx) error {
		report, err := tx.Check()
		if err == nil && !report.OK() {
			err = fmt.Errorf("check finds %+v", report.Findings)
		}
		if err == nil {
			n, err = tx.LastEvent()
		}
		return err
	})
	return n, err
}
