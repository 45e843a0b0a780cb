package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
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
	e.ids = stash.CountingIDs(uint64(count) * 1000)
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

// turn reads and moves on the counter in a file.
func turn(path string) int {
	raw, _ := os.ReadFile(path)
	n, _ := strconv.Atoi(string(raw))
	_ = os.WriteFile(path, []byte(strconv.Itoa(n+1)), 0o600)
	return n
}

// condition answers [mounts]: whether a folder can be mounted for reading only.
func condition(name string) (bool, error) {
	if name != "mounts" {
		return false, fmt.Errorf("no condition is called %s", name)
	}
	return exec.Command("unshare", "-rm", "mount", "--bind", "/tmp", "/tmp").Run() == nil, nil
}

func TestScripts(t *testing.T) {
	files, err := filepath.Glob("../../testdata/scripts/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatal("no scripts found", err)
	}
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
