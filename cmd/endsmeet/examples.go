package main

import (
	"strings"
	"sync"

	"endsmeet/cmd/endsmeet/show"
)

// example is a command of real work and what it is for. It works as written on
// the stash of the demo, the examples of a page one after the other.
type example struct{ command, why string }

// examples stand on the pages of the commands. help/examples.txt has a stanza for each command:
// its name, then an example on each line by two spaces and what it is for by four.
var examples = sync.OnceValue(func() map[string][]example {
	all, of := map[string][]example{}, ""
	for line := range strings.Lines(helpFile("examples")) {
		text, shown := strings.TrimSpace(line), all[of]
		switch {
		case text == "":
		case strings.HasPrefix(line, "    "):
			shown[len(shown)-1].why = text
		case strings.HasPrefix(line, "  "):
			all[of] = append(shown, example{command: text})
		default:
			of = text
		}
	}
	return all
})

// exampleLines are the examples on the page of a command: those without a reason
// only lead to the next.
func exampleLines(name string) string {
	var b strings.Builder
	for _, x := range examples()[name] {
		b.WriteString(continued("endsmeet " + x.command))
		if x.why != "" {
			b.WriteString(show.Wrap(x.why, "      ", show.PageWidth))
		}
	}
	if b.Len() == 0 {
		return ""
	}
	return "\nexamples\n" + b.String()
}

// continued breaks a command that is too long for a page as a shell takes it.
func continued(command string) string {
	lines := strings.Split(strings.TrimRight(show.Wrap("$ "+command, "      ", show.PageWidth-2),
		"\n"), "\n")
	lines[0] = "  " + strings.TrimPrefix(strings.TrimSpace(lines[0]), "$ ")
	return strings.Join(lines, " \\\n") + "\n"
}
