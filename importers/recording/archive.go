package recording

import (
	"bufio"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/importers"
	"endsmeet/importers/csvfile"
	"endsmeet/importers/tables"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// Line is one line of the archive: an event verbatim with its place. Raw
// is the event's own line; Bytes holds it in base64 instead where it is not
// UTF-8. Key, in the first line of a lane, is the lane's Ed25519 public key.
// ID is the event's id, the first half of the hash over all that its lane held
// up to it, so that a line cannot be changed unnoticed.
type Line struct {
	Lane    stash.Lane    `json:"lane"`
	Seq     int64         `json:"seq"`
	ID      stash.EventID `json:"id"`
	Private bool          `json:"private"`
	Key     []byte        `json:"key,omitempty"`
	Raw     string        `json:"raw,omitempty"`
	Bytes   []byte        `json:"raw_base64,omitempty"`
}

// archive is one run over the lines of an archive.
type archive struct {
	ctx   context.Context
	tx    *sqlite.Tx
	told  Told
	file  string
	line  int // that was read last
	read  int // events
	added int
	lanes map[stash.Lane]*archiveLane
	run   sqlite.Incoming // lines that go on from each other, not yet taken in
}

// Archive puts the events of an archive into the stash, each only once: the lines that
// `export --events` writes, or the table of events of `export --csv`.
func Archive(ctx context.Context, tx *sqlite.Tx, path string, told Told) (ArchiveReport, error) {
	a := &archive{ctx: ctx, tx: tx, told: told, file: path, lanes: map[stash.Lane]*archiveLane{}}
	err := importers.CheckFile(path, 0)
	if err == nil {
		err = a.readFile()
	}
	return ArchiveReport{File: path, Events: a.read, New: a.added, Lanes: len(a.lanes)}, err
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
	bar := a.told.Progress("import", -1)
	defer bar.Done()
	err = tables.Events(grid, func(e tables.Event) error {
		bar.Step()
		a.line = e.Line
		var id stash.EventID
		if err := id.UnmarshalText([]byte(e.ID)); err != nil {
			return a.fault("not the id of an event", "it has to be as `endsmeet export` wrote it")
		}
		return a.addEvent(Line{Lane: e.Lane, Seq: e.Seq, ID: id, Private: e.Private,
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
	bar := a.told.Progress("import", -1)
	defer bar.Done()
	for lines.Scan() {
		a.line++
		bar.Step()
		if err := a.readLine(lines.Bytes()); err != nil {
			return err
		}
	}
	switch err := lines.Err(); {
	case errors.Is(err, bufio.ErrTooLong):
		a.line++
		return a.fault("the line is too long for an event", "check that it is an archive of events")
	case err != nil:
		return err
	}
	return a.flush()
}

func (a *archive) fault(reason, hint string) error {
	return &importers.Problem{File: a.file, Line: a.line, Reason: reason, Hint: hint}
}

// readLine reads one line.
func (a *archive) readLine(text []byte) error {
	var l Line
	if err := jsonv2.Unmarshal(text, &l); err != nil {
		return a.fault("not a line of an archive: "+err.Error(),
			"each line has to be as `endsmeet export --events` wrote it; it may be cut off")
	}
	return a.addEvent(l)
}

// addEvent adds an event to the run, or begins another.
func (a *archive) addEvent(l Line) error {
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
func (l *archiveLane) goesOn(e Line, raw []byte) (b *branch, previous, own stash.Chain,
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
