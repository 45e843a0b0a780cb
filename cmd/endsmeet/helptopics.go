package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// helpTopics are the pages of help that are not about a command: the words
// that a field takes where there are too many of them for an error.
var helpTopics = []struct {
	name, usage string
	page        func() string
}{
	{"fibres", "names of fibres", fibrePage},
	{"counts", "counts and their bases", countPage},
	{"sett", "sett and reed", settPage},
	{"losses", "take-up, draw-in, shrinkage, stretch, loom waste", lossPage},
	{"chance", "how sure an answer is", chancePage},
	{"people", "rules about people", peoplePage},
	{"machines", "several machines with one stash", syncPage},
	{"sheets", "spreadsheets in and out", sheetPage},
	{"settings", "the settings", settingPage},
	{"exit-codes", "how a command tells a script what came of it", exitCodePage},
	{"sql", "tables for a database program or a spreadsheet", sqlPage},
	{"json", "answers for a program to read", jsonPage},
	{"sources", "where formulas and figures are from", sourcesPage},
	{"changes", "what is new in which version", changesPage},
}

// topicCommands are the topics as commands that help finds and lists nowhere
// else. As a command each prints its page.
func topicCommands(e *environment) []*cli.Command {
	var out []*cli.Command
	for _, t := range helpTopics {
		out = append(out, &cli.Command{
			Name: t.name, Usage: t.usage, Hidden: true,
			Action: func(*cli.Context) error {
				_,
					err := io.WriteString(e.stdout, t.page())
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

func fibrePage() string {
	var b strings.Builder
	b.WriteString(show.Wrap("A fibre content names fibres with their shares, as in \"cotton 60, linen 40\" or \"75% wool, 25% nylon\"; one alone is all of it. "+
		"What stands in brackets is kept and read: \"wool (merino, 18.5 um)\"; another fibre there, \"cotton (rubber core)\", is a question to whoever has a rule on it. "+
		"Names and short codes of ball bands in thirteen languages will do: \"75% Schurwolle, 25% Polyamid\". A code that bands use for two things, such as EL (elastane or rubber), stays unknown. \"cotton?\" is probably cotton, \"unknown\" is not known, \"wool ?, nylon ?\" leaves the shares open.", "", show.PageWidth))
	b.WriteString("\nfibres, and what else they are called\n")
	for _, f := range fibre.All() {
		var others []string
		for _, name := range append([]string{f.EUName}, f.Synonyms...) {
			if name != "" && name != string(f.ID) {
				others = append(others, name)
			}
		}
		b.WriteString(entry(string(f.ID), orNoOther(strings.Join(others, ", "))))
	}
	return b.String()
}

func orNoOther(text string) string {
	if text == "" {
		return "-"
	}
	return text
}

func countPage() string {
	var b strings.Builder
	b.WriteString(show.Wrap("A count is a number with its base, as in \"8/2 Ne\", \"Nm 28/2\", \"34 tex\" or \"1450 yd/lb\"; a put-up will do as well: \"50 g / 125 m\". "+
		"After a comma say where it comes from and how far it may be off: \"8/2 Ne, label, 4%\". The base is never guessed.", "", show.PageWidth) +
		"\n" + show.Wrap("Without a label, cut and weigh lengths of the yarn and write each with its weight: \"3 m = 1.05 g\", or several, \"3 m = 1.05 g, 3 m = 1.07 g\". "+
		"Of several the mean is taken, with the doubt that their scatter and the last digit of the scale leave. Where a number has no base, the answer says which base agrees with such a sample.", "", show.PageWidth))
	b.WriteString("\nbases\n")
	for _, base := range measure.Bases() {
		b.WriteString(entry(base.String(), base.Name()+": "+base.Definition()))
	}
	return b.String()
}

func settingPage() string {
	var b strings.Builder
	b.WriteString(show.Wrap("`endsmeet config` shows every setting with its value, `endsmeet config NAME=VALUE` sets one, NAME=unknown puts it back.", "", show.PageWidth))
	b.WriteString("\nsettings\n")
	for _, f := range stash.FieldsOf(stash.WhatSettings) {
		text := f.About()
		if f.Help != "" {
			text = strings.TrimSpace(fmt.Sprintf("%s (such as %s)", text, f.Help))
		}
		b.WriteString(entry(f.Name, text))
	}
	return b.String()
}
