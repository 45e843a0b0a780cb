package main

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
	"endsmeet/stash/written"
)

// call is one run of a command: its options and arguments, the environment
// and, once asked for, the open stash.
type call struct {
	*cli.Context
	env   *environment
	ctx   context.Context
	store *sqlite.Store
	units measure.System
	// tell shows the answer, once what it tells of has been committed.
	tell func() error
	// toldAhead says that a date ahead of the clock was told of.
	toldAhead bool
	// status is the exit code that was asked for, nil for the usual.
	status error
	// key is what is recorded once where --once does not say.
	key string
	// heard are the options whose value was read.
	heard []string
	// aside is the folder in which what is only tried has a stash where there is none.
	aside string
	// rehearsed says that what would have been recorded was taken back.
	rehearsed bool
}

// action makes a command's function out of one that takes a call. The number
// of arguments is checked against what the command says it takes: at most
// most of them, any number where most is negative.
func action(e *environment, least, most int, do func(*call) error) cli.ActionFunc {
	return func(c *cli.Context) error {
		n := c.NArg()
		if n < least {
			return tooFew(c)
		}
		if most >= 0 && n > most {
			return tooMany(c)
		}
		k := &call{Context: c, env: e, ctx: c.Context}
		if err := cmp.Or(k.canRehearse(), k.onDisk()); err != nil {
			return err
		}
		defer k.close()
		return cmp.Or(do(k), k.unused())
	}
}

// typed reads what a person typed, in their habit of writing decimals.
func typed[T any](k *call, text string, parse func(string) (T, error)) (T, error) {
	return written.InHabit(text, k.decimals, parse)
}

// fact reads the value of a named field that a person typed.
func (k *call) fact(what stash.What, name, text string) (json.RawMessage, error) {
	return typed(k, text, func(s string) (json.RawMessage, error) { return stash.Value(what, name, s) })
}

// decimals is how the weaver writes them, by the setting; unknown where they have
// not said, or no stash can be looked at.
func (k *call) decimals() (style written.Style) {
	_ = sqlite.Peek(k.ctx, k.env.stashPath(k.String("stash")), func(tx *sqlite.Tx) error {
		settings, err := tx.Settings()
		style = written.ParseStyle(settings.Decimal)
		return err
	})
	return style
}

// canRehearse refuses --dry-run for commands that write elsewhere than in the
// stash, of which nothing could be taken back.
func (k *call) canRehearse() error {
	name := pathOf(k.Context)
	for _, elsewhere := range []string{"sync", "export", "backup", "restore", "demo"} {
		if k.Bool("dry-run") && strings.HasPrefix(name, "endsmeet "+elsewhere) {
			return stash.Refuse(stash.CodeUsage, "leave --dry-run out",
				"%s writes elsewhere than in the stash and cannot only be tried", name)
		}
	}
	return nil
}

// tooMany is the error on a command that has more arguments than it takes.
func tooMany(c *cli.Context) error {
	if len(c.Command.Subcommands) > 0 {
		return noCommand(c)
	}
	extra := c.Args().Get(c.NArg() - 1)
	if _, err := measure.ParseMass(extra); err == nil && flagNamed(c.Command.Flags, "gross") != nil {
		hint := "write --gross " + stash.Quote(extra) + " with its cone or tube"
		if flagNamed(c.Command.Flags, "net") != nil {
			hint += ", or --net " + stash.Quote(extra)
		}
		return stash.Refuse(stash.CodeUsage, hint, "%q is a weight without its option",
			stash.Clean(extra))
	}
	if name, value, named := strings.Cut(extra, "="); named && flagNamed(c.Command.Flags, name) != nil {
		return stash.Refuse(stash.CodeUsage, "write --"+name+" "+stash.Quote(value),
			"%q is an option here", stash.Clean(extra))
	}
	whole := strings.Join(c.Args().Slice(), " ")
	plain := !strings.HasPrefix(whole, "-") && !strings.ContainsAny(whole, "`'$\n")
	if words := placeholders(c.Command.ArgsUsage); plain && len(words) == 1 && c.NArg() > 1 {
		return stash.Refuse(stash.CodeUsage, "If that is one name, put it in quotes: `"+
			stash.Command(strings.TrimPrefix(pathOf(c), "endsmeet "), whole)+"`",
			"%q is one word too many.", stash.Clean(extra))
	}
	return stash.Refuse(stash.CodeUsage, "Write "+strings.TrimSpace(pathOf(c)+" "+c.Command.ArgsUsage)+
		". `"+helpOn(c)+"` tells more.", "%q is one word too many.", stash.Clean(extra))
}

func (k *call) close() {
	if k.store != nil {
		_ = k.store.Close()
	}
	if k.aside != "" {
		_ = os.RemoveAll(k.aside)
	}
}

