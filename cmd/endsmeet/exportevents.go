package main

import (
	"encoding/json"
	"io"
	"unicode/utf8"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// eventLine is one line of the archive: an event verbatim with its place. Raw
// is the event's own line; Bytes holds it in base64 instead where it is not
// UTF-8. Key, in the first line of a lane, is the lane's Ed25519 public key.
// ID is the event's id, the first half of the hash over all that its lane held
// up to it, so that a line cannot be changed unnoticed.
type eventLine struct {
	Lane    stash.Lane    `json:"lane"`
	Seq     int64         `json:"seq"`
	ID      stash.EventID `json:"id"`
	Private bool          `json:"private"`
	Key     []byte        `json:"key,omitempty"`
	Raw     string        `json:"raw,omitempty"`
	Bytes   []byte        `json:"raw_base64,omitempty"`
}

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
	defer bar.done()
	if photos, err := tx.Photos(); err == nil && len(photos) > 0 {
		k.note("the pictures of %s are not among the events; --csv FOLDER carries them",
			measure.Counted(len(photos), "photo"))
	}
	return tx.Events(k.Bool("with-private"), func(e stash.Event) error {
		bar.step()
		line := eventLine{Lane: e.Lane, Seq: e.Seq, ID: e.ID(), Private: lanes[e.Lane].Private}
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
