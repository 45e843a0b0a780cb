package main

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers"
	"endsmeet/importers/recording"
	"endsmeet/stash"
	"endsmeet/stash/aside"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// importTable takes in a table of yarns.
func importTable(k *call, path string, book workbook) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	table, err := k.openTable(path, book, importers.Options{})
	if err != nil {
		return err
	}
	k.tellTable(table)
	if err := k.saveMapping(table); err != nil {
		return err
	}
	bad := badFile{path: k.String("bad-rows"), table: table}
	if err := bad.room(k); err != nil {
		return err
	}
	o := recording.Options{At: at, Dated: k.String("on") != "", DryRun: k.Bool("dry-run"),
		Correct: k.Bool("correct"), Weights: k.String("weights"),
		Bad: &bad.Bad, Told: k.heardFrom(), AsRead: k.asRead, Settled: k.settled}
	bad.Keep = bad.path != ""
	if o.Correct {
		o.Clears = k.Bool("empty-clears")
	}
	err = k.act(func(tx *sqlite.Tx) error {
		o.Units = k.units
		report, err := recording.TableRows(k.ctx, tx, table, o)
		if err != nil {
			return tableError(err)
		}
		return bad.kept(k, o, report)
	})
	bad.report(k, err)
	return err
}

// heardFrom is how an import tells what somebody should hear.
func (k *call) heardFrom() recording.Told {
	return recording.Told{Note: k.note, Progress: func(what string, total int) recording.Bar {
		return k.counting(what, total)
	}}
}

// badFile is the bad rows of a table, and where they are to be written.
type badFile struct {
	recording.Bad
	path  string
	table *importers.Table
	saved bool
}

// kept answers with what came in. It fails, so that nothing does, where bad rows may not be
// left out or a weight has to be explained first.
func (b *badFile) kept(k *call, o recording.Options, r recording.Report) error {
	if err := b.save(k); err != nil {
		return err
	}
	if !k.Bool("skip-bad") {
		if err := b.Err("mend them, or give --skip-bad to take in the others"); err != nil {
			return err
		}
	}
	if err := k.weightsSaid(o, r.Reweighed); err != nil {
		return err
	}
	return k.answer(r, func(w io.Writer) { show.PrintImport(w, r, o.Correct) })
}

// room refuses a file for bad rows that cannot be made, before a row is read.
func (b *badFile) room(k *call) error {
	if b.path == "" || k.Bool("dry-run") {
		return nil
	}
	if _, err := os.Lstat(b.path); err == nil {
		return show.Unwritable(b.path, fs.ErrExist)
	}
	f, err := aside.File(filepath.Dir(b.path))
	if err != nil {
		return show.Unwritable(b.path, err)
	}
	return errors.Join(f.Close(), os.Remove(f.Name()))
}

// save writes the bad rows to their file, whole or not at all; it must not be
// there yet. It runs before the good rows are committed, so that they do not come
// in where the bad ones would be lost. A dry run writes none.
func (b *badFile) save(k *call) error {
	if b.Rows() == 0 || k.Bool("dry-run") {
		return nil
	}
	err := streamNew(b.path, func(w io.Writer) error { return b.Write(w, b.table) })
	b.saved = err == nil
	return err
}

// report tells where the bad rows are. Where nothing came in though the good
// rows should have, their file is taken away again.
func (b *badFile) report(k *call, err error) {
	if !b.saved {
		return
	}
	if err != nil && k.Bool("skip-bad") {
		_ = os.Remove(b.path)
		return
	}
	k.note("%s written to %s, to be mended and imported", measure.Counted(b.Rows(), "bad row"),
		b.path)
}

// weightsSaid refuses changed weights of which nobody says what they are: what
// the package had when it came, or has now.
func (k *call) weightsSaid(o recording.Options, reweighed int) error {
	const either = "--weights received, or --weights now"
	switch {
	case !o.Correct && k.IsSet("weights"):
		return stash.Refuse(stash.CodeUsage,
			"--correct --weights received, or --correct --weights now",
			"--weights says what a changed weight is, and changes are recorded with --correct")
	case !o.Correct:
		return nil
	case o.Weights != "" && o.Weights != recording.WeightsReceived && o.Weights != recording.WeightsNow:
		return stash.Refuse(stash.CodeUsage, either, "%q is not one of received, now",
			stash.Clean(o.Weights))
	case reweighed > 0 && o.Weights == "":
		stand := map[bool]string{true: " stands", false: " stand"}[reweighed == 1]
		return stash.Refuse(stash.CodeUsage,
			"--weights received if that is what came in (what was used since stays used), --weights now if it was weighed again",
			"%s in the sheet otherwise than when it was imported",
			measure.Counted(reweighed, "weight")+stand)
	}
	return nil
}