// open opens the stash once.
func (k *call) open() (*sqlite.Store, error) {
	if k.store != nil {
		return k.store, nil
	}
	o := k.env.options()
	o.Renewing = k.renewing
	path, err := k.place()
	if err != nil {
		return nil, err
	}
	s, err := sqlite.Open(k.ctx, path, o)
	k.store = s
	return s, err
}

// place is the file of the stash. What is only tried makes none: where there is none, it is
// tried on one aside, which close takes away.
func (k *call) place() (string, error) {
	path := k.env.stashPath(k.String("stash"))
	_, err := os.Stat(path)
	if !k.Bool("dry-run") || !errors.Is(err, os.ErrNotExist) || sqlite.WasHere(path) != nil {
		return path, nil
	}
	k.aside, err = os.MkdirTemp("", "endsmeet-tried-*")
	return filepath.Join(k.aside, filepath.Base(path)), err
}

// renewing shows how far a stash of another version is brought up to date.
func (k *call) renewing(events int) func(done bool) {
	bar := k.counting("An older stash is made ready, once", events)
	return func(done bool) {
		if done {
			bar.Done()
			return
		}
		bar.Step()
	}
}

// stopped says of a transaction that Ctrl-C broke off that nothing of it stays.
func (k *call) stopped(err error) error {
	if err == nil || k.ctx.Err() == nil {
		return err
	}
	e := stash.Refuse(stash.CodeStopped, "give the command again when you like",
		"stopped; nothing was recorded")
	e.Cause = err
	return e
}

// told shows the answer of a transaction that ended well.
func (k *call) told(err error) error {
	if err == nil && k.tell != nil {
		if err = k.unused(); err == nil {
			err = k.tell()
		}
	}
	if err == nil && k.Bool("dry-run") && k.rehearsed {
		k.note("only tried: nothing was recorded")
	}
	return cmp.Or(err, k.status)
}

// view reads in one transaction. A stash that was named and is not there is an
// error: it is more likely misspelt than new.
func (k *call) view(do func(*sqlite.Tx) error) error {
	if k.String("once") != "" || k.String("on") != "" {
		return stash.Refuse(stash.CodeUsage,
			"Leave --on and --once out, or say what to record: `"+helpOn(k.Context)+"`.",
			"So given, %s records nothing.", pathOf(k.Context))
	}
	if named := k.String("stash"); named != "" && k.store == nil {
		if _, err := os.Stat(named); errors.Is(err, os.ErrNotExist) &&
			sqlite.WasHere(named) == nil {
			return stash.Refuse(stash.CodeUnknown,
				"the first `endsmeet receive` makes one; check the name", "there is no stash %s",
				stash.Clean(named))
		}
	}
	s, err := k.open()
	if err != nil {
		return err
	}
	return k.told(s.View(k.ctx, func(tx *sqlite.Tx) error { return k.withSettings(tx, do) }))
}

func (k *call) withSettings(tx *sqlite.Tx, do func(*sqlite.Tx) error) error {
	settings, err := tx.Settings()
	if err != nil {
		return err
	}
	k.units = settings.Units
	if out, ok := k.env.stdout.(*show.Sink); ok {
		out.Plain = out.Plain || settings.Plain
		out.Comma = written.ParseStyle(settings.Decimal) == written.StyleComma
	}
	return do(tx)
}

// asJSON says whether one JSON value is wanted.
func (k *call) asJSON() bool { return k.Bool("json") }

// answer sets what is shown when the transaction has ended well: JSON, or
// text, by options that were read before.
func (k *call) answer(value any, text func(io.Writer)) error {
	k.tell = func() error {
		if k.asJSON() {
			return k.printJSON(value)
		}
		text(k.env.stdout)
		return nil
	}
	return nil
}

// answerOfShelf is answer for what is sought among the yarn on the shelf. Where none ever
// came in, it says how to begin.
func (k *call) answerOfShelf(tx *sqlite.Tx, value any, text func(io.Writer)) error {
	is, err := tx.HasPackages()
	if err != nil {
		return err
	}
	if !is {
		text = show.PrintNothingYet
	}
	return k.answer(value, text)
}

func (k *call) printJSON(value any) error {
	if k.env.answered != nil {
		k.env.answered(strings.TrimPrefix(pathOf(k.Context), "endsmeet "), value)
	}
	out := show.Document(k.env.stdout)
	if err := show.EncodeJSON(out, value, jsontext.WithIndent("  ")); err != nil {
		return err
	}
	_, err := io.WriteString(out, "\n")
	return err
}

// note tells something beside the answer, on standard error.
func (k *call) note(format string, args ...any) {
	for line := range strings.SplitSeq(show.Harmless(show.Plainly(fmt.Sprintf(format, args...))), "\n") {
		fmt.Fprint(k.env.stderr, show.HangingBy(line, "  ", k.env.errorColumns))
	}
}
