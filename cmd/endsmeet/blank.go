package main

import (
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
)

// mayBeEmpty are the options whose empty value says something: none.
var mayBeEmpty = []string{"maker"}

// refuseBlank refuses an argument and the value of an option in which nothing is. A
// script's variable that is not set must not mean everything, or nothing.
func refuseBlank(app *cli.App, words []string) error {
	for i, word := range words {
		option, isOption := "", false
		value := word
		if i > 0 {
			option, isOption = strings.CutPrefix(words[i-1], "--")
			isOption = isOption && option != "" && !strings.Contains(option, "=")
		}
		if name, given, is := strings.Cut(word, "="); is && strings.HasPrefix(name, "--") {
			option, isOption, value = name[2:], true, given
		}
		if strings.TrimSpace(value) != "" || isOption && slices.Contains(mayBeEmpty, option) {
			continue
		}
		what := "an argument"
		if isOption && !switches(app, words[:i], option) {
			what = "--" + option
		}
		return stash.Refuse(stash.CodeUsage, "leave it out, or give it a value",
			"%s is empty", what)
	}
	return nil
}

// switches says that an option of the command that words call takes no value.
func switches(app *cli.App, words []string, option string) bool {
	commands, flags := app.Commands, app.Flags
	for _, word := range words {
		if c := find(commands, word); c != nil {
			commands, flags = c.Subcommands, append(slices.Clone(app.Flags), c.Flags...)
		}
	}
	return slices.ContainsFunc(flags, func(f cli.Flag) bool {
		_, is := f.(*cli.BoolFlag)
		return is && slices.Contains(f.Names(), option)
	})
}
