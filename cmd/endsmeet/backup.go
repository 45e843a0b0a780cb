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
		Usage:       "copy the stash into a new file, and check the copy",
		Description: "The copy is one moment of the stash, even while another command writes to it. It holds what is told about people too: keep it as you keep the stash.",
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
		Usage:       "make the stash anew from a backup",
		Description: "Never over a stash that is there: move that away first, or name another with --stash. What is recorded in the restored stash goes under a name of its own, so that it never writes as its twin.",
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
