package main

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// recorded are the options of a command that records something: its own, and
// those that all of them have.
func recorded(own ...cli.Flag) []cli.Flag {
	return append(own,
		&cli.StringFlag{Name: "on",
			Usage: "the `DATE` it happened, such as 2026-11-25 or yesterday"},
		&cli.StringFlag{Name: "once",
			Usage: "do nothing if this command was already recorded under this `KEY`"},
		&cli.BoolFlag{Name: insistOption, Usage: "take a value as it is typed, though it looks like a slip"})
}

// act records in one transaction; with --once KEY only the first time, with
// --dry-run not at all.
func (k *call) act(do func(*sqlite.Tx) error) error {
	at, err := k.when()
	if err != nil {
		return err
	}
	s, err := k.open()
	if err != nil {
		return err
	}
	if k.env.stderrTTY && k.env.getenv("ENDSMEET_STASH") != "" && k.String("stash") == "" {
		k.note("in the stash %s", s.Path())
	}
	record := s.Act
	if k.rehearsed = k.Bool("dry-run"); k.rehearsed {
		record = s.Rehearse
	}
	return k.told(k.stopped(record(k.ctx, func(tx *sqlite.Tx) error {
		if done, err := k.doneBefore(tx); done || err != nil {
			return err
		}
		tx.Begin(sqlite.Deed{At: at, Once: k.once(), Command: k.boundTo()})
		return cmp.Or(k.withSettings(tx, do), k.unused())
	})))
}

// DoneBefore says whether this very command ran before under the key of --once,
// and tells. Another command under the same key is refused.
func (k *call) doneBefore(tx *sqlite.Tx) (bool, error) {
	key := k.once()
	if key == "" {
		return false, nil
	}
	e, found, err := tx.RecordedUnder(key)
	if !found || err != nil {
		return false, err
	}
	if e.OnceFor != "" && e.OnceFor != k.boundTo() {
		name, _, _ := strings.Cut(e.OnceFor, ":")
		return false, stash.Refuse(stash.CodeRefused, "Give each command a --once KEY of its own.",
			"The key %q was used for another command: %s on %s.", stash.Clean(key),
			stash.Clean(name), e.At.In(k.env.now().Location()).Format("2006-01-02 15:04"))
	}
	k.hear(optionsOf(k.Command)...) // they were, the first time
	shape := show.DoneBefore{Once: key, Before: true, Undone: tx.Undone(e.ActOf())}
	since := ""
	if shape.Undone {
		since = ", and undone since; to record it again use another key"
	}
	k.note("nothing done: the key %q was recorded before%s", key, since)
	if k.asJSON() {
		return true, k.answer(shape, nil)
	}
	return true, nil
}

// once is the key under which the command is recorded only once, empty for none.
func (k *call) once() string { return cmp.Or(k.String("once"), k.key) }

// boundTo is what a key of --once is bound to: the words of the command, and a
// hash of all that it was given beside the key.
func (k *call) boundTo() string {
	if k.String("once") == "" {
		return ""
	}
	h := sha256.New()
	for _, f := range k.Command.Flags {
		name := f.Names()[0]
		if name == "once" || !k.Context.IsSet(name) {
			continue
		}
		if _, many := f.(*cli.StringSliceFlag); many {
			fmt.Fprintf(h, "%s=%q\n", name, k.Context.StringSlice(name))
			continue
		}
		fmt.Fprintf(h, "%s=%q\n", name, fmt.Sprint(k.Value(name)))
	}
	fmt.Fprintf(h, "%q", k.Args().Slice())
	return strings.TrimPrefix(pathOf(k.Context), "endsmeet ") + ":" +
		hex.EncodeToString(h.Sum(nil)[:8])
}
