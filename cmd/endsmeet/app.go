package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"regexp"
	"runtime/debug"
	"strings"
	"sync"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// The groups that the commands stand in.
const (
	groupYarn     = "Yarn in and out"
	groupLooking  = "Looking"
	groupMaking   = "Weaving"
	groupPeople   = "People and cloth"
	groupExchange = "Files and machines"
	groupHouse    = "This program"
)

// run runs the program and gives its exit code, one of exitMeanings.
func run(ctx context.Context, e *environment, args []string) int {
	out := &show.Sink{W: &listened{Writer: e.stdout}, Columns: e.columns, Plain: wants(args, "plain"),
		Terminal: e.stdoutTTY, Colour: e.colour}
	to := *e
	to.stdout = out
	if !e.stderrTTY { // prompts ask what is a terminal about itself
		to.stderr = &listened{Writer: e.stderr}
	}
	if len(args) > 1 && args[1] == completing {
		complete(ctx, &to, args[2:])
		return 0
	}
	app := newApp(&to)
	if path, ok := addOn(app, args); ok {
		return runAddOn(ctx, e, path, args[2:])
	}
	inLine, err := inOrder(app, args)
	if err == nil {
		err = inOurWords(app, app.RunContext(ctx, inLine))
	}
	err = to.completed(ctx, args, err)
	out.Close()
	if err := out.Lost(err); err != nil {
		return report(&to, err, wants(args, "json"))
	}
	return exitDone
}

// newApp declares the program.
func newApp(e *environment) *cli.App {
	app := &cli.App{
		Name:            "endsmeet",
		Usage:           "know what yarn you have, what is left of it, and what it still makes",
		UsageText:       "endsmeet [--stash FILE] [--json] COMMAND ...",
		Version:         version(),
		Writer:          e.stdout,
		ErrWriter:       e.stderr,
		Reader:          e.stdin,
		HideHelpCommand: false,
		// The names of yarns and the words of rules hold commas.
		DisableSliceFlagSeparator: true,
		ExitErrHandler:            func(*cli.Context, error) {},
		OnUsageError:              usageError,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "stash", Usage: "the stash `FILE` (else ENDSMEET_STASH, else the data directory)"},
			&cli.BoolFlag{Name: "json", Usage: "answer in JSON"},
			&cli.BoolFlag{Name: "plain",
				Usage: "one fact a line, no drawing, signs in words: for listening to"},
			&cli.BoolFlag{Name: "no-input", Usage: "never ask for what is missing"},
			&cli.BoolFlag{Name: "dry-run", Usage: "show what would happen; record nothing"},
		},
		Action:   glance(e),
		Commands: commands(e),
	}
	for _, c := range app.Commands {
		addManners(c, app.Name)
	}
	return app
}

// The library keeps these for all programs of a process.
func init() {
	cli.HelpPrinter = printHelp
	cli.VersionPrinter = func(c *cli.Context) {
		_, _ = io.WriteString(c.App.Writer, "endsmeet "+c.App.Version+"\n")
	}
}

// addManners gives a command and its subcommands the manners that all share.
// Path is the name of what it is a command of. It runs at every start, so that
// pages of help are made only when they are wanted.
func addManners(c *cli.Command, path string) {
	path += " " + c.Name
	c.OnUsageError = usageError
	// a project may be called h or help: `endsmeet help COMMAND` and --help are enough
	c.HideHelpCommand = true
	c.CustomHelpTemplate = path // all that printHelp needs beside the command
	for _, f := range c.Flags {
		if b, ok := f.(*cli.BoolFlag); ok {
			b.DisableDefaultText = true
		}
	}
	for _, sub := range c.Subcommands {
		addManners(sub, path)
	}
	if c.Action == nil && len(c.Subcommands) > 0 {
		c.Action = noCommand
	}
}

// noCommand answers a call without a command, or with one that is not there.
func noCommand(c *cli.Context) error {
	if word := c.Args().First(); word != "" {
		return unknownCommand(strings.TrimPrefix(pathOf(c), "endsmeet"), word, commandsOf(c))
	}
	return cli.ShowSubcommandHelp(c)
}

// unknownCommand refuses a word that is none of the commands of one, or of the program.
func unknownCommand(of, word string, commands []*cli.Command) error {
	return stash.Refuse(stash.CodeUsage, nearestCommand(of, word, commands),
		"there is no command %q", strings.TrimSpace(of+" "+stash.Clean(word)))
}

// commandsOf are the commands among which the one that runs was sought.
func commandsOf(c *cli.Context) []*cli.Command {
	if c.Command != nil && len(c.Command.Subcommands) > 0 {
		return c.Command.Subcommands
	}
	return c.App.Commands
}

func usageError(c *cli.Context, err error, _ bool) error {
	text, near := err.Error(), ""
	if name, ok := strings.CutPrefix(text, "flag provided but not defined: -"); ok {
		name = strings.TrimPrefix(name, "-")
		text, near = fmt.Sprintf("there is no option --%s", name), nearestOption(c, name)
	}
	if m := badNumber().FindStringSubmatch(text); m != nil {
		text = fmt.Sprintf("--%s %s: a whole number is wanted", m[2], m[1])
	}
	return stash.Refuse(stash.CodeUsage, near+"`"+helpOn(c)+"` tells more", "%s", stash.Clean(text))
}

// badNumber matches what the library says of an option that is no number.
var badNumber = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^invalid value (".*") for flag -([a-z-]+): `)
})

// helpOn is the command that prints the help of the command that runs.
func helpOn(c *cli.Context) string {
	return strings.Replace(pathOf(c), "endsmeet", "endsmeet help", 1)
}

// inOurWords turns an error that the library words itself, such as help on
// what is no command, into one of ours.
func inOurWords(app *cli.App, err error) error {
	var exit cli.ExitCoder
	if !errors.As(err, &exit) {
		return err
	}
	topic := strings.Trim(strings.TrimPrefix(exit.Error(), "No help topic for "), "'")
	return stash.Refuse(stash.CodeUsage, nearestPage(topic, app.Commands),
		"help has no page %q", stash.Clean(topic))
}

// release and commit are given by .ci/release; else they are what the build
// recorded.
var release, commit string

// version is the version, the commit and the version of SQLite.
func version() string {
	info, ok := debug.ReadBuildInfo()
	v, c := release, commit
	if ok && v == "" {
		v = info.Main.Version
	}
	for _, s := range settingsOf(info) {
		if s.Key == "vcs.revision" && c == "" {
			c = s.Value[:min(12, len(s.Value))]
		}
	}
	return cmp.Or(v, "unversioned") + " (commit " + cmp.Or(c, "not recorded") + ", SQLite " +
		sqlite.Version() + ")"
}

// settingsOf are what the build recorded, if anything.
func settingsOf(info *debug.BuildInfo) []debug.BuildSetting {
	if info == nil {
		return nil
	}
	return info.Settings
}
