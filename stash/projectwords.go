package stash

import (
	"encoding/json"
	"fmt"
	"strings"

	"endsmeet/stash/measure"
)

// ProjectWords shows the JSON value of a project's field as a person reads it.
// Fields that refer to other records are the caller's to show.
func ProjectWords(name string, raw json.RawMessage, units measure.System) string {
	return shownAs(WhatProject, name, raw, units)
}

// shownAs shows the JSON value of a field as its row in the table of facts says.
func shownAs(what What, name string, raw json.RawMessage, units measure.System) string {
	var n int64
	if json.Unmarshal(raw, &n) != nil {
		if words, ok := edgeWords(raw, units); ok {
			return words
		}
		return otherWords(raw)
	}
	if f, err := FieldOf(what, name); err == nil && f.Show != nil {
		return f.Show(n, units)
	}
	return fmt.Sprint(n)
}

func otherWords(raw json.RawMessage) string {
	var stripes []Stripe
	if json.Unmarshal(raw, &stripes) != nil {
		return reedsWords(raw)
	}
	var parts []string
	for _, s := range stripes {
		if s.Ends == 0 {
			parts = append(parts, s.Colour)
			continue
		}
		parts = append(parts, fmt.Sprintf("%s %d", s.Colour, s.Ends))
	}
	return strings.Join(parts, ", ")
}
