package main

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"regexp"
	"sync"

	"github.com/urfave/cli/v2"
)

// addOnName is what an add-on may be called.
var addOnName = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^[a-z][a-z0-9-]*$`)
})

// addOn finds the program endsmeet-NAME on PATH for a first word that is no
// command: whoever installs one adds a command.
func addOn(app *cli.App, args []string) (path string, ok bool) {
	if len(args) < 2 || args[1] == "help" || !addOnName().MatchString(args[1]) ||
		find(app.Commands, args[1]) != nil {
		return "", false
	}
	path, err := exec.LookPath("endsmeet-" + args[1])
	return path, err == nil
}

// runAddOn runs an add-on, which finds the stash in ENDSMEET_STASH, and gives its
// exit code.
func runAddOn(ctx context.Context, e *environment, path string, args []string) int {
	c := exec.CommandContext(ctx, path, args...)
	c.Stdin, c.Stdout, c.Stderr = e.stdin, e.stdout, e.stderr
	c.Env = append(os.Environ(), "ENDSMEET_STASH="+e.stashPath(""))
	err := c.Run()
	var ended *exec.ExitError
	if errors.As(err, &ended) && ended.ExitCode() >= 0 {
		return ended.ExitCode()
	}
	if err != nil {
		return report(e, err, false)
	}
	return exitDone
}
