package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
)

// helpPage is what `endsmeet help COMMAND` prints: how it is called, what it
// does, its subcommands and its options. Path is the command's full name.
func helpPage(c *cli.Command, path string) string {
	var b strings.Builder
	b.WriteString(strings.TrimSpace(path+" "+c.ArgsUsage) + "\n")
	b.WriteString(show.Wrap(c.Usage, "  ", show.PageWidth))
	if c.Description != "" {
		b.WriteString("\n")
	}
	for _, paragraph := range paragraphs(c.Description) {
		b.WriteString(show.Wrap(paragraph, "", show.PageWidth))
	}
	if subs := slices.DeleteFunc(slices.Clone(c.Subcommands), isHelp); len(subs) > 0 {
		b.WriteString("\ncommands\n")
		for _, sub := range subs {
			b.WriteString(entry(strings.TrimSpace(sub.Name+" "+sub.ArgsUsage), sub.Usage))
		}
	}
	b.WriteString(exampleLines(strings.TrimPrefix(path, "endsmeet ")))
	b.WriteString(optionEntries(c.Flags))
	b.WriteString(oneByOne(c, path))
	return b.String()
}

// oneByOne tells how a command that takes one item is given each of a list.
func oneByOne(c *cli.Command, path string) string {
	words := placeholders(c.ArgsUsage)
	if strings.Contains(c.ArgsUsage, "...") || slices.Contains(optionsOf(c), "from") ||
		!slices.ContainsFunc(words, func(w string) bool { return slices.Contains(strings.Split(w, "|"), "ITEM") }) {
		return ""
	}
	words[0] = "TAG"
	return "\nIt takes one item. For each of a list:\n  endsmeet list --ids | xargs -I TAG " + path + " " +
		strings.Join(words, " ") + "\n"
}

// paragraphs are the lines of a text, with those joined that go on in the next:
// before one that begins small, or behind a comma or a semicolon.
func paragraphs(text string) []string {
	var out []string
	for line := range strings.SplitSeq(text, "\n") {
		first, _ := utf8.DecodeRuneInString(line)
		n := len(out)
		open := n > 0 && (strings.HasSuffix(out[n-1], ",") || strings.HasSuffix(out[n-1], ";"))
		if n > 0 && out[n-1] != "" && line != "" &&
			(open || unicode.IsLower(first) || strings.ContainsRune("`-(", first)) {
			out[n-1] += " " + line
			continue
		}
		out = append(out, line)
	}
	return out
}

// optionWords are how an option is written and what it does: its placeholder
// is in backquotes in its usage, and left out of the text where it ends it. A number that is
// taken where none is given is told.
func optionWords(f cli.Flag) (name, usage string, ok bool) {
	doc, ok := f.(cli.DocGenerationFlag)
	if !ok {
		return "", "", false
	}
	name, usage = "--"+f.Names()[0], doc.GetUsage()
	before, rest, found := strings.Cut(usage, "`")
	placeholder, after, closed := strings.Cut(rest, "`")
	if found && closed {
		usage, name = before+placeholder+after, name+" "+placeholder
	}
	if after == "" {
		usage = strings.TrimSuffix(usage, ": "+placeholder)
	}
	if n, is := f.(*cli.IntFlag); is && n.Value != 0 {
		usage += fmt.Sprintf(" (usually %d)", n.Value)
	}
	return name, usage, true
}

// entryColumn is where the explanation of an entry begins.
const entryColumn = 24

// entry is a name with its explanation beside it, or below where it is long.
func entry(name, text string) string {
	const indent = "                        "
	body := strings.TrimPrefix(show.Wrap(text, indent, show.PageWidth), indent)
	if show.Cells(name)+4 > entryColumn {
		return "  " + name + "\n" + indent + body
	}
	return fmt.Sprintf("  %-*s%s", entryColumn-2, name, body)
}

// printHelp writes the page of help on a command, of the full name that stands
// in the place of its template, on a topic, on help itself or on the whole
// program.
func printHelp(w io.Writer, path string, of any) {
	page := helpItself()
	switch it := of.(type) {
	case *cli.App:
		page = overview(it)
	case *cli.Command:
		if topic, ok := topicPage(it.Name); ok && it.Hidden {
			page = topic
		} else if !isHelp(it) {
			page = helpPage(it, path)
		}
	}
	_, _ = io.WriteString(w, page)
}

// isHelp knows the command that the library adds.
func isHelp(c *cli.Command) bool { return c.Name == "help" }

// pathOf is the full name of the command that runs, such as "endsmeet project
// add".
func pathOf(c *cli.Context) string {
	var names []string
	for _, one := range c.Lineage() {
		if one.Command != nil && one.Command.Name != "" && one.Command.Name != c.App.Name {
			names = append([]string{one.Command.Name}, names...)
		}
	}
	return strings.Join(append([]string{"endsmeet"}, names...), " ")
}
