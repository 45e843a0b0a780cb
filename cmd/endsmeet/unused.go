package main

import (
	"slices"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
)

// Many commands have several forms, and an option speaks to some of them only. Which it
// is shows in the run itself: an option that was given and whose value nothing read has
// no use in this form. It is refused before anything is recorded or shown.

// answersAhead are options that answer a question which may not come up: to give one
// where it is not asked is no mistake.
var answersAhead = []string{"as-read", "force", "hems", "learn", "new", "override",
	"unusual", "yes"}

// String is the value of an option, which is read thereby.
func (k *call) String(option string) string {
	k.hear(option)
	return k.Context.String(option)
}

// Bool says whether an option was given, which is read thereby.
func (k *call) Bool(option string) bool {
	k.hear(option)
	return k.Context.Bool(option)
}

// Int is the number of an option, which is read thereby.
func (k *call) Int(option string) int {
	k.hear(option)
	return k.Context.Int(option)
}

// StringSlice is what an option was given, each time, which is read thereby.
func (k *call) StringSlice(option string) []string {
	k.hear(option)
	return k.Context.StringSlice(option)
}

func (k *call) hear(options ...string) {
	k.heard = append(k.heard, options...)
}

// optionsOf are the names of the options of a command.
func optionsOf(c *cli.Command) []string {
	var names []string
	for _, f := range c.Flags {
		names = append(names, f.Names()[0])
	}
	return names
}

// unused refuses an option that was given and that nothing has read.
func (k *call) unused() error {
	if k.Command.Name == k.App.Name {
		return nil // its options are everybody's
	}
	given := k.LocalFlagNames()
	for _, name := range optionsOf(k.Command) {
		if !slices.Contains(given, name) || slices.Contains(k.heard, name) || slices.Contains(answersAhead, name) {
			continue
		}
		return stash.Refuse(stash.CodeUsage, "Leave it out: `"+helpOn(k.Context)+"` says what it is for.",
			"So given, %s does not use --%s.", pathOf(k.Context), name)
	}
	return nil
}
