package main

import (
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// inOrder moves options to where the library looks for them: those of the
// program before the command, those of a command before its arguments. People
// type them last. What stands behind "--" is left as it is.
func inOrder(app *cli.App, args []string) ([]string, error) {
	if len(args) == 0 {
		return args, nil
	}
	if len(args) > 1 && args[1] == "help" {
		if err := refuseBlank(args[2:]...); err != nil {
			return nil, err
		}
	}
	if len(args) > 3 && args[1] == "help" {
		return append(append([]string{args[0]}, args[2:]...), "--help"), nil
	}
	if len(args) == 3 && args[1] == "help" {
		return []string{args[0], args[1], stash.British(args[2])}, nil
	}
	o, err := sorted(app, withUnits(args[1:]))
	if err == nil {
		err = refuseBlank(o.rest...)
	}
	if err != nil {
		return nil, err
	}
	if len(o.path) == 0 && len(o.rest) > 0 && len(o.options) > 0 && o.rest[0] != "help" {
		return nil, unknownCommand("", o.rest[0], app.Commands)
	}
	return append([]string{args[0]}, o.words()...), nil
}

// sorted tells the names of commands, the options and the other words apart.
func sorted(app *cli.App, words []string) (o ordered, err error) {
	commands, flags := app.Commands, []cli.Flag(nil)
	for i := 0; i < len(words); i++ {
		word := words[i]
		switch {
		case word == "--":
			o.rest = append(o.rest, words[i+1:]...)
			o.literal = true
			return o, nil
		case len(word) > 1 && word[0] == '-' && !isNumber(word):
			option, taken, err := readOption(app, flags, words[i:])
			if err == nil {
				err = option.refuseBlank()
			}
			if err == nil {
				err = o.add(option)
			}
			if err != nil {
				return o, err
			}
			i += taken - 1
		case len(o.rest) == 0 && find(commands, word) != nil:
			c := find(commands, word)
			o.path = append(o.path, word)
			commands, flags = c.Subcommands, c.Flags
		default:
			o.rest = append(o.rest, word)
			commands = nil
		}
	}
	return o, nil
}

// ordered is a command line by what its words are.
type ordered struct {
	global, path, options, rest []string
	given                       []string // options that hold one value
	literal                     bool     // rest stood behind "--"
}

// add takes in an option, and refuses one that holds one value and was given before.
func (o *ordered) add(one option) error {
	if name := one.single; name != "" {
		if slices.Contains(o.given, name) {
			return stash.Refuse(stash.CodeUsage, "Give it once.",
				"--%s is given twice, and holds one value.", name)
		}
		o.given = append(o.given, name)
	}
	if one.global {
		o.global = append(o.global, one.words...)
	} else {
		o.options = append(o.options, one.words...)
	}
	return nil
}

// words are the words as the library takes them. A page of help is of the command,
// whatever it was to be done to.
func (o *ordered) words() []string {
	out := slices.Concat(o.global, o.path, o.options)
	if wants(o.options, "help") || wants(o.options, "h") {
		return out
	}
	return append(out, separated(o.rest, o.literal)...)
}

// withUnits puts a unit that stands apart to its number, in an argument, a FIELD=VALUE or
// the value of an option, and parts of one quantity together: "weigh Y01 1 lb 3 oz". What
// follows "--" is left as it is.
func withUnits(words []string) []string {
	var out []string
	apart := -1 // the quantity whose unit stood apart, and of which the next may be a part
	for i, word := range words {
		if word == "--" {
			return append(out, words[i:]...)
		}
		last := len(out) - 1
		if last < 0 || !endsInNumber(out[last]) || !measure.IsUnit(word) {
			out = append(out, word)
			continue
		}
		alone := !strings.Contains(out[last], "=")
		if out[last] += " " + word; alone && apart >= 0 && apart == last-1 {
			out[apart] += " " + out[last]
			out, last = out[:last], apart
		}
		apart = last
	}
	return out
}

// endsInNumber says whether a word is a number, or a name, "=" and a number.
func endsInNumber(word string) bool {
	number := word[strings.LastIndexByte(word, '=')+1:]
	return number != "" && strings.Trim(number, "0123456789.,/½¼¾") == "" &&
		strings.ContainsAny(number, "0123456789½¼¾")
}

// separated puts "--" before arguments of which one looks like an option, or
// that stood behind one.
func separated(rest []string, literal bool) []string {
	for _, word := range rest {
		literal = literal || strings.HasPrefix(word, "-")
	}
	if literal {
		return append([]string{"--"}, rest...)
	}
	return rest
}

// option is one option with its value, and whether it is the program's own.
type option struct {
	words  []string
	global bool
	// single is its name where it holds one value; empty for a switch, and for an option
	// that may be given again.
	single string
}

// readOption reads an option at the head of words and says how many words it
// took. One that nobody declared is left for the library to refuse.
func readOption(app *cli.App, flags []cli.Flag, words []string) (option, int, error) {
	name, value, joined := strings.Cut(strings.TrimLeft(words[0], "-"), "=")
	if own := spelt(flags, name); own != "" {
		name, words = own, append([]string{"--" + own}, words[1:]...)
		if joined {
			words[0] += "=" + value
		}
	}
	flag, global := flagNamed(flags, name), false
	if flag == nil {
		flag = flagNamed(app.Flags, name)
		global = flag != nil
	}
	takesValue, isSwitch := flag != nil, false
	if flag != nil {
		_, isSwitch = flag.(*cli.BoolFlag)
	}
	if joined || !takesValue || isSwitch {
		one := option{words: words[:1], global: global}
		if joined {
			one.single = singleName(flag)
		}
		return one, 1, nil
	}
	if len(words) < 2 {
		return option{}, 0, stash.Refuse(stash.CodeUsage, "put its value after it",
			"the option --%s needs a value", name)
	}
	return option{words[:2], global, singleName(flag)}, 2, nil
}

// singleName is the name of an option that holds one value; empty for any other.
func singleName(f cli.Flag) string {
	switch f.(type) {
	case *cli.StringFlag, *cli.IntFlag:
		return f.Names()[0]
	}
	return ""
}

func flagNamed(flags []cli.Flag, name string) cli.Flag {
	for _, f := range flags {
		for _, n := range f.Names() {
			if n == name {
				return f
			}
		}
	}
	return nil
}

func find(commands []*cli.Command, name string) *cli.Command {
	for _, c := range commands {
		if c.HasName(name) {
			return c
		}
	}
	return nil
}

// isNumber says whether a word is a negative number, which is an argument.
func isNumber(word string) bool {
	return len(word) > 1 && word[1] >= '0' && word[1] <= '9'
}

// wants says whether the program was given one of its own switches, also where
// the command line could not be read.
func wants(args []string, name string) bool {
	for _, a := range args {
		if a == "--" {
			return false
		}
		if strings.HasPrefix(a, "-") && strings.TrimLeft(a, "-") == name {
			return true
		}
	}
	return false
}
