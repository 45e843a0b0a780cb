package main

import (
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
)

// manPage is the manual page, from what help says: its headings become sections,
// and its lines stay as they are set.
func manPage(app *cli.App) string {
	var b strings.Builder
	b.WriteString(".TH ENDSMEET 1\n.SH NAME\nendsmeet \\- " + roff(app.Usage) + "\n.SH OVERVIEW\n")
	b.WriteString(roffLines(overview(app)))
	var page func(string, []*cli.Command)
	page = func(path string, commands []*cli.Command) {
		for _, c := range commands {
			if c.Hidden || isHelp(c) {
				continue
			}
			b.WriteString(".SH " + strings.ToUpper(roff(path+" "+c.Name)) + "\n" +
				roffLines(helpPage(c, path+" "+c.Name)))
			page(path+" "+c.Name, c.Subcommands)
		}
	}
	page("endsmeet", app.Commands)
	for _, t := range helpTopics {
		b.WriteString(".SH " + strings.ToUpper(roff(t.name)) + "\n" + roffLines(t.page()))
	}
	return b.String()
}

func roffLines(text string) string { return ".nf\n" + roff(text) + ".fi\n" }

// roff writes a text so that troff prints it as it is.
func roff(text string) string {
	text = strings.NewReplacer(`\`, `\e`, "-", `\-`).Replace(text)
	lines := strings.SplitAfter(text, "\n")
	for i, line := range lines {
		if strings.HasPrefix(line, ".") || strings.HasPrefix(line, "'") {
			lines[i] = `\&` + line
		}
	}
	return strings.Join(lines, "")
}

// manCommand prints the manual page, for .ci/release and who packs the program.
func manCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "man", Usage: "the manual page", Hidden: true, Category: groupHouse,
		Action: func(c *cli.Context) error {
			_, err := io.WriteString(show.Document(e.stdout), manPage(c.App))
			return err
		},
	}
}
