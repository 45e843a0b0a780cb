package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
)

// completing is the word by which a shell asks what could come next. It is
// answered before any command is looked at, so that nothing is ever recorded.
const completing = "__complete"

// candidate is a word that could come next, and a few words about it.
type candidate struct{ value, about string }

// completer knows what stands on a command line before the word that is typed.
type completer struct {
	env      *environment
	ctx      context.Context
	app      *cli.App
	stash    string
	command  *cli.Command // nil before a command stands there
	commands []*cli.Command
	flags    []cli.Flag
	help     bool     // whether help is asked on what follows
	given    []string // the arguments so far
	literal  bool     // whether "--" stood there
}

// complete answers `__complete SHELL WORD ...`, of which the last word is the one being
// typed: for zsh and fish in its quotes, which may be open, for PowerShell behind "=", since
// some versions leave an empty word out; or for bash `__complete bash LINE`. Whatever is
// wrong, it says nothing.
func complete(ctx context.Context, e *environment, args []string) {
	if len(args) == 0 {
		return
	}
	ctx, stop := context.WithTimeout(ctx, time.Second)
	defer stop()
	shell, words, open, from := args[0], args[1:], rune(0), 0
	if shell == "bash" {
		words, open, from = shellSplit(strings.Join(words, " "))
		words = words[1:]
	}
	if len(words) == 0 {
		words = []string{""}
	}
	last := &words[len(words)-1]
	switch shell {
	case "zsh", "fish":
		typed, _, _ := shellSplit(*last)
		*last = typed[len(typed)-1]
	case "powershell":
		*last = strings.TrimPrefix(*last, "=")
	}
	c := &completer{env: e, ctx: ctx, app: newApp(e), stash: e.stashPath("")}
	for _, found := range c.candidates(words) {
		value, about := found.value, found.about
		if shell == "bash" && value != "" {
			value, about = bashWord(value, *last, open, from), ""
		}
		fmt.Fprintf(show.Document(e.stdout), "%s\t%s\n", oneLine(value), oneLine(about))
	}
}

// oneLine keeps what is printed a line of two columns.
func oneLine(s string) string { return strings.ReplaceAll(show.Harmless(s), "\n", " ") }

// candidates are the words that begin with the last of words.
func (c *completer) candidates(words []string) []candidate {
	last := len(words) - 1
	waiting := c.read(words[:last])
	now := words[last]
	var all []candidate
	switch name, value, joined := strings.Cut(now, "="); {
	case waiting != nil:
		all = c.valuesOf(waiting, now)
	case !c.literal && strings.HasPrefix(now, "-") && joined:
		if f := c.flag(strings.TrimLeft(name, "-")); f != nil {
			all = prefixed(name+"=", c.valuesOf(f, value))
		}
	case !c.literal && strings.HasPrefix(now, "-"):
		all = c.options()
	case len(c.commands) > 0 && len(c.given) == 0:
		all = c.commandWords()
	case c.command != nil && !c.help:
		all = c.arguments(now)
	}
	return beginning(all, now)
}

// read goes over the words that stand before and gives the option that the
// next word is the value of, if it is one.
func (c *completer) read(words []string) cli.Flag {
	c.commands = c.app.Commands
	for i := 0; i < len(words); i++ {
		word := words[i]
		switch {
		case c.literal:
			c.given = append(c.given, word)
		case word == "--":
			c.literal = true
		case len(word) > 1 && word[0] == '-' && !isNumber(word):
			name, value, joined := strings.Cut(strings.TrimLeft(word, "-"), "=")
			f := c.flag(name)
			if !joined && takesValue(f) {
				if i++; i == len(words) {
					return f
				}
				value = words[i]
			}
			if name == "stash" && value != "" {
				c.stash = value
			}
		default:
			c.readWord(word)
		}
	}
	return nil
}

// readWord takes a word for a command, or for an argument of one.
func (c *completer) readWord(word string) {
	if word == "help" && c.command == nil && !c.help {
		c.help = true
		return
	}
	found := find(c.commands, word)
	if found == nil || len(c.given) > 0 {
		c.given, c.commands = append(c.given, word), nil
		return
	}
	c.command, c.commands, c.flags = found, found.Subcommands, found.Flags
}

func (c *completer) flag(name string) cli.Flag {
	if f := flagNamed(c.flags, name); f != nil {
		return f
	}
	return flagNamed(c.app.Flags, name)
}

// takesValue says whether the word after an option is its value.
func takesValue(f cli.Flag) bool {
	_, isSwitch := f.(*cli.BoolFlag)
	return f != nil && !isSwitch
}

func (c *completer) options() []candidate {
	var out []candidate
	for _, f := range append(append([]cli.Flag(nil), c.flags...), c.app.Flags...) {
		if _, usage, ok := optionWords(f); ok {
			out = append(out, candidate{"--" + f.Names()[0], usage})
		}
	}
	return append(out, candidate{"--help", "what the command does, and its options"})
}

// commandWords are the commands that could come next; of help also the topics.
func (c *completer) commandWords() []candidate {
	var out []candidate
	for _, one := range c.commands {
		if !one.Hidden || c.help {
			out = append(out, candidate{one.Name, one.Usage})
		}
	}
	if c.command == nil && !c.help {
		out = append(out, candidate{"help", "Tell what a command does."})
	}
	return out
}

func prefixed(front string, all []candidate) []candidate {
	for i := range all {
		if all[i].value != "" {
			all[i].value = front + all[i].value
		}
	}
	return all
}

// beginning keeps what begins like the word typed, in any letter case. Words
// that have no value, which stand for files, stay.
func beginning(all []candidate, now string) []candidate {
	var out []candidate
	for _, c := range all {
		if len(c.value) >= len(now) && strings.EqualFold(c.value[:len(now)], now) || c.value == "" {
			out = append(out, c)
		}
	}
	return out
}
