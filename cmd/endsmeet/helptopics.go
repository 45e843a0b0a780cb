package main

import (
	"cmp"
	"context"
	"embed"
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// helpText is what help says in prose, a file for each topic, and the examples of commands.
//
//go:embed help
var helpText embed.FS

// topic is a page of help that is not about a command: help/NAME.txt, and what the program
// lists in it.
type topic struct {
	name, usage string
	list        func() string
}

// helpTopics explain how the program reckons, and list the words that a field takes where
// there are too many of them for an error.
var helpTopics = []topic{
	{"fibres", "names of fibres", fibreEntries},
	{"counts", "counts and their bases", baseEntries},
	{"sett", "sett and reed", nil},
	{"losses", "take-up, draw-in, shrinkage, stretch, loom waste", nil},
	{"chance", "how sure an answer is", nil},
	{"people", "rules about people", nil},
	{"machines", "several machines with one stash", nil},
	{"sheets", "spreadsheets in and out", nil},
	{"settings", "the settings", settingEntries},
	{"environment", "variables of the shell that the program reads", nil},
	{"exit-codes", "how a command tells a script what came of it", exitEntries},
	{"sql", "tables for a database program or a spreadsheet", relationEntries},
	{"json", "answers for a program to read", nil},
	{"sources", "where formulas and figures are from", nil},
	{"changes", "what is new in which version", nil},
}

// page is the topic as it is printed. Of its file a line with a tab is an entry, one that begins
// with two spaces is a command or a row and stays as it is, {{list}} is what the program lists;
// every other is a paragraph.
func (t topic) page() string {
	var b strings.Builder
	for line := range strings.SplitSeq(strings.TrimSuffix(helpFile(t.name), "\n"), "\n") {
		switch name, text, isEntry := strings.Cut(line, "\t"); {
		case isEntry:
			b.WriteString(entry(name, text))
		case line == "{{list}}":
			b.WriteString(t.list())
		case line == "", strings.HasPrefix(line, "  "):
			b.WriteString(line + "\n")
		default:
			b.WriteString(show.Wrap(line, "", show.PageWidth))
		}
	}
	return b.String()
}

// helpFile is the text of a file of help; a test reads every one.
func helpFile(name string) string {
	text, err := helpText.ReadFile("help/" + name + ".txt")
	if err != nil {
		return err.Error()
	}
	return string(text)
}

// topicCommands are the topics as commands that help finds and lists nowhere
// else. As a command each prints its page.
func topicCommands(e *environment) []*cli.Command {
	var out []*cli.Command
	for _, t := range helpTopics {
		out = append(out, &cli.Command{
			Name: t.name, Usage: t.usage, Hidden: true,
			Action: func(*cli.Context) error {
				_, err := io.WriteString(e.stdout, t.page())
				return err
			},
		})
	}
	return out
}

// topicPage is the page of a topic.
func topicPage(name string) (string, bool) {
	for _, t := range helpTopics {
		if t.name == name {
			return t.page(), true
		}
	}
	return "", false
}

// topicNames lists the topics.
func topicNames() string {
	var names []string
	for _, t := range helpTopics {
		names = append(names, t.name)
	}
	return strings.Join(names, ", ")
}

// helpItself is the page on help.
func helpItself() string {
	return "endsmeet help [COMMAND | TOPIC]\n" +
		"  the commands, or what one of them does and its options\n\n" +
		show.Wrap("`endsmeet help project add` tells of a command of a command; `endsmeet COMMAND --help` is the same page.", "", show.PageWidth) +
		"\ntopics\n" + topicEntries()
}

func topicEntries() string {
	var b strings.Builder
	for _, t := range helpTopics {
		b.WriteString(entry(t.name, t.usage))
	}
	return b.String()
}

func fibreEntries() string {
	var b strings.Builder
	for _, f := range fibre.All() {
		var others []string
		for _, name := range append([]string{f.EUName}, f.Synonyms...) {
			if name != "" && name != string(f.ID) {
				others = append(others, name)
			}
		}
		b.WriteString(entry(string(f.ID), cmp.Or(strings.Join(others, ", "), "-")))
	}
	return b.String()
}

func baseEntries() string {
	var b strings.Builder
	for _, base := range measure.Bases() {
		b.WriteString(entry(base.String(), base.Name()+": "+base.Definition()))
	}
	return b.String()
}

func settingEntries() string {
	var b strings.Builder
	for _, f := range stash.FieldsOf(stash.WhatSettings) {
		text := f.About()
		if f.Help != "" {
			text = strings.TrimSpace(fmt.Sprintf("%s (such as %s)", text, f.Help))
		}
		b.WriteString(entry(f.Name, text))
	}
	return b.String()
}

// relationEntries are the tables of the file that other programs may read.
func relationEntries() string {
	var b strings.Builder
	relations, err := sqlite.Relations(context.Background())
	if err != nil {
		return err.Error() + "\n"
	}
	for _, r := range relations {
		b.WriteString(entry(r.Name, strings.Join(r.Columns, ", ")))
	}
	return b.String()
}
