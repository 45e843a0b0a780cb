package learn

import (
	"encoding/json"
	"strings"
	"testing"

	"endsmeet/planner"
	"endsmeet/stash"
)

// Every finish of an edge that a project can ask for reaches the plan, and every finish
// that the planner has can be asked for.
func TestEveryFinishThatAProjectAsksForIsPlanned(t *testing.T) {
	reached := map[planner.EdgeFinish]string{}
	for _, f := range stash.FieldsOf(stash.WhatProject) {
		if !strings.HasSuffix(f.Name, "_edges") {
			continue
		}
		var b stash.ProjectFacts
		if err := json.Unmarshal([]byte(`{"`+f.Name+`":1}`), &b); err != nil {
			t.Fatal(err)
		}
		before := len(reached)
		for finish, n := range EdgesOf(b, stash.DefaultSettings()).Finished {
			if n == 1 {
				reached[planner.EdgeFinish(finish)] = f.Name
			}
		}
		if len(reached) != before+1 {
			t.Errorf("%s finishes no edge of its own: %v", f.Name, reached)
		}
	}
	if len(reached) != int(planner.Finishes) {
		t.Errorf("of %d finishes a project can ask for %v", planner.Finishes, reached)
	}
}
