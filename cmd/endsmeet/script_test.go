package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"endsmeet/stash/outside"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/stashtest"
)

var update = flag.Bool("update", false, "rewrite the expected output in the scripts")

// TestMain lets the test binary be the program in the scripts, with a clock
// that stands at 2026-03-01 09:00 and moves a minute with each run, and ids
// that are counted on from run to run.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"endsmeet": func() { os.Exit(scripted()) }})
}

func scripted() int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	e := systemEnvironment()
	count := turn(os.Getenv("ENDSMEET_SCRIPT_COUNT"))
	start := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC).Add(time.Duration(count) * time.Minute)
	if text := os.Getenv("ENDSMEET_SCRIPT_NOW"); text != "" {
		start, _ = time.Parse(time.RFC3339, text)
	}
	e.now = func() time.Time { return start }
	e.ids = stashtest.CountingIDs(uint64(count) * 1000)
	e.machine = os.Getenv("ENDSMEET_SCRIPT_MACHINE")
	e.work = 8
	e.fault = killedAt(sqlite.Point(os.Getenv("ENDSMEET_SCRIPT_KILL")))
	if point := os.Getenv("ENDSMEET_SCRIPT_INTERRUPT"); point != "" {
		e.fault = interruptedAt(ctx, sqlite.Point(point))
	}
	return run(ctx, e, os.Args)
}

// self is this process.
func self() *os.Process {
	p, err := os.FindProcess(os.Getpid())
	if err != nil {
		panic(err)
	}
	return p
}

// killedAt kills the program, as kill -9 does, when a write comes to a point;
// empty is nowhere.
func killedAt(point sqlite.Point) func(sqlite.Point) {
	return func(at sqlite.Point) {
		if at == point {
			_ = self().Kill()
			select {}
		}
	}
}

// interruptedAt sends the program what Ctrl-C sends, when a write comes to a
// point.
func interruptedAt(ctx context.Context, point sqlite.Point) func(sqlite.Point) {
	return func(at sqlite.Point) {
		if at == point && ctx.Err() == nil {
			_ = self().Signal(os.Interrupt)
			<-ctx.Done()
		}
	}
}

// turn is how many runs were before this one: each makes a file longer by a byte, two of a
// pipe too. Without a file it is 0.
func turn(path string) int {
	f, err := os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return 0
	}
	defer f.Close()
	_, _ = f.Write([]byte("."))
	after, _ := f.Seek(0, io.SeekCurrent)
	return int(after) - 1
}

// condition answers [mounts]: whether a folder can be mounted for reading only.
func condition(name string) (bool, error) {
	if name != "mounts" {
		return false, fmt.Errorf("no condition is called %s", name)
	}
	return exec.Command("unshare", "-rm", "mount", "--bind", "/tmp", "/tmp").Run() == nil, nil
}

// A case of a script that wants a program is passed over without it; where
// references are required the program has to be there.
func TestProgramsOfScriptsAreThere(t *testing.T) {
	t.Parallel()
	wants := regexp.MustCompile(`\[!?exec:([a-z0-9]+)\]`)
	seen := map[string]bool{}
	for _, file := range scripts(t) {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range wants.FindAllStringSubmatch(string(text), -1) {
			seen[m[1]] = true
		}
	}
	if !seen["sqlite3"] {
		t.Fatalf("the scripts are said to want only %v", seen)
	}
	for name := range seen {
		t.Run(name, func(t *testing.T) { outside.Program(t, name) })
	}
}

// scripts are the files of all scripts.
func scripts(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("../../testdata/scripts/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatal("no scripts found", err)
	}
	return files
}

func TestScripts(t *testing.T) {
	scripts(t)
	pictures, err := filepath.Abs("../../testdata/pictures")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:           "../../testdata/scripts",
		Condition:     condition,
		UpdateScripts: *update,
		Setup: func(env *testscript.Env) error {
			env.Setenv("HOME", env.WorkDir)
			env.Setenv("XDG_DATA_HOME", filepath.Join(env.WorkDir, "data"))
			env.Setenv("ENDSMEET_SCRIPT_COUNT", filepath.Join(env.WorkDir, ".count"))
			env.Setenv("ENDSMEET_SCRIPT_MACHINE", "script")
			env.Setenv("TZ", "UTC")
			env.Setenv("PICTURES", pictures)
			env.Setenv("COLUMNS", "80") // what a screen shows; a pipe has no width
			return nil
		},
	})
}
