package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func backupCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "backup", Category: groupExchange, ArgsUsage: "FILE",
		Usage:       "Copy the stash to a new file, and check the copy.",
		Description: "The copy is complete even while another command is running. It includes what is recorded about people: keep it as you keep the stash.",
		Action:      action(e, 1, 1, backup),
	}
}

// copied is the JSON shape of a backup or a restored stash.
type copied struct {
	File   string `json:"file"`
	Events int    `json:"events"`
	OK     bool   `json:"ok"`
}

func backup(k *call) error {
	path := k.Args().First()
	if strings.TrimSpace(path) == "" {
		return stash.Refuse(stash.CodeUsage, "", "give the name of a file")
	}
	err := k.view(func(*sqlite.Tx) error { return nil })
	if err != nil {
		return err
	}
	bar := k.counting("backup", -1)
	events, err := k.store.Backup(k.ctx, path, func(int, int) { bar.step() })
	bar.done()
	if err != nil {
		return err
	}
	err = k.answer(copied{path, events, true}, func(w io.Writer) {
		fmt.Fprintf(w, "%s: a whole copy with %s\n", stash.Clean(path), plural(events, "event"))
	})
	return k.told(err)
}

func restoreCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "restore", Category: groupExchange, ArgsUsage: "BACKUP",
		Usage:       "Make the stash again from a backup.",
		Description: "Refused if the stash exists: move that away first, or name another file with --stash. The restored stash gets a machine name of its own, so that two copies never write as one.",
		Action:      action(e, 1, 1, restore),
	}
}

func restore(k *call) error {
	path := k.env.stashPath(k.String("stash"))
	r, err := sqlite.Restore(k.ctx, k.Args().First(), path, k.env.options())
	if err != nil {
		return err
	}
	if r.Keys != "" {
		k.note("the keys of the stash that was here are kept as %s", r.Keys)
	}
	err = k.answer(copied{path, r.Events, true}, func(w io.Writer) {
		fmt.Fprintf(w, "restored %s with %s, checked\n", stash.Clean(path), plural(r.Events, "event"))
	})
	return k.told(err)
}
