package main

import (
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
)

// lacking is the cause of an error on a command of which arguments or an option
// are missing: on a terminal they are asked for.
type lacking struct {
	command *cli.Command
	// path is the whole name of the command, stash the one that it was given.
	path, stash string
	// words are the placeholders of what is missing.
	words []string
}

func (l *lacking) Error() string { return "not complete" }

// tooFew is the error on a command that has fewer arguments than it needs, the
// first of which are given.
func tooFew(c *cli.Context) error {
	usage := c.Command.ArgsUsage
	words := needed(usage)
	// without an option it is needed
	if words = words[min(c.NArg(), len(words)):]; len(words) == 0 {
		words = placeholders(usage)[:1]
		usage = strings.Join(placeholders(usage), " ")
	}
	return wanting(c, stash.Refuse(stash.CodeUsage, "Write "+pathOf(c)+" "+usage, "%s.",
		sayWhat(words[0])), words...)
}

// wanting says that an error is on arguments that are missing, or on options where none
// is.
func wanting(c *cli.Context, err *stash.Error, words ...string) error {
	err.Cause = &lacking{c.Command, pathOf(c), c.String("stash"), words}
	return err
}

// askOptions has the options of asksToo asked for where somebody can be asked and none
// of some is given.
func (k *call) askOptions(unless ...string) error {
	if k.env.asked || !k.mayAsk() ||
		slices.ContainsFunc(append(unless, "from"), k.IsSet) {
		return nil
	}
	return wanting(k.Context, stash.Refuse(stash.CodeUsage, "", "Say more."))
}

// needed are the placeholders of the arguments that a command cannot do without:
// those outside brackets.
func needed(usage string) []string {
	var out []string
	depth := 0
	for word := range strings.FieldsSeq(usage) {
		depth += strings.Count(word, "[")
		if depth == 0 && word != "..." {
			out = append(out, word)
		}
		depth -= strings.Count(word, "]")
	}
	return out
}

// asking are how a placeholder is asked for and, where nobody can be asked, told
// to be named; and an example of it.
var asking = map[string]struct{ ask, say, about string }{
	"NAME": {"What is it called?", "Say what it is called", ""},
	"AMOUNT": {"How much?", "Say how much",
		"A weight, a length or all, such as 40g."},
	"WEIGHT": {"What does the scale show?", "Say the weight", "Such as 412g."},
	"WHERE": {"Where is the shared place?", "Say where the shared place is",
		"A folder, or s3://bucket/prefix."},
	"FIELD=VALUE":              {"What is to be set?", "Say what to set", ""},
	"bash|zsh|fish|powershell": {"Which shell?", "Name the shell", ""},
}

// askFor is the question for a placeholder.
func askFor(word string) string {
	if known, ok := asking[word]; ok {
		return known.ask
	}
	return "Which " + kindsIn(word) + "?"
}

// sayWhat tells to name what a placeholder stands for.
func sayWhat(word string) string {
	if known, ok := asking[word]; ok {
		return known.say
	}
	return "Name the " + kindsIn(word)
}

// kindsIn are the kinds of thing that a placeholder stands for.
func kindsIn(placeholder string) string {
	words := strings.Split(strings.ToLower(placeholder), "|")
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
