//go:build linux

package main

import (
	"archive/zip"
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"endsmeet/stash/outside"
)

// programAlone is a folder of its own with the program in it.
func programAlone(t *testing.T) (folder, program string) {
	t.Helper()
	folder = t.TempDir()
	program = filepath.Join(folder, "endsmeet")
	self, err := os.Executable()
	if err == nil {
		err = os.Symlink(self, program)
	}
	if err != nil {
		t.Fatal(err)
	}
	return folder, program
}

// What a small or a vast text does to a process: greatest memory under 150 MB (by GNU
// time) and processor time under 5 s, then a refusal, and nothing recorded.
func TestATextThatIsABombIsRefusedWithinItsBudget(t *testing.T) {
	t.Parallel()
	gnuTime := outside.Program(t, "time")
	dir, program := programAlone(t)
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
		withinBudget(t, gnuTime, program, path)
	}
}

// withinBudget imports a file that must be refused in little memory and time, and removes
// it.
func withinBudget(t *testing.T, gnuTime, program, path string) {
	t.Helper()
	dir, name := filepath.Dir(path), filepath.Base(path)
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
	slow := slowness()
	t.Logf("%s: %d MB, %.2f s, %.2f times slower than usual", name, kb>>10, seconds, slow)
	if kb > 150<<10 || seconds > 5*slow {
		t.Errorf("%s: %d MB and %.1f s", name, kb>>10, seconds)
	}
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
}

// slowness is how much longer than on a machine that is left alone a loop takes just now,
// where others share its cores.
func slowness() float64 {
	var before, after syscall.Rusage
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &before)
	x := uint64(1)
	for range 50_000_000 {
		x ^= x << 13
		x ^= x >> 7
		x ^= x << 17
	}
	_ = syscall.Getrusage(syscall.RUSAGE_SELF, &after)
	runtime.KeepAlive(x)
	const usual = 75 * time.Millisecond
	took := time.Duration(after.Utime.Nano() - before.Utime.Nano())
	return max(1, float64(took)/float64(usual))
}

// What a small workbook unpacks to is held to the same budget: the worst of each kind that
// was found for each limit.
func TestAWorkbookThatIsABombIsRefusedWithinItsBudget(t *testing.T) {
	t.Parallel()
	gnuTime := outside.Program(t, "time")
	dir, program := programAlone(t)
	const open = `<x><spreadsheet><table name="a"><table-row><table-cell value-type="string"><p>yarn</p></table-cell>` +
		`<table-cell value-type="string"><p>net (g)</p></table-cell></table-row>`
	const sheet = `<worksheet><sheetData><row><c t="inlineStr"><is><t>yarn</t></is></c>` +
		`<c t="inlineStr"><is><t>net (g)</t></is></c></row>`
	for name, what := range map[string]struct {
		head, fill, tail string
		mega             int
	}{
		"elements.ods":   {open, "<a/>", "</table></spreadsheet></x>", 18},
		"attributes.ods": {open, "<a" + strings.Repeat(` b=""`, 200_000) + "/>", "</table></spreadsheet></x>", 200},
		"tables.ods":     {open, `</table><table name="a">`, "</table></spreadsheet></x>", 60},
		"spaces.ods": {open, "<table-row><table-cell><p>" + strings.Repeat(`<s c="1000"/>`, 1000) +
			"</p></table-cell></table-row>", "</table></spreadsheet></x>", 60},
		"elements.xlsx": {sheet, "<a/>", "</sheetData></worksheet>", 90},
	} {
		path := filepath.Join(dir, name)
		part := "content.xml"
		if strings.HasSuffix(name, ".xlsx") {
			part = "xl/worksheets/sheet1.xml"
		}
		writeBomb(t, path, part, func(w io.Writer) {
			fmt.Fprint(w, what.head)
			chunk := strings.Repeat(what.fill, max(1, 1<<16/len(what.fill)))
			for n := 0; n < what.mega<<20; n += len(chunk) {
				fmt.Fprint(w, chunk)
			}
			fmt.Fprint(w, what.tail)
		})
		withinBudget(t, gnuTime, program, path)
	}
}

// writeBomb writes a workbook of one large part.
func writeBomb(t *testing.T, path, part string, fill func(io.Writer)) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	z := zip.NewWriter(f)
	for name, text := range map[string]string{
		"xl/workbook.xml": `<workbook><sheets><sheet name="a" id="r1"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="r1" Type="x/worksheet" ` +
			`Target="worksheets/sheet1.xml"/></Relationships>`,
		part: ""} {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if text != "" {
			fmt.Fprint(w, text)
			continue
		}
		b := bufio.NewWriterSize(w, 1<<20)
		fill(b)
		if err := b.Flush(); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(z.Close(), f.Close()); err != nil {
		t.Fatal(err)
	}
}
