package main

import (
	"encoding/json"
	"fmt"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
)

// report tells an error on standard error and gives the exit code.
func report(e *environment, err error, asJSON bool) int {
	if status, ok := statusOf(err); ok {
		return status
	}
	err = show.CutShort(err)
	code := stash.CodeOf(err)
	if asJSON {
		raw, _ := json.Marshal(map[string]show.Problem{"error": {Code: code,
			Message: show.Plainly(show.MessageOf(err)), Hint: show.HintOf(err)}})
		fmt.Fprintln(e.stderr, string(raw))
	} else {
		text := show.Harmless(show.Plainly(err.Error()))
		if e.errorColumns > 0 {
			text = show.ToRead(err)
		}
		for line := range strings.SplitSeq("endsmeet: "+text, "\n") {
			fmt.Fprint(e.stderr, show.HangingBy(line, "  ", e.errorColumns))
		}
	}
	if exit, ok := exitCodes[code]; ok {
		return exit
	}
	return exitRefused
}
