package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"charm.land/huh/v2"

	"endsmeet/stash"
)

// insistOption is the option that has a value recorded which looks like a slip.
const insistOption = "as-read"

// asRead refuses a value that looks like a slip, as a sentence says, unless --as-read
// insists. It is the one way in which any command asks about one.
func (k *call) asRead(slip string) error {
	if insists := k.Bool(insistOption); insists || slip == "" {
		return nil
	}
	return stash.Refuse(stash.CodeInput, "", "%s", slip).Unless(insistOption)
}

// credible refuses a weighing that looks like a slip.
func (k *call) credible(p stash.Package, m stash.Move) error {
	return k.asRead(p.Suspect(m, k.units))
}

// allSlips says whether errors are on nothing but slips.
func allSlips(errs []lineError) bool {
	return len(errs) > 0 && !slices.ContainsFunc(errs,
		func(err lineError) bool { return !errors.Is(err, stash.Insist(insistOption)) })
}

const recordAnyway = "Record it all the same?"

// insisted asks on a terminal whether what was refused is right after all, and runs the
// command again if it is.
func (e *environment) insisted(ctx context.Context, typed []string, err error) error {
	option, refused := insistedOn(err)
	if refused == nil || !e.mayAsk(typed) {
		return err
	}
	if err := e.confirmed(ctx, refused); err != nil {
		return err
	}
	return e.again(ctx, append(slices.Clone(typed), "--"+string(option)))
}

// insistedOn is what an error refuses that may be right, and the option that insists on
// it; nil where it is no such error.
func insistedOn(err error) (option stash.Insist, refused *stash.Error) {
	if errors.As(err, &option) {
		errors.As(err, &refused)
	}
	return option, refused
}

// confirmed asks whether what was refused is right after all, and is nil if it is.
func (e *environment) confirmed(ctx context.Context, refused *stash.Error) error {
	yes := false
	hint := strings.TrimSuffix(refused.Hint, refused.Cause.Error())
	confirm := huh.NewConfirm().Title(refused.Problem).
		Description(strings.TrimSpace(hint + "\n" + recordAnyway)).
		Affirmative("Yes").Negative("No").Value(&yes)
	switch asked := e.fill(ctx, huh.NewForm(huh.NewGroup(confirm))); {
	case errors.Is(asked, huh.ErrUserAborted):
		return stash.Refuse(stash.CodeStopped, "", "Nothing was recorded.")
	case asked == nil && !yes:
		return stash.Refuse(stash.CodeRefused, strings.TrimSpace(hint), "Nothing was recorded.")
	default:
		return asked
	}
}

// again runs a command that was made complete, and shows what could have been typed.
func (e *environment) again(ctx context.Context, full []string) error {
	app := newApp(e)
	args, err := inOrder(app, full)
	if err == nil {
		err = inOurWords(app, app.RunContext(ctx, args))
	}
	if option := stash.Insist(""); errors.As(err, &option) {
		return e.insisted(ctx, full, err)
	}
	if more := (*lacking)(nil); errors.As(err, &more) {
		return e.completed(ctx, full, err)
	}
	if err == nil || stash.CodeOf(err) != stash.CodeInput {
		fmt.Fprintf(e.stderr, "\nIn one line: %s\n", asTyped(full[1:]))
	}
	return err
}
