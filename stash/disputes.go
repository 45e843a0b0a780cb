package stash

import (
	"encoding/json"
	"strings"
)

// FactWords are a value of a fact as people write it.
func FactWords(what What, field string, value json.RawMessage) string {
	var text string
	switch {
	case string(value) == "null":
		return "not recorded"
	case json.Unmarshal(value, &text) == nil:
		return text
	case what == WhatSettings:
		return SettingWords(field, value)
	}
	return strings.TrimPrefix(ValueText(what, field, value), "json:")
}

// DisputeWords say between which values of a fact machines disagree, the one that counts
// first, and what settles it.
func DisputeWords(what What, name, field string, values []json.RawMessage) string {
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = FactWords(what, field, v)
	}
	return "your machines disagree about " + field + ": " + strings.Join(words, ", or ") +
		"; " + Settling(name, field)
}

// Settling is the command that settles between which values of a fact machines disagree.
func Settling(name, field string) string {
	return Command("sync settle --take N", name, field)
}

// Disputed marks a value that machines disagree about.
func Disputed(value string) string {
	if value == "" {
		value = "not recorded"
	}
	return value + " (disputed)"
}
