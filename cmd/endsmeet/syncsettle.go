package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/replica"
	"endsmeet/stash/sqlite"
)

func syncSettleCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "settle", ArgsUsage: "[NAME FIELD]",
		Usage: "Say which value is right where two machines disagree.",
		Description: "On its own, lists what two machines disagree about, the value shown now\n" +
			"first. With a name and a field, --take N keeps the N-th value.\n" +
			"`set NAME FIELD=VALUE` settles it too, with any value.",
		Flags: recorded(&cli.IntFlag{Name: "take",
			Usage: "keep the value with the number `N` in the list"}),
		Action: action(e, 0, 2, syncSettle),
	}
}

func syncSettle(k *call) error {
	r, err := k.replica()
	if err != nil {
		return err
	}
	open, err := k.openQuestions(r)
	if err != nil {
		return err
	}
	if k.NArg() == 0 {
		if open == nil {
			open = []replica.Open{}
		}
		return k.told(k.answer(open, func(w io.Writer) { show.PrintOpen(w, open, k.env.now()) }))
	}
	if k.NArg() == 1 {
		return stash.Refuse(stash.CodeUsage, "endsmeet sync settle NAME FIELD", "say which field")
	}
	return k.act(func(tx *sqlite.Tx) error {
		o, err := k.toSettle(tx, open, k.Args().Get(0), k.Args().Get(1))
		if err != nil {
			return err
		}
		value := o.Values[k.Int("take")-1]
		if len(o.Events) > 0 {
			return k.keepOne(tx, o)
		}
		if err := tx.SetFacts(o.What, o.Subject, stash.Fields{o.Field: value}); err != nil {
			return err
		}
		return k.answer(show.QuestionSettled{Subject: o.Subject, Field: o.Field, Value: value},
			func(w io.Writer) {
				fmt.Fprintf(w, "%s of %s is %s on every machine\n", o.Field, stash.Clean(o.Name),
					stash.Clean(stash.FactWords(o.What, o.Field, value)))
			})
	})
}

// keepOne keeps one event and takes the others back.
func (k *call) keepOne(tx *sqlite.Tx, o replica.Open) error {
	keep := k.Int("take") - 1
	for i, id := range o.Events {
		if i == keep {
			continue
		}
		e, found, err := tx.EventNamed(id.String())
		if err != nil || !found {
			return err
		}
		events, err := tx.ActNamed(e.ActOf())
		if err != nil {
			return err
		}
		if _, err := k.undoAct(tx, events); err != nil {
			return err
		}
	}
	return k.answer(show.QuestionSettled{Subject: o.Subject, Field: o.Field, Value: o.Values[keep]},
		func(w io.Writer) {
			fmt.Fprintf(w, "the %s of %s is that of %s, %s\n", o.Field,
				stash.Clean(o.Name),
				stash.Clean(o.By[keep]), stash.Clean(stash.FactWords(o.What, o.Field, o.Values[keep])))
		})
}

// toSettle finds the disagreement about a field.
func (k *call) toSettle(tx *sqlite.Tx, open []replica.Open, name, field string) (replica.Open,
	error) {
	t, unknown := findTarget(tx, name)
	for _, o := range open {
		named := strings.EqualFold(o.Name, name) || len(name) >= 4 &&
			strings.HasPrefix(string(o.Subject), name) || unknown == nil && t.is(o.Subject)
		if len(o.Values) == 0 || !named || o.Field != field {
			continue
		}
		if !k.IsSet("take") {
			return o, stash.Refuse(stash.CodeUsage, "--take 1 keeps the one that is shown now",
				"say which of the values of %s is right: --take N\n%s", stash.Clean(field),
				show.ValueLines(o, k.env.now()))
		}
		if n := k.Int("take"); n < 1 || n > len(o.Values) {
			return o, stash.Refuse(stash.CodeInput, "`endsmeet sync settle` lists them",
				"there are %d values, none with the number %d", len(o.Values), n)
		}
		return o, nil
	}
	return replica.Open{}, stash.Refuse(stash.CodeUnknown,
		"`endsmeet sync settle` lists what there is", "nobody disagrees about %s of %q",
		stash.Clean(field), stash.Clean(name))
}
