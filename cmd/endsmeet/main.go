// Command endsmeet keeps a hand-weaver's stash of yarn and says whether what
// is left makes another piece. It declares options, reads the stash, calls the
// domain and has package show print; it holds no rules and no SQL.
//
// # Where things are
//
//	NAME.go            the command NAME (plan.go, use.go); NAMEtext.go and other NAMEs begin with it
//	commands.go        the list of commands; app.go, call.go, order.go, unused.go what each goes through
//	record.go, dates.go, figures.go, fields.go  --on, --once, --note; days; figures; facts typed
//	shelf.go, item.go, findperson.go, gate.go   what many commands read; the question to the gate
//	lacking.go, ask.go, askchoices.go, lines.go what is missing, asked for
//	report.go, exitcodes.go, nearest.go, slip.go, blank.go  errors, codes, words that were meant, slips
//	helppage.go, helptopics.go, helpgroups.go, examples.go, manpage.go
//	completion.go, completing.go, completionvalues.go, shellsplit.go, yourshell.go  Tab
//	environment.go     what of the world outside a test sets; listened.go, progress.go, writenew.go, writefolder.go
package main

import (
	"context"
	"os"
	"os/signal"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := run(ctx, systemEnvironment(), os.Args)
	stop()
	os.Exit(code)
}
