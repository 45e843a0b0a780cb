package main

import (
	"slices"
	"strings"
	"testing"

	"endsmeet/stash"
)

// What a project is asked for first; every other of its options stands in a group.
func TestEveryOptionOfAProjectHasItsPlaceInHelp(t *testing.T) {
	t.Parallel()
	first := []string{"name", "kind", "width", "length", "sett", "picks", "structure", "pieces",
		"stretch", "washing", "due", "warp", "weft", "for", "note"}
	for _, f := range stash.FieldsOf(stash.WhatProject) {
		name := strings.ReplaceAll(f.Name, "_", "-")
		if groupOf(name) < 0 && !slices.Contains(first, name) {
			t.Errorf("--%s is in no group of the help (optionGroups)", name)
		}
	}
}
