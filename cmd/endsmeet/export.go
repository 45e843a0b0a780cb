package main

import (
	"bufio"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/aside"
	"endsmeet/stash/sqlite"
)

func exportCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "export", Category: groupExchange,
		Usage: "Write the whole stash for other programs to read.",
		Description: "Choose one form. FILE may be - for standard output. Existing files are never overwritten.\n" +
			"The events are the archive: everything that was recorded, verbatim, one line of JSON each with lane, seq, id, private and raw; the first line of a lane has its key.\n" +
			"The tables show what is there now, one file each, safe to open in a spreadsheet, with the archive as events.csv; `import` reads all of it back.\n" +
			"What is recorded about people stays out unless you give --with-private. A name you typed into a loan, a note or a project name is not private; you are told where one is exported.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "csv",
				Usage: "tables, one file each, in this new or empty `FOLDER`"},
			&cli.StringFlag{Name: "xlsx", Usage: "a workbook to read and print, to this `FILE` or -"},
			&cli.StringFlag{Name: "events",
				Usage: "everything that was ever recorded, to this `FILE` (.jsonl) or -"},
			&cli.StringFlag{Name: "journal",
				Usage: "every movement as a plain-text journal, to this `FILE` or -"},
			&cli.BoolFlag{Name: "with-private", Usage: "include what is recorded about people"},
		},
		Action: action(e, 0, 0, export),
	}
}

// exports are the forms that a stash can be written in.
var exports = []struct {
	name  string
	write func(k *call, path string) error
}{
	{"csv", exportFolder},
	{"xlsx", func(k *call, path string) error { return k.exportFile(path, exportBook) }},
	{"events", func(k *call, path string) error { return k.exportFile(path, exportEvents) }},
	{"journal", func(k *call, path string) error {
		return k.exportFile(path,
			func(_ *call, tx *sqlite.Tx, w io.Writer) error { return writeJournal(tx, w) })
	}},
}

func export(k *call) error {
	given := 0
	for _, form := range exports {
		if k.IsSet(form.name) {
			given++
		}
	}
	if given == 0 {
		return stash.Refuse(stash.CodeUsage,
			"--csv FOLDER, --xlsx FILE, --events FILE or --journal FILE", "say in which form")
	}
	if err := k.view(k.warnOfNames); err != nil {
		return err
	}
	for _, form := range exports {
		if !k.IsSet(form.name) {
			continue
		}
		if err := form.write(k, k.String(form.name)); err != nil {
			return err
		}
	}
	return nil
}

// exportFile writes a file that was not there, or standard output. What cannot
// be finished is taken away.
func (k *call) exportFile(path string, write func(*call, *sqlite.Tx, io.Writer) error) error {
	if path == dash {
		out := &show.Sink{W: show.Document(k.env.stdout)}
		err := k.view(func(tx *sqlite.Tx) error {
			return buffered(out, func(w io.Writer) error { return write(k, tx, w) })
		})
		return out.Blame("standard output", err)
	}
	if path == "" {
		return stash.Refuse(stash.CodeUsage, "or - for standard output", "give the name of a file")
	}
	if err := streamNew(path, func(w io.Writer) error {
		return k.view(func(tx *sqlite.Tx) error { return write(k, tx, w) })
	}); err != nil {
		return err
	}
	k.note("written: %s", path)
	return nil
}

// buffered writes through a buffer.
func buffered(w io.Writer, write func(io.Writer) error) error {
	b := bufio.NewWriterSize(w, 1<<16)
	return errors.Join(write(b), b.Flush())
}

// streamNew writes a file under a name that is not taken, whole or not at all.
func streamNew(path string, write func(io.Writer) error) error {
	if _, err := os.Lstat(path); err == nil {
		return show.Unwritable(path, fs.ErrExist)
	}
	return streamOver(path, false, write)
}

// streamOver is streamNew, by force over a file that is there.
func streamOver(path string, force bool, write func(io.Writer) error) error {
	f, err := aside.File(filepath.Dir(path))
	if err != nil {
		return show.Unwritable(path, err)
	}
	defer os.Remove(f.Name()) //nolint:errcheck // gone once it has its name
	out := &show.Sink{W: f}
	if err := out.Blame(path, buffered(out, write)); err != nil {
		_ = f.Close()
		return err
	}
	if err := errors.Join(f.Sync(), f.Close()); err != nil {
		return show.Unwritable(path, err)
	}
	err = linkName(f.Name(), path, force)
	if stash.CodeOf(err) == stash.CodeRefused {
		return show.Unwritable(path, fs.ErrExist)
	}
	return err
}
