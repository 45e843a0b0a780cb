package main

import (
	"context"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/kinds"
	"endsmeet/stash"
	"endsmeet/stash/people"
)

// slipped is a word with its second letter left out, as fingers do.
func slipped(word string) string { return word[:1] + word[2:] }

// TestEveryVocabularyOffersTheWordThatWasMeant misspells each word of each list of words
// that a command takes, and looks for the right one in the answer.
func TestEveryVocabularyOffersTheWordThatWasMeant(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	d.run("receive", "moss wool", "--net", "100g", "--tag", "Y01")
	d.run("project", "add", "moss scarf")
	seen := 0
	ask := func(word string, known []string, args ...string) {
		if len(word) < 4 {
			return
		}
		wrong := slipped(word)
		if slices.Contains(known, wrong) {
			return
		}
		seen++
		for i := range args {
			args[i] = strings.ReplaceAll(args[i], "@", wrong)
		}
		d.env.stdin = strings.NewReader("")
		if code := d.try(context.Background(), args...); code == 0 ||
			!meant(d.err.String(), word, known, wrong) {
			t.Errorf("%s: ended with %d: %s", strings.Join(args, " "), code, d.err.String())
		}
	}
	walk := func(known []string, args ...string) {
		for _, word := range known {
			ask(word, known, append([]string{}, args...)...)
		}
	}
	walk(commandNames(commands(&d.env)), "@")
	walk(append(commandNames(commands(&d.env)), topicsList()...), "help", "@")
	leaves(commands(&d.env), "", func(name string, c *cli.Command) {
		if strings.HasPrefix(name, "sync") {
			return
		}
		var options []string
		for _, f := range c.Flags {
			options = append(options, f.Names()[0])
		}
		walk(options, append(strings.Fields(name), "--@")...)
	})
	for _, c := range commands(&d.env) {
		if len(c.Subcommands) > 0 {
			walk(commandNames(c.Subcommands), c.Name, "@", "x")
		}
	}
	for what, args := range map[stash.What][]string{
		stash.WhatPackage: {"set", "Y01"}, stash.WhatYarn: {"set", "Y01"},
		stash.WhatProject: {"project", "set", "moss scarf"}, stash.WhatSettings: {"config"},
	} {
		var fields []string
		for _, f := range stash.FieldsOf(what) {
			fields = append(fields, f.Name)
			if len(f.Words) > 1 {
				walk(f.Words, append(append([]string{}, args...), f.Name+"=@")...)
			}
		}
		walk(fields, append(append([]string{}, args...), "@=1")...)
	}
	walk(kindNames(kinds.Usual()), "fits", "@")
	walk([]string{"weight", "length", "count", "moved"}, "list", "--sort", "@")
	walk([]string{"yarn", "fibre"}, "worth", "--by", "@")
	var presets []string
	for _, p := range people.Presets() {
		presets = append(presets, p.Name)
	}
	walk(presets, "person", "presets", "@")
	walk(presets, "person", "add", "Wenna", "--preset", "@")
	walk([]string{"moss wool"}, "show", "@")
	walk([]string{"moss scarf"}, "plan", "@")
	if seen < 700 {
		t.Fatalf("only %d words were misspelt", seen)
	}
}

// meant says whether an answer offers a word, or another that is as near.
func meant(answer, word string, known []string, wrong string) bool {
	near, _ := stash.Nearest(wrong, known)
	_, offered, asked := strings.Cut(answer, "did you mean ")
	return asked && (strings.Contains(offered, word) || near != "" && near != word &&
		strings.Contains(offered, near))
}

func commandNames(of []*cli.Command) []string {
	var out []string
	for _, c := range of {
		if !c.Hidden {
			out = append(out, c.Name)
		}
	}
	return out
}

func topicsList() []string { return strings.Split(topicNames(), ", ") }

func TestACommandOfAnotherIsNamedInFull(t *testing.T) {
	d := newDesk(t)
	for word, want := range map[string]string{"settle": "`endsmeet sync settle`",
		"presets": "`endsmeet person presets`", "add": "`endsmeet receive`",
		"sync add": "`endsmeet sync devices add`"} {
		code := d.try(context.Background(), strings.Fields(word)...)
		if code == 0 || !strings.Contains(d.err.String(), want) {
			t.Errorf("%s: %s", word, d.err.String())
		}
	}
}
