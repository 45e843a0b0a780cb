package show

import (
	"strings"
	"testing"

	"endsmeet/stash"
)

// A field of a project has its own name in JSON, with its unit, and no other's.
func TestProjectsFieldsKeepTheirNamesInJSON(t *testing.T) {
	if len(projectUnits) == 0 {
		t.Fatal("no fields with a unit")
	}
	fields := map[string]bool{}
	for _, f := range stash.FieldsOf(stash.WhatProject) {
		fields[f.Name] = true
	}
	for field, name := range projectUnits {
		words := strings.Split(field, "_")
		for _, word := range strings.Split(name, "_") {
			if len(words) > 0 && word == words[0] {
				words = words[1:]
			}
		}
		if !fields[field] || len(words) > 0 || name == field {
			t.Errorf("%q is %q in JSON", field, name)
		}
	}
}
