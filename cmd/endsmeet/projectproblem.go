package main

import (
	"errors"
	"strings"

	"endsmeet/planner"
	"endsmeet/stash"
)

// projectProblem tells every fault of a project in one go, with what to do.
func projectProblem(err error) error {
	var faults planner.InputErrors
	if err == nil {
		return nil
	}
	if text, ok := strings.CutPrefix(err.Error(), "fit: "); ok {
		return stash.Refuse(stash.CodeInput, "", "%s", text)
	}
	if !errors.As(err, &faults) {
		return err
	}
	var lines []string
	for _, f := range faults {
		line := "  " + f.Error()
		if f.Hint != "" {
			line += " (" + f.Hint + ")"
		}
		lines = append(lines, line)
	}
	return stash.Refuse(stash.CodeInput, "", "this project cannot be planned:\n%s",
		strings.Join(lines, "\n"))
}
