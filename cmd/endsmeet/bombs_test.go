//go:build linux

package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"endsmeet/stash/outside"
)

// What a small or a vast text does to a process: greatest memory under 150 MB (by GNU
// time) and processor time under 5 s, then a refusal, and nothing recorded.
func TestATextThatIsABombIsRefusedWithinItsBudget(t *testing.T) {
	gnuTime := outside.Program(t, "time")
	dir := t.TempDir()
	program := filepath.Join(dir, "endsmeet")
	self, err := os.Executable()
	if err == nil {
		err = os.Symlink(self, program)
	}
	if err != nil {
		t.Fatal(err)
	}
	for name, what := range map[string]struct {
		head, fill, tail string
		mega             int
	}{
		"one line.jsonl": {"", "a", "", 100}, "deep.jsonl": {"", "[", "", 23},
		"a text.jsonl":    {`{"lane":"`, "a", "\"}\n", 22},
		"many keys.jsonl": {"{", `"k":{"a":[1,2]},`, `"z":1}` + "\n", 20},
		"one record.csv":  {"yarn,net (g)\nx", "a", "", 100},
		"columns.csv":     {"yarn", ",x", "\n", 20},
		"a quotation.csv": {"yarn,net (g)\n\"", "a,1\n", "", 60},
		"all bad.csv":     {"yarn,net (g)\n", "x,much\n", "", 200},
		"long cells.csv":  {"yarn,net (g)\n", strings.Repeat("y", 1<<20-9) + ",1\n", "", 200},
		"lines.csv":       {"yarn,net (g)\n", "\"" + strings.Repeat("\n", 1<<18) + "\",1\n", "", 80},
		"no end.csv":      {"yarn,net (g)\n", "x,1\n", "", 60},
	} {
		path := filepath.Join(dir, name)
		chunk := bytes.Repeat([]byte(what.fill), 1<<20/len(what.fill))
		f, err := os.Create(path)
		if err != nil {
			t.Fatal(err)
		}
		_, err = f.WriteString(what.head)
		for range what.mega {
			_, more := f.Write(chunk)
			err = errors.Join(err, more)
		}
		_, more := f.WriteString(what.tail)
		if err := errors.Join(err, more, f.Close()); err != nil {
			t.Fatal(err)
		}
		c := exec.Command(gnuTime, "-q", "-f", "peak %M %U", program, "--stash",
			filepath.Join(dir, "stash.db"), "import", path)
		c.Env = append(os.Environ(), "ENDSMEET_SCRIPT_MACHINE=bench",
			"ENDSMEET_SCRIPT_COUNT="+filepath.Join(dir, "count"), "HOME="+dir)
		out, err := c.CombinedOutput()
		said, peak, found := strings.Cut(string(out), "\npeak ")
		var kb int
		var seconds float64
		if _, scanned := fmt.Sscan(peak, &kb, &seconds); err == nil || !found || scanned != nil ||
			!strings.Contains(said, "endsmeet: ") {
			t.Fatalf("%s: %v, %v\n%.300s", name, err, scanned, out)
		}
		t.Logf("%s: %d MB, %.2f s", name, kb>>10, seconds)
		if kb > 150<<10 || seconds > 5 {
			t.Errorf("%s: %d MB and %.1f s", name, kb>>10, seconds)
		}
		if err := os.Remove(path); err != nil {
			t.Fatal(err)
		}
	}
}
