package main

import (
	"bufio"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers"
	"endsmeet/importers/csvfile"
	"endsmeet/importers/tables"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// importEvents puts the events of an archive into the stash, each only once.
func importEvents(k *call, path string) error {
	if err := importers.CheckFile(path, 0); err != nil {
		return tableError(err)
	}
	run := k.act
	if k.Bool("dry-run") {
		run = k.rehearse
	}
	defer keepWithin(streamMemory)()
	return run(func(tx *sqlite.Tx) error {
		a := &archive{call: k, tx: tx, file: path, lanes: map[stash.Lane]*archiveLane{}}
		if err := a.readFile(); err != nil {
			return tableError(err)
		}
		r := show.EventsReport{File: path, Events: a.read, New: a.added, Lanes: len(a.lanes),
			DryRun: k.Bool("dry-run")}
		return k.answer(r, func(w io.Writer) { show.PrintEvents(w, r) })
	})
}

// archive is one run over the lines of an archive.
type archive struct {
	*call
	tx    *sqlite.Tx
	file  string
	line  int // that was read last
	read  int // events
	added int
	lanes map[stash.Lane]*archiveLane
	run   sqlite.Incoming // lines that go on from each other, not yet taken in
}

// archiveLane is what was read of a lane: its kind and key, and its histories.
type archiveLane struct {
	private  bool
	key      []byte
	branches []*branch
}

// branch is a history of a lane: the hashes of its events from first on.
type branch struct {
	first  int64
	chains []stash.Chain
}

// maxEventLine is how long a line of an archive may be: no event is near it, and it is held
// in memory once more while it is read.
const maxEventLine = 24 << 20

// batch is how many events are taken in at once.
const batch = 4096

// readFile reads lines of JSON, or the table of events.
func (a *archive) readFile() error {
	if strings.EqualFold(filepath.Ext(a.file), ".csv") {
		return a.readTable()
	}
	f, err := os.Open(a.file)
	if err != nil {
		return err
	}
	defer f.Close()
	return a.readLines(f)
}

// readTable reads the table of events that `export --csv` wrote.
func (a *archive) readTable() error {
	grid, err := csvfile.Open(a.file, csvfile.Options{MaxRecord: maxEventLine})
	if err != nil {
		return err
	}
	bar := a.counting("import", -1)
	defer bar.done()
	err = tables.Events(grid, func(e tables.Event) error {
		bar.step()
		a.line = e.Line
		var id stash.EventID
		if err := id.UnmarshalText([]byte(e.ID)); err != nil {
			return a.fault("not the id of an event", "it has to be as `endsmeet export` wrote it")
		}
		return a.addEvent(eventLine{Lane: e.Lane, Seq: e.Seq, ID: id, Private: e.Private,
			Key: e.Key, Bytes: e.Raw})
	})
	if err != nil {
		return err
	}
	return a.flush()
}

func (a *archive) readLines(in io.Reader) error {
	lines := bufio.NewScanner(in)
	lines.Buffer(make([]byte, 1<<16), maxEventLine)
	bar := a.counting("import", -1)
	defer bar.done()
	for lines.Scan() {
		a.line++
		bar.step()
		if err := a.readLine(lines.Bytes()); err != nil {
			return err
		}
	}
	switch err := lines.Err(); {
	case errors.Is(err, bufio.ErrTooLong):
		a.line++
		return a.fault("the line is too long for an event", "check that it is an archive of events")
	case err != nil:
		return unreadable(a.file, err)
	}
	return a.flush()
}

func (a *archive) fault(reason, hint string) error {
	return &importers.Problem{File: a.file, Line: a.line, Reason: reason, Hint: hint}
}

// readLine reads one line.
func (a *archive) readLine(text []byte) error {
	var l eventLine
	if err := jsonv2.Unmarshal(text, &l); err != nil {
		return a.fault("not a line of an archive: "+err.Error(),
			"each line has to be as `endsmeet export --events` wrote it; it may be cut off")
	}
	return a.addEvent(l)
}

// addEvent adds an event to the run, or begins another.
func (a *archive) addEvent(l eventLine) error {
	a.read++
	raw := l.Bytes
	if raw == nil {
		raw = []byte(l.Raw)
	}
	if l.Lane == "" || l.Seq < 1 || len(raw) == 0 {
		return a.fault("a line without lane, seq or raw",
			"each line has to be as `endsmeet export --events` wrote it")
	}
	lane := a.lanes[l.Lane]
	if lane == nil {
		lane = &archiveLane{private: l.Private, key: l.Key}
		a.lanes[l.Lane] = lane
	}
	b, previous, chain, ok := lane.goesOn(l, raw)
	if !ok {
		return a.fault("the event does not go on from those before it: a line was changed, or one before it is missing", "take another copy of the archive")
	}
	if len(a.run.Lines) >= batch || a.run.Lane != l.Lane || a.run.Chain != previous || l.Seq == 1 {
		if err := a.flush(); err != nil {
			return err
		}
		a.run = sqlite.Incoming{Lane: l.Lane, Private: lane.private, Key: lane.key, First: l.Seq,
			Previous: previous}
	}
	a.run.Lines, a.run.Chain = append(a.run.Lines, raw), chain
	b.chains = append(b.chains, chain)
	return nil
}

// goesOn finds the history that an event goes on, the hash that it goes on from and
// its own, and whether its id says the same. Where it goes on from the middle of a
// history, it begins one of its own.
func (l *archiveLane) goesOn(e eventLine, raw []byte) (b *branch, previous, own stash.Chain,
	ok bool) {
	fits := func(previous stash.Chain) bool {
		own = stash.NextChain(previous, e.Lane, raw)
		return own.ID() == e.ID
	}
	for _, b := range l.branches {
		i := e.Seq - 1 - b.first
		if i < 0 || i >= int64(len(b.chains)) || !fits(b.chains[i]) {
			continue
		}
		if i == int64(len(b.chains))-1 {
			return b, b.chains[i], own, true
		}
		return l.begin(e.Seq), b.chains[i], own, true
	}
	if e.Seq == 1 && fits(previous) {
		return l.begin(1), previous, own, true
	}
	return nil, previous, own, false
}

func (l *archiveLane) begin(first int64) *branch {
	b := &branch{first: first}
	l.branches = append(l.branches, b)
	return b
}

// flush takes in the run.
func (a *archive) flush() error {
	if len(a.run.Lines) == 0 {
		return nil
	}
	got, err := a.tx.Accept(a.run)
	if err != nil {
		return err
	}
	a.added += got.New
	a.run = sqlite.Incoming{}
	return a.ctx.Err()
}
