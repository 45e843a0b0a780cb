package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
)

// groups is the order in which help shows the groups of commands.
var groups = []string{groupYarn, groupLooking, groupMaking, groupPeople, groupExchange, groupHouse}

// overview is what `endsmeet help` prints: the commands by group, in the
// order in which a weaver meets them.
func overview(app *cli.App) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s\n\n  %s\n", app.Name, app.Usage, app.UsageText)
	for _, group := range groups {
		fmt.Fprintf(&b, "\n%s\n", group)
		for _, c := range app.Commands {
			if c.Category == group && !c.Hidden {
				const indent = "              "
				fmt.Fprintf(&b, "  %-11s %s", c.Name,
					strings.TrimPrefix(show.Wrap(c.Usage, indent, show.PageWidth), indent))
			}
		}
	}
	b.WriteString("\noptions\n")
	for _, f := range app.Flags {
		name, usage, _ := optionWords(f)
		fmt.Fprintf(&b, "  %-12s  %s\n", name, usage)
	}
	b.WriteString("\n`endsmeet help COMMAND` tells more, `endsmeet demo` shows the main job.\n" +
		show.Wrap("Help on words: `endsmeet help` with one of "+topicNames()+".", "",
			show.PageWidth))
	return b.String()
}
