package sqlite

import (
	"crypto/sha256"
	"database/sql"
	"encoding/json"
	"fmt"
	"hash/fnv"
	"maps"
	"os"
	"reflect"
	"runtime"
	"slices"
	"time"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Finding is one thing that a check has to say.
type Finding struct {
	Code    string `json:"code"`
	Subject string `json:"subject"`
	Message string `json:"message"`
	// Fault says that the ledger itself is wrong; other findings ask the
	// weaver for something.
	Fault bool `json:"-"`
}

// Report is the result of a check: what it found and where the yarn went.
type Report struct {
	Findings []Finding
	// The sums over all packages. Used is less the thrums that came back, and Loose the
	// part of it that went into no piece; Before is the part of Received that had left
	// its package when that was first weighed.
	Received, Held, Used, Discarded, Given, Unexplained, Loose, Before measure.Mass
	// Overdrawn is what was taken of packages beyond what they held; Held is that much less
	// than the packages show that hold something.
	Overdrawn measure.Mass

	undated []string // items of which nobody says when they were weighed
}

// OK says that nothing is wrong with the ledger itself.
func (r Report) OK() bool {
	for _, f := range r.Findings {
		if f.Fault {
			return false
		}
	}
	return true
}

func (r *Report) fault(code, subject, format string, args ...any) {
	r.Findings = append(r.Findings, Finding{code, subject, fmt.Sprintf(format, args...), true})
}

func (r *Report) note(code, subject, format string, args ...any) {
	r.Findings = append(r.Findings, Finding{code, subject, fmt.Sprintf(format, args...), false})
}

// Check verifies the file (SQLite's own checks, foreign keys), the chain of
// every lane, that the views are what a fold from nothing gives, and that
// every gram is accounted for; and it names packages that ask for attention.
func (tx *Tx) Check() (Report, error) {
	return tx.check(tx.checkAccess, tx.checkFile, tx.checkReferences, tx.checkDerived,
		tx.checkSums, tx.checkPieces, tx.checkPictures, tx.checkUnknown)
}

// checkStructure is the part of Check without which nothing else means anything, for
// a file that SQLite has looked through already: every event is what was written.
func (tx *Tx) checkStructure() (Report, error) {
	return tx.check(tx.checkReferences, tx.checkChains)
}

func (tx *Tx) check(parts ...func(*Report) error) (Report, error) {
	var r Report
	for _, part := range parts {
		err := part(&r)
		if err != nil && !r.OK() {
			return r, nil // what is damaged cannot be looked into any deeper
		}
		if err != nil {
			return r, err
		}
	}
	return r, nil
}

// checkAccess names what others on this machine may read: the stash holds what is told
// about people, and its key what proves who wrote. Windows knows no such bits.
func (tx *Tx) checkAccess(r *Report) error {
	for _, path := range []string{tx.store.path, tx.store.KeyPath()} {
		info, err := os.Stat(path)
		if err == nil && runtime.GOOS != "windows" && info.Mode().Perm()&0o077 != 0 {
			r.note("access", path, "others on this machine may read or change %s: chmod 600 %s",
				stash.Clean(path), stash.Quote(path))
		}
	}
	return nil
}

func (tx *Tx) checkFile(r *Report) error {
	return tx.each(`PRAGMA integrity_check`, nil, func(rows *sql.Rows) error {
		var text string
		err := rows.Scan(&text)
		if text != "ok" {
			r.fault("sqlite", "", "the file is damaged: %s", text)
		}
		return err
	})
}

func (tx *Tx) checkReferences(r *Report) error {
	return tx.each(`SELECT "table", rowid FROM pragma_foreign_key_check`, nil,
		func(rows *sql.Rows) error {
			var table string
			var rowid sql.NullInt64
			err := rows.Scan(&table, &rowid)
			r.fault("foreign_key", table, "row %d refers to nothing", rowid.Int64)
			return err
		})
}

// checkDerived compares all that is derived from the events with them: the views, and
// what is noted of every event, which subjects it touches and which acts it reverses.
func (tx *Tx) checkDerived(r *Report) error {
	said, err := tx.checkEvents(r)
	if err != nil {
		return err
	}
	noted, err := tx.checkFolds(r)
	if err == nil && noted != said {
		r.fault("index", "", "what the records touch is not what was noted of them")
	}
	return err
}

// checkEvents is checkChains, and adds up what the events say.
func (tx *Tx) checkEvents(r *Report) (said indexSums, err error) {
	var ahead aheadOfClock
	undos := map[[2]stash.Act]bool{}
	dates, err := tx.redates()
	if err == nil {
		_, err = tx.reversals()
	}
	if err != nil {
		return said, err
	}
	err = tx.walkChains(r, func(e *stash.Event) (err error) {
		e.Line, err = stash.DecodeLine(e.Raw)
		said.add(e, undos)
		dated := dates.mended(*e)
		if dated.At.Sub(tx.now) > stash.ClockSlack && !tx.Undone(e.ActOf()) {
			ahead.add(dated)
		}
		return err
	})
	if err != nil {
		return said, err
	}
	tx.tellAhead(r, ahead)
	return said, tx.checkEnds(r)
}

// checkChains recomputes every chain hash; two histories under one lane name are
// both followed.
func (tx *Tx) checkChains(r *Report) error {
	if err := tx.walkChains(r, func(*stash.Event) error { return nil }); err != nil {
		return err
	}
	return tx.checkEnds(r)
}

// aheadOfClock are entries that stand and are dated ahead of this machine's clock.
type aheadOfClock struct {
	first stash.Event
	n     int
}

func (a *aheadOfClock) add(e stash.Event) {
	e.Raw, e.Body = nil, nil // nobody asks
	if a.n++; a.n == 1 || stash.Order(e, a.first) < 0 {
		a.first = e
	}
}

// tellAhead asks about entries that are ahead: the clock of who wrote them was wrong, or
// this one is.
func (tx *Tx) tellAhead(r *Report, ahead aheadOfClock) {
	first := ahead.first
	if ahead.n == 0 {
		return
	}
	r.note("ahead", string(first.Of),
		"%d of the entries are dated ahead of this machine's clock, which says %s; the first is %s of %s (%s): was a clock wrong? %s moves them to the right day",
		ahead.n, tx.now.Format("2006-01-02 15:04"), first.Kind,
		first.At.In(tx.now.Location()).Format("2006-01-02 15:04"), first.ID().String()[:8],
		stash.Command("redate", first.At.In(tx.now.Location()).Format(time.DateOnly), "DATE"))
}

// checkEnds looks for the event at the end of every lane.
func (tx *Tx) checkEnds(r *Report) error {
	return tx.each(`SELECT name FROM lane l WHERE seq > 0 AND NOT EXISTS
		(SELECT 1 FROM event e WHERE e.lane = l.n AND e.seq = l.seq AND e.chain = l.chain)`, nil, func(rows *sql.Rows) error {
		var name string
		err := rows.Scan(&name)
		r.fault("chain", name, "the end of lane %s is missing", name)
		return err
	})
}

// indexSums are the sums of the hashes of all touches and all undos, which do
// not hang on their order.
type indexSums struct{ touches, undos uint64 }

// add adds what an event says; undos are those that were added before.
func (s *indexSums) add(e *stash.Event, undos map[[2]stash.Act]bool) {
	for _, t := range stash.Touches(e.Line) {
		s.touches += hashOf(string(t.Subject), int(t.Class), e.ID())
	}
	var u stash.Undo
	if e.Kind != stash.KindUndo || jsonv2.Unmarshal(e.Body, &u) != nil {
		return
	}
	if pair := [2]stash.Act{u.Act, e.ActOf()}; !undos[pair] {
		undos[pair] = true
		s.undos += hashOf(string(pair[0]+" "+pair[1]), 0, stash.EventID{})
	}
}

func hashOf(name string, class int, id stash.EventID) uint64 {
	h := fnv.New64a()
	_, _ = h.Write(append(id[:], byte(class)))
	_, _ = h.Write([]byte(name))
	return h.Sum64()
}

// notedUndos adds up the undos that were noted.
func (tx *Tx) notedUndos() (uint64, error) {
	var sum uint64
	err := tx.each(`SELECT act || ' ' || by FROM undo`, nil, func(rows *sql.Rows) error {
		var pair string
		err := rows.Scan(&pair)
		sum += hashOf(pair, 0, stash.EventID{})
		return err
	})
	return sum, err
}

// checkFolds folds every subject from nothing and compares, and adds up what was noted of
// the events. Of what stands there it holds no more than hashes.
func (tx *Tx) checkFolds(r *Report) (noted indexSums, err error) {
	var jobs []*foldJob
	var stand []viewSum
	err = tx.each(`SELECT s.n, s.id, coalesce(v.what, ''), v.state, coalesce(v.tag, ''), coalesce(v.name, ''), coalesce(v.parent, ''), coalesce(v.live, 0), coalesce(v.word, ''), v.held
		FROM subject s LEFT JOIN view v ON v.subject = s.n AND v.id = s.id ORDER BY s.n`, nil, func(s *sql.Rows) error {
		var j foldJob
		var raw sql.RawBytes
		var k keys
		err := s.Scan(&j.n, (*string)(&j.id), (*string)(&j.what), &raw, &k.tag, &k.name, &k.parent,
			&k.live, &k.word, &k.held)
		jobs, stand = append(jobs, &j), append(stand, sumOfView(raw, k))
		return err
	})
	if err != nil {
		return noted, err
	}
	err = tx.foldAll(jobs, (*foldJob).viewBothWays, func(j *foldJob) error {
		noted.touches += j.touches
		if sumOfView(j.raw, keysOf(j.state)) != stand[0] {
			r.fault("fold", string(j.id), "the view of %s %s is not what its events give", j.what,
				j.id)
		}
		stand = stand[1:]
		return nil
	})
	if err == nil {
		noted.undos, err = tx.notedUndos()
	}
	return noted, err
}

// viewBothWays is view, and folds what was read out of a receipt: where that gives
// anything else it has a state, which no such view should have.
func (j *foldJob) viewBothWays(env *lockedEnv) error {
	err := j.view(env)
	if err != nil || len(j.raw) > 0 {
		return err
	}
	folded := foldEvents(j.id, j.what, j.facts, j.moves, env)
	if !reflect.DeepEqual(folded, j.state) {
		j.raw, err = json.Marshal(folded)
	}
	return err
}

// viewSum is a hash of a view and of what it is found by.
type viewSum [sha256.Size]byte

func sumOfView(raw []byte, k keys) viewSum {
	return sha256.Sum256(fmt.Appendf(nil, "%q %q %q %q %t %v %s", k.tag, k.name, k.parent, k.word,
		k.live, k.held, raw))
}

// checkSums adds up every package and names those that ask for attention.
func (tx *Tx) checkSums(r *Report) error {
	settings, err := tx.Settings()
	if err != nil {
		return err
	}
	yarns, err := tx.Yarns()
	if err != nil {
		return err
	}
	for _, y := range yarns {
		r.disputed(stash.WhatYarn, string(y.ID), y.Name, y.Disputed)
	}
	err = tx.EachPackage(false, func(p stash.Package) error {
		r.add(p)
		return tx.attention(r, p, settings)
	})
	if err != nil {
		return err
	}
	if n := len(r.undated); n > 0 {
		r.note("undated", "", "nobody says when %s weighed: %s", itemsWere(n),
			stash.AndMore(r.undated[:min(n, stash.FewNamed+1)], n))
	}
	if r.Received != r.Held+r.Used+r.Discarded+r.Given+r.Unexplained {
		r.fault("conservation", "", "the whole stash does not add up")
	}
	return nil
}

func (r *Report) add(p stash.Package) {
	r.Received += p.Received
	r.Held += p.Held
	r.Overdrawn += max(0, -p.Held)
	r.Used += p.Used - p.Salvaged
	r.Loose += p.Loose()
	r.Before += p.Before
	r.Discarded += p.Discarded
	r.Given += p.Given
	r.Unexplained += p.Unexplained
	if !p.Balanced() {
		r.fault("conservation", string(p.ID), "%s does not add up", p.Label())
	}
}

func (tx *Tx) attention(r *Report, p stash.Package, s stash.Settings) error {
	id := string(p.ID)
	switch {
	case p.Retired && p.Held == 0 && len(p.Question) == 0:
		return nil
	case p.Retired:
		// its questions say the rest
	case p.Overdrawn():
		r.note("overdrawn", id, "%s holds less than nothing, weigh it", p.Label())
	case p.Reweigh():
		moves, err := tx.Unaware(p)
		if err != nil {
			return err
		}
		r.note("weigh_again", id, "%s: %s; weigh it again", p.Label(),
			stash.UnawareWords(moves, nil, s.Units))
	case p.Known && p.Held > 0 && p.Stale(tx.now, s.StaleDays):
		when := "on " + p.Weighed.Format(time.DateOnly)
		if p.Weighed.IsZero() {
			when = "before " + p.Since.Format(time.DateOnly)
		}
		r.note("stale", id, "%s was last weighed %s", p.Label(), when)
	case p.Known && p.Held > 0 && p.Weighed.IsZero():
		r.undated = append(r.undated, p.Label())
	}
	r.disputed(stash.WhatPackage, id, p.Label(), p.Disputed)
	for _, q := range p.Question {
		r.note("question", id, "%s: %s", p.Label(), q)
	}
	return nil
}

// itemsWere counts items that something was done to.
func itemsWere(n int) string {
	if n == 1 {
		return "1 item was"
	}
	return fmt.Sprintf("%d items were", n)
}

// disputed names what machines disagree about.
func (r *Report) disputed(what stash.What, id, name string, values map[string][]json.RawMessage) {
	for _, field := range slices.Sorted(maps.Keys(values)) {
		r.note("disputed", id, "%s: %s", name,
			stash.DisputeWords(what, name, field, values[field]))
	}
}

// checkPieces names pieces that were finished, by one machine or by two, and of
// which every finish was taken back: they are on the loom, and nobody may know.
func (tx *Tx) checkPieces(r *Report) error {
	pieces, err := tx.Pieces(true)
	if err != nil {
		return err
	}
	for _, p := range pieces {
		past, err := tx.History(stash.Subject(p.ID))
		if err != nil {
			return err
		}
		undone := func(e Past) bool { return e.Kind == stash.KindFinish && e.Undone }
		if p.State == stash.OnLoom && slices.ContainsFunc(past, undone) {
			r.note("unfinished", string(p.ID),
				"%s is on the loom: its finish was undone; finish it again, or abandon it", p.Name)
		}
	}
	return nil
}

// checkUnknown names what a newer version must fold.
func (tx *Tx) checkUnknown(r *Report) error {
	return tx.each(`SELECT DISTINCT s.id FROM touch t JOIN subject s ON s.n = t.subject WHERE t.class = ? ORDER BY s.id`,
		[]any{int(stash.ClassOther)}, func(rows *sql.Rows) error {
			var id string
			err := rows.Scan(&id)
			r.note("newer", id, "%s has events of a newer version, kept and not counted", id)
			return err
		})
}
