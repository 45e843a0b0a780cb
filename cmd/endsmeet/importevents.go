package main

import (
	"io"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers/recording"
	"endsmeet/stash/sqlite"
)

// importEvents puts the events of an archive into the stash, each only once.
func importEvents(k *call, path string) error {
	return k.act(func(tx *sqlite.Tx) error {
		r, err := recording.Archive(k.ctx, tx, path, k.heardFrom())
		if err != nil {
			return tableError(err)
		}
		r.DryRun = k.Bool("dry-run")
		return k.answer(r, func(w io.Writer) { show.PrintEvents(w, r) })
	})
}
