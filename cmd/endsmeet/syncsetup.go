package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"golang.org/x/term"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/replica"
	"endsmeet/stash/replica/exchange"
	"endsmeet/stash/replica/format"
)

// phraseVariable is the environment variable that a pass-phrase, or a code for
// joining, is taken from where nobody can be asked.
const phraseVariable = "ENDSMEET_PASSPHRASE"

func syncSetup(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	if err := folderThere(k.Args().First()); err != nil {
		return err
	}
	k.noteForeign(k.Args().First())
	phrase, err := k.newPhrase("pass-phrase for the shared place")
	if err != nil {
		return err
	}
	k.working("making the keys ...")
	code, err := r.Setup(k.ctx, k.Args().First(), phrase, k.String("name"))
	if err != nil && code == "" {
		return err
	}
	if err != nil {
		k.note("the shared place is not complete: %v; `endsmeet sync` goes on with it", err)
	} else if _, err := k.exchange(r); err != nil {
		return err
	}
	return k.told(k.answer(show.PlaceMade{Place: absolutePlace(k.Args().First()), Code: code},
		func(w io.Writer) {
			fmt.Fprintf(w, "the shared place is set up in %s\n",
				stash.Clean(absolutePlace(k.Args().First())))
			show.PrintCode(w, code)
			fmt.Fprintln(w, "On another machine: `endsmeet sync join WHERE`, with the pass-phrase.")
		}))
}

// folderThere refuses a folder that is not there; none is ever made, since it
// may be a stick that is not plugged in.
func folderThere(text string) error {
	if !folderMissing(text) {
		return nil
	}
	return stash.Refuse(stash.CodeInput, "make it first, or plug in what holds it",
		"there is no folder %s", stash.Clean(absolutePlace(text)))
}

// noteForeign says that a folder in which a shared place is about to be made
// holds other things.
func (k *call) noteForeign(text string) {
	entries, err := os.ReadDir(absolutePlace(text))
	if err != nil || strings.Contains(text, "://") {
		return
	}
	foreign := slices.DeleteFunc(entries,
		func(e os.DirEntry) bool { return strings.HasPrefix(e.Name(), ".") })
	if n := len(foreign); n > 0 {
		k.note("%s holds %s already: they are left alone, and format.json, keys, dev, head and seg come next to them", stash.Clean(absolutePlace(text)), measure.Counted(n, "other name"))
	}
}

func syncJoin(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	if err := folderThere(k.Args().First()); err != nil {
		return err
	}
	err = k.askedAgain(func() error {
		typed, err := k.secret("pass-phrase, or a code")
		if err != nil {
			return err
		}
		k.working("opening the shared place ...")
		return r.Join(k.ctx, k.Args().First(), typed, k.String("name"))
	})
	if err != nil {
		return err
	}
	report, err := k.exchange(r)
	if err != nil {
		return err
	}
	err = k.told(k.answer(k.syncedShape(report, 0), func(w io.Writer) {
		fmt.Fprintln(w, "this machine takes part now; "+show.ExchangedWords(report))
		fmt.Fprintf(w, "The others call it %q: `endsmeet sync devices name NAME` changes that.\n",
			k.machineName(r))
		fmt.Fprintln(w, "`endsmeet sync fingerprint` here and on another machine should say the same.")
	}))
	if err != nil {
		return err
	}
	return missing(report)
}

// working says on a terminal what takes some seconds.
func (k *call) working(what string) {
	if k.env.stderrTTY && !k.asJSON() {
		fmt.Fprintln(k.env.stderr, what)
	}
}

// askedAgain asks up to three times where a person types: what was typed wrong
// is said at the prompt, and the next line goes to the prompt and not to the
// shell.
func (k *call) askedAgain(ask func() error) error {
	for try := 1; ; try++ {
		err := ask()
		code := stash.CodeOf(err)
		typed := k.env.stdinTTY && k.env.getenv(phraseVariable) == ""
		if err == nil || try == 3 || !typed || code != stash.CodeInput &&
			code != exchange.CodeSecret {
			return err
		}
		k.note("%v", err)
	}
}

// machineName is what this machine is called in the shared place.
func (k *call) machineName(r *replica.Replica) string {
	machines, err := r.Devices(k.ctx)
	for _, m := range machines {
		if err == nil && m.Own {
			return m.Name
		}
	}
	return "a machine"
}

// exchange exchanges, and tells what is not as it should be, also of a run that
// could not be finished.
func (k *call) exchange(r *replica.Replica) (exchange.Report, error) {
	report, err := r.Sync(k.ctx)
	k.noteReport(report)
	return report, brokenOff(err)
}

// brokenOff says in words that Ctrl-C ended it.
func brokenOff(err error) error {
	if !errors.Is(err, context.Canceled) {
		return err
	}
	return stash.Refuse(stash.CodeRefused,
		"run it again; nothing is lost, and nothing is done by halves", "broken off")
}

// secret asks for a pass-phrase without showing it, or takes it from the
// environment.
func (k *call) secret(what string) (string, error) {
	if text := k.env.getenv(phraseVariable); text != "" {
		return text, nil
	}
	f, ok := k.env.stdin.(*os.File)
	if !ok || !k.env.stdinTTY {
		return "", stash.Refuse(stash.CodeUsage, "set "+phraseVariable+", or run it in a terminal",
			"the %s cannot be asked for: there is no terminal", what)
	}
	fmt.Fprintf(k.env.stderr, "%s: ", what)
	raw, err := k.typedHidden(int(f.Fd()))
	fmt.Fprintln(k.env.stderr)
	return strings.TrimRight(string(raw), "\r\n"), brokenOff(err)
}

// typedHidden reads a line that is not shown. Ctrl-C ends the waiting and
// leaves the terminal as it was.
func (k *call) typedHidden(terminal int) ([]byte, error) {
	before, err := term.GetState(terminal)
	if err != nil {
		return nil, err
	}
	var raw []byte
	done := make(chan error, 1)
	go func() {
		var err error
		raw, err = term.ReadPassword(terminal)
		done <- err
	}()
	select {
	case err := <-done:
		return raw, err
	case <-k.ctx.Done():
		return nil, errors.Join(k.ctx.Err(), term.Restore(terminal, before))
	}
}

// newPhrase asks twice for a pass-phrase to be set, and again where it will not
// do.
func (k *call) newPhrase(what string) (phrase string, err error) {
	err = k.askedAgain(func() (err error) {
		phrase, err = k.phraseTwice(what + " (at least 10 characters)")
		return err
	})
	return phrase, err
}

func (k *call) phraseTwice(what string) (string, error) {
	first, err := k.secret(what)
	if err != nil {
		return "", err
	}
	if err := format.CheckPhrase(first); err != nil || k.env.getenv(phraseVariable) != "" {
		return first, err
	}
	second, err := k.secret("the same once more")
	if err != nil {
		return "", err
	}
	if first != second {
		return "", stash.Refuse(stash.CodeInput, "type it again", "the two are not the same")
	}
	return first, nil
}
