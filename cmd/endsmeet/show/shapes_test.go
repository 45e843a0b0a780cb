package show

import (
	"encoding/json"
	"strings"
	"testing"

	"endsmeet/planner/search"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// A field of a project has its own name in JSON, with its unit, and no other's.
func TestProjectsFieldsKeepTheirNamesInJSON(t *testing.T) {
	seen, united := map[string]bool{}, 0
	for _, f := range stash.FieldsOf(stash.WhatProject) {
		if name := f.JSON; name != "" {
			words := strings.Split(f.Name, "_")
			for _, word := range strings.Split(name, "_") {
				if len(words) > 0 && word == words[0] {
					words = words[1:]
				}
			}
			if united++; len(words) > 0 || seen[name] {
				t.Errorf("%q is %q in JSON", f.Name, name)
			}
			seen[name] = true
		}
		// A quantity is a number that is shown in units.
		if f.Show != nil && f.JSON == "" {
			t.Errorf("%q is a quantity and names no unit in JSON", f.Name)
		}
	}
	if united == 0 {
		t.Fatal("no fields with a unit")
	}
}

// A project of each kind of fringe is proposed with its fringe.
func TestEveryFringeIsInWhatAnAnswerProposes(t *testing.T) {
	for _, f := range stash.Fringes {
		var a search.Answer
		if err := json.Unmarshal([]byte(`{"`+f.Field+`":120}`), &a.Project); err != nil {
			t.Fatal(err)
		}
		got := strings.Join(projectAddWords(a, measure.Metric), " ")
		if !strings.Contains(got, "--"+f.Field+" 12cm") {
			t.Errorf("%s: %s", f.Field, got)
		}
	}
}
