package main

import (
	"cmp"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
)

// formerly are words by which a command may be sought, with what it is called.
var formerly = map[string]string{
	"brief": "project", "second": "another", "rest": "loom", "allot": "share", "spoil": "discard",
	"buy": "receive", "add": "receive",
	"remove": "discard", "delete": "retire", "edit": "set", "scale": "weigh", "settings": "config",
	"label": "card", "new": "receive", "find": "list", "search": "list", "stock": "list",
	"inventory": "stocktake",
}

// nearestCommand is what to type in the place of a word that is no command.
func nearestCommand(of, word string, commands []*cli.Command) string {
	var names []string
	for _, c := range commands {
		if !c.Hidden {
			names = append(names, c.Name)
		}
	}
	near, found := stash.Nearest(word, names)
	meant := formerly[strings.ToLower(strings.TrimSpace(of+" "+word))]
	if meant != "" {
		near, found = meant, true
	}
	if within := commandsWithin(of, word, commands); len(within) > 0 && meant == "" {
		return "did you mean " + strings.Join(within, " or ") + "?"
	}
	if !found {
		return "`endsmeet help" + of + "` lists them"
	}
	return "did you mean `endsmeet" + of + " " + near + "`? `endsmeet help" + of + "` lists them"
}

// commandsWithin are the commands of other commands that are called by a word.
func commandsWithin(of, word string, commands []*cli.Command) []string {
	var out []string
	for _, c := range commands {
		if c.Hidden || c.Name == "help" { // the library's is a command of itself
			continue
		}
		name := of + " " + c.Name
		if sub := find(c.Subcommands, strings.ToLower(word)); sub != nil {
			out = append(out, "`endsmeet"+name+" "+sub.Name+"`")
		}
		out = append(out, commandsWithin(name, word, c.Subcommands)...)
	}
	return out
}

// nearestPage is what help is likely wanted on, in the place of a word on which it has
// no page.
func nearestPage(word string, commands []*cli.Command) string {
	var names []string
	for _, c := range commands {
		names = append(names, c.Name) // topics are commands too
	}
	if near, found := stash.Nearest(word, names); found {
		return "did you mean `endsmeet help " + near + "`? `endsmeet help` lists all pages"
	}
	return "`endsmeet help` lists all pages"
}

// nearestOption is the option of a command that is most like a word; where facts are set
// as FIELD=VALUE, the word may be a field.
func nearestOption(c *cli.Context, word string) string {
	field, value, _ := strings.Cut(word, "=")
	if strings.Contains(c.Command.ArgsUsage, "FIELD=VALUE") {
		for _, what := range []stash.What{stash.WhatPackage, stash.WhatYarn, stash.WhatProject, stash.WhatPerson} {
			if _, err := stash.FieldOf(what, field); err == nil {
				return "write " + field + "=" + cmp.Or(value, "VALUE") + "; "
			}
		}
	}
	var names []string
	for _, f := range slices.Concat(c.Command.Flags, c.App.Flags) {
		names = append(names, "--"+f.Names()[0])
	}
	return stash.DidYouMean("--"+word, names)
}

// spelt is the name of an option where it was typed as in the United States,
// else nothing.
func spelt(flags []cli.Flag, name string) string {
	if own := stash.British(name); own != name && flagNamed(flags, own) != nil {
		return own
	}
	return ""
}
