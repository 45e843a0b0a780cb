package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func backupCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "backup", Category: groupExchange, ArgsUsage: "FILE",
		Usage:       "Copy the stash to a new file, and check the copy.",
		Description: "FILE may be - for standard output. The copy is complete even while another command is running. It includes what is recorded about people, and the keys of the shared place if there is one: keep it as you keep the stash, or leave the keys out.",
		Flags: []cli.Flag{&cli.BoolFlag{Name: "without-keys",
			Usage: "leave the keys of the shared place out; a stash restored from it joins again"}},
		Action: action(e, 1, 1, backup),
	}
}

func backup(k *call) error {
	path := k.Args().First()
	if strings.TrimSpace(path) == "" {
		return stash.Refuse(stash.CodeUsage, "", "give the name of a file")
	}
	keys := false
	err := k.view(func(tx *sqlite.Tx) (err error) {
		keys, err = tx.HasKeys()
		return err
	})
	if err != nil {
		return err
	}
	if path == dash {
		return k.backupOut()
	}
	bar := k.counting("backup", -1)
	events, err := k.store.Backup(k.ctx, path, !k.Bool("without-keys"),
		func(int, int) { bar.Step() })
	bar.Done()
	if err != nil {
		return err
	}
	keys = keys && !k.Bool("without-keys")
	err = k.answer(show.BackedUp{File: path, Events: events, OK: true, Keys: keys}, func(w io.Writer) {
		fmt.Fprintf(w, "%s: a whole copy with %s\n", stash.Clean(path),
			measure.Counted(events, "event"))
		if keys {
			fmt.Fprintln(w, "It holds the keys of the shared place: whoever has it can read that.")
		}
	})
	return k.told(err)
}

// backupOut writes a backup to standard output, from a copy that was checked.
func (k *call) backupOut() error {
	if err := k.alone(dash, "backup"); err != nil {
		return err
	}
	folder, err := os.MkdirTemp("", "endsmeet-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	path := filepath.Join(folder, "backup.db")
	if _, err := k.store.Backup(k.ctx, path, !k.Bool("without-keys"), func(int, int) {}); err != nil {
		return err
	}
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	out := &show.Sink{W: show.Document(k.env.stdout)}
	_, err = io.Copy(out, f)
	return out.Blame("standard output", err)
}

func restoreCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "restore", Category: groupExchange, ArgsUsage: "BACKUP",
		Usage:       "Make the stash again from a backup.",
		Description: "BACKUP may be - for standard input. Refused if the stash exists: move that away first, or name another file with --stash. The file is checked, and every event that was recorded; `endsmeet check` then reckons all of it again. The restored stash gets a machine name of its own, so that two copies never write as one.",
		Action:      action(e, 1, 1, restore),
	}
}

func restore(k *call) error {
	return k.fromFile(k.Args().First(), k.restoreFrom)
}

func (k *call) restoreFrom(backup string) error {
	path := k.env.stashPath(k.String("stash"))
	r, err := sqlite.Restore(k.ctx, backup, path, k.env.options())
	if err != nil {
		return err
	}
	if r.Keys != "" {
		k.note("the keys of the stash that was here are kept as %s", r.Keys)
	}
	err = k.answer(show.BackedUp{File: path, Events: r.Events, OK: true}, func(w io.Writer) {
		fmt.Fprintf(w, "restored %s with %s, checked\n", stash.Clean(path),
			measure.Counted(r.Events, "event"))
	})
	return k.told(err)
}
