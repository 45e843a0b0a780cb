package main

import (
	"encoding/json"
	"io"
	"unicode/utf8"

	"endsmeet/importers/recording"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// exportEvents writes every event in the order in which they came here.
func exportEvents(k *call, tx *sqlite.Tx, w io.Writer) error {
	known, err := tx.Lanes()
	if err != nil {
		return err
	}
	lanes := map[stash.Lane]sqlite.Lane{}
	for _, l := range known {
		lanes[l.Name] = l
	}
	told := map[stash.Lane]bool{}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	bar := k.counting("export", -1)
	defer bar.Done()
	if photos, err := tx.Photos(); err == nil && len(photos) > 0 {
		k.note("the pictures of %s are not among the events; --csv FOLDER carries them",
			measure.Counted(len(photos), "photo"))
	}
	return tx.Events(k.Bool("with-private"), func(e stash.Event) error {
		bar.Step()
		line := recording.Line{Lane: e.Lane, Seq: e.Seq, ID: e.ID(), Private: lanes[e.Lane].Private}
		if !told[e.Lane] {
			told[e.Lane], line.Key = true, lanes[e.Lane].Key
		}
		if utf8.Valid(e.Raw) {
			line.Raw = string(e.Raw)
		} else {
			line.Bytes = e.Raw
		}
		return enc.Encode(line)
	})
}
