package main

import (
	"slices"
	"strings"

	"endsmeet/stash"
)

// mayBeEmpty are the options whose empty value says something: none.
var mayBeEmpty = []string{"maker"}

// refuseBlank refuses arguments of which one is empty. A script's variable that is not set
// must not mean everything, or nothing.
func refuseBlank(words ...string) error {
	for _, word := range words {
		if strings.TrimSpace(word) == "" {
			return isEmpty("an argument")
		}
	}
	return nil
}

// refuseBlank refuses an option whose value is empty.
func (o option) refuseBlank() error {
	name, value, joined := strings.Cut(o.words[0], "=")
	if len(o.words) > 1 {
		value, joined = o.words[1], true
	}
	if !joined || strings.TrimSpace(value) != "" ||
		slices.Contains(mayBeEmpty, strings.TrimLeft(name, "-")) {
		return nil
	}
	return isEmpty(name)
}

func isEmpty(what string) error {
	return stash.Refuse(stash.CodeUsage, "leave it out, or give it a value", "%s is empty", what)
}
