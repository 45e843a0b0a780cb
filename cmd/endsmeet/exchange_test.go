package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"endsmeet/stash/outside"
	"endsmeet/stash/stashtest"
)

const fortyYarns = "../../testdata/sheets/stash40.csv"

// desk is a stash in a folder of its own, on which a test runs commands within
// its own process.
type desk struct {
	t     *testing.T
	dir   string
	env   environment
	out   bytes.Buffer
	err   bytes.Buffer
	stash string
}

func newDesk(t *testing.T) *desk {
	d := &desk{t: t, dir: t.TempDir(), stash: "stash.db"}
	if err := stashtest.WriteEmpty(d.path(d.stash)); err != nil {
		t.Fatal(err)
	}
	start := time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)
	d.env = environment{
		stdin: strings.NewReader(""), getenv: func(string) string { return "" },
		now: func() time.Time { return start }, ids: stashtest.CountingIDs(1), machine: "desk",
	}
	return d
}

func (d *desk) path(name string) string { return filepath.Join(d.dir, name) }

func (d *desk) file(name, text string) string {
	d.t.Helper()
	if err := os.WriteFile(d.path(name), []byte(text), 0o600); err != nil {
		d.t.Fatal(err)
	}
	return d.path(name)
}

// try runs a command and gives its exit code.
func (d *desk) try(ctx context.Context, args ...string) int {
	d.out.Reset()
	d.err.Reset()
	e := d.env
	e.stdout, e.stderr = &d.out, &d.err
	return run(ctx, &e, append([]string{"endsmeet", "--stash", d.path(d.stash)}, args...))
}

// run runs a command that must go well, and gives its answer.
func (d *desk) run(args ...string) string {
	d.t.Helper()
	if code := d.try(context.Background(), args...); code != 0 {
		d.t.Fatalf("%q: exit %d\n%s", args, code, d.err.String())
	}
	return d.out.String()
}

// checked is what `check` adds up, which must be whole.
func (d *desk) checked() (c checked) {
	d.t.Helper()
	if err := json.Unmarshal([]byte(d.run("--json", "check")), &c); err != nil || !c.OK {
		d.t.Fatalf("%v, %+v", err, c)
	}
	return c
}

func output(t *testing.T, stdin, name string, args ...string) string {
	t.Helper()
	c := exec.Command(name, args...)
	c.Stdin = strings.NewReader(stdin)
	out, err := c.CombinedOutput()
	if err != nil {
		t.Fatalf("%s %q: %v\n%s", name, args, err, out)
	}
	return string(out)
}

// convert has LibreOffice write a file in another format.
func convert(t *testing.T, d *desk, format, from string) {
	t.Helper()
	convertInto(t, d, d.dir, format, from)
}

// Files that LibreOffice wrote (7.4 of Debian 12, or what is here) come in as
// the file that they were made of.
func TestFilesOfLibreOfficeComeInTheSame(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("import", fortyYarns)
	want := d.checked()
	for _, kind := range []string{"xlsx", "ods"} {
		convert(t, d, kind, fortyYarns)
		d.stash = kind + ".db"
		answer := d.run("import", d.path("stash40."+kind))
		if !strings.HasPrefix(answer, "Imported 48 items of 38 yarns from 40 rows.") {
			t.Errorf("%s: %s", kind, answer)
		}
		if got := d.checked(); got.HeldMg != want.HeldMg {
			t.Errorf("%s: %d mg, want %d", kind, got.HeldMg, want.HeldMg)
		}
	}
}

// LibreOffice reads our workbook and our tables, and runs nothing in them.
func TestLibreOfficeReadsWhatWeWrite(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("import", fortyYarns)
	d.run("set", "Y05", "note==1+1")
	d.run("export", "--xlsx", d.path("book.xlsx"), "--csv", d.path("tables"))
	convert(t, d, "csv", d.path("book.xlsx"))
	rows := readCSV(t, d.path("book.csv"))
	if len(rows) != 49 || rows[0][0] != "tag" {
		t.Fatalf("%d rows of the workbook's first sheet, beginning %q", len(rows), rows[0])
	}
	sameFigures(t, d, rows)
	note := ""
	for _, row := range rows {
		if row[0] == "Y05" {
			note = row[14]
		}
	}
	if note != "=1+1" {
		t.Errorf("the note is %q in the workbook", note)
	}
	convert(t, d, "ods", d.path("tables/items.csv"))
	convert(t, d, "csv", d.path("items.ods"))
	kept := false
	for _, row := range readCSV(t, d.path("items.csv")) {
		kept = kept || strings.Contains(strings.Join(row, "|"), "|'=1+1|")
	}
	if !kept {
		t.Error("the note was not kept as the text '=1+1")
	}
}

// sameFigures holds the rows of the workbook's first sheet, as LibreOffice shows
// them, against what `list` says.
func sameFigures(t *testing.T, d *desk, rows [][]string) {
	t.Helper()
	var items []struct {
		Tag    string `json:"tag"`
		Net    *int64 `json:"net_mg"`
		Length *int64 `json:"length_mm"`
	}
	if err := json.Unmarshal([]byte(d.run("--json", "list")), &items); err != nil ||
		len(items) != len(rows)-1 {
		t.Fatalf("%d packages, %d rows, %v", len(items), len(rows)-1, err)
	}
	shown := map[string][]string{}
	for _, row := range rows[1:] {
		shown[row[0]] = row
	}
	thousandths := func(n *int64) float64 {
		if n == nil {
			return -1
		}
		return float64(*n) / 1000
	}
	for _, it := range items {
		row := shown[it.Tag]
		if row == nil {
			t.Errorf("%s is not in the workbook", it.Tag)
			continue
		}
		for column, want := range map[int]float64{9: thousandths(it.Net),
			11: thousandths(it.Length)} {
			got, err := strconv.ParseFloat(row[column], 64)
			if err != nil && row[column] == "" {
				got = -1
			}
			if got != want {
				t.Errorf("%s: the workbook says %s %q, `list` says %v", it.Tag, rows[0][column],
					row[column], want)
			}
		}
	}
}

// What cannot be written is blamed on where it goes, not on the stash.
func TestAFullOutputIsSaidToBeFull(t *testing.T) {
	t.Parallel()
	if _, err := os.Stat("/dev/full"); err != nil {
		outside.GoWithout(t, "/dev/full is not here")
	}
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		outside.GoWithout(t, "/dev/full: %v", err)
	}
	defer full.Close()
	d := newDesk(t)
	d.run("import", fortyYarns)
	for _, form := range []string{"--events", "--journal", "--xlsx"} {
		e := d.env
		d.err.Reset()
		e.stdout, e.stderr = full, &d.err
		code := run(context.Background(), &e, []string{"endsmeet", "--stash", d.path(d.stash),
			"export", form, "-"})
		if code != 1 || !strings.Contains(d.err.String(),
			"standard output cannot be written: the disk is full") {
			t.Errorf("%s: exit %d, %s", form, code, d.err.String())
		}
	}
}

func readCSV(t *testing.T, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// The sqlite3 program reads our tables, with the same sum, and we read what it
// writes.
func TestTheSQLiteProgramReadsAndWritesTables(t *testing.T) {
	t.Parallel()
	sqlite3 := outside.Program(t, "sqlite3")
	d := newDesk(t)
	d.run("import", fortyYarns)
	held := d.checked().HeldMg
	d.run("export", "--csv", d.path("tables"))
	script := ".mode csv\n.import " + d.path("tables/items.csv") + " p\n" +
		"SELECT count(*), CAST(round(sum(net_g) * 1000) AS INTEGER) FROM p;\n.headers on\n.output " + d.path("again.csv") + "\n" +
		"SELECT tag AS number, yarn, colour, net_g AS \"net (g)\", note FROM p;\n"
	got := strings.TrimSpace(output(t, script, sqlite3, ":memory:"))
	if want := "48," + strconv.FormatInt(int64(held), 10); got != want {
		t.Errorf("sqlite3 counts %s, want %s", got, want)
	}
	d.stash = "again.db"
	d.run("import", d.path("again.csv"))
	if again := d.checked().HeldMg; again != held {
		t.Errorf("%d mg came back, want %d", again, held)
	}
}

// hledger (of Debian 12) accepts the journal, and its balances are those of
// `check`.
func TestTheJournalBalancesInHledger(t *testing.T) {
	t.Parallel()
	hledger := outside.Program(t, "hledger")
	d := newDesk(t)
	d.run("import", fortyYarns)
	d.run("use", "Y01", "20g")
	d.run("discard", "Y02", "5g")
	d.run("give", "Y04", "10g", "--to", "the guild")
	d.run("weigh", "Y05", "290g")
	d.run("wind", "Y07", "30g")
	d.run("retire", "Y06", "--leftover", "lost")
	c := d.checked()
	d.run("export", "--journal", d.path("stash.journal"))
	output(t, "", hledger, "-f", d.path("stash.journal"), "check", "ordereddates")
	for account, want := range map[string]int64{"stash": int64(c.HeldMg),
		"received": -int64(c.ReceivedMg), "used": int64(c.UsedMg),
		"discarded": int64(c.DiscardedMg), "given": int64(c.GivenMg),
		"unexplained": int64(c.UnexplainedMg), "wound": 0} {
		text := strings.Fields(output(t, "", hledger, "-f", d.path("stash.journal"), "bal", "-N",
			"--depth", "1", "--format", "%(total)", "^"+account+"(:|$)"))
		got := "0"
		if len(text) > 0 {
			got = text[0]
		}
		if got != strconv.FormatInt(want, 10) {
			t.Errorf("%s is %s mg in the journal, %d mg by check", account, got, want)
		}
	}
}

func TestFilesThatAreNoTablesAreRefusedAndNothingComesIn(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	tests := map[string]string{
		"nul.csv":   "yarn,net (g)\na\x00b,1\n",
		"mixed.csv": "yarn,net (g)\nna\u00efve,1\nna\xefve,2\n",
		"cut.xlsx":  "PK\x03\x04 and no more",
		"cut.ods":   "PK\x03\x04 and no more",
		"renamed.csv": "PK\x03\x04\x14\x00\x06\x00\x08\x00\x00\x00!\x00" +
			strings.Repeat("\x9c\x00\xff", 100),
		"oneline.csv":     strings.Repeat("x", 3<<20),
		"notevents.jsonl": "{\"lane\":\"x\"}\n",
		"list.jsonl":      "[1,2,3]\n",
		"items.csv":       "item_id,yarn_id\n",
	}
	for name, text := range tests {
		t.Run(name, func(t *testing.T) {
			code := d.try(context.Background(), "import", d.file(name, text))
			if code != 1 || d.out.Len() > 0 ||
				!strings.Contains(d.err.String(), strings.TrimSuffix(name, ".csv")) &&
					name != "items.csv" {
				t.Errorf("exit %d, %s%s", code, d.out.String(), d.err.String())
			}
		})
	}
	if answer := d.run("list"); !strings.HasPrefix(answer, "Nothing here yet") {
		t.Error(answer)
	}
}
