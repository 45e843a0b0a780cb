package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// allowed is the table of what each package of the module may import of the
// module. Imports point one way: cmd → importers, planner, stash/sqlite,
// stash/replica, stash/remote → stash → stash/measure, stash/fibre.
var allowed = map[string][]string{
	"stash/written":           {},
	"stash/measure":           {"stash/written"},
	"stash/fibre":             {"stash/measure"},
	"stash":                   {"stash/measure", "stash/fibre", "stash/written"},
	"stash/people":            {"stash", "stash/measure", "stash/fibre"},
	"stash/journal":           {"stash", "stash/measure"},
	"stash/aside":             {},
	"stash/sqlite":            {"stash", "stash/aside", "stash/lasting", "stash/measure", "stash/sqlite/ccompiler"},
	"stash/stashtest":         {"stash", "stash/measure", "stash/fibre", "stash/sqlite"},
	"stash/remote":            {},
	"stash/remote/dir":        {"stash/remote", "stash/lasting"},
	"stash/remote/object":     {"stash/remote"},
	"stash/remote/where":      {"stash/remote"},
	"stash/lasting":           {},
	"stash/sqlite/ccompiler":  {},
	"stash/remote/open":       {"stash/remote", "stash/remote/dir", "stash/remote/object", "stash/remote/where"},
	"stash/remote/remotetest": {"stash/remote"},
	"stash/replica":           {"stash", "stash/measure", "stash/sqlite", "stash/remote"},
	"planner":                 {"stash/measure"},
	"planner/cloth":           {"stash/measure"},
	"planner/chance":          {},
	"planner/fit":             {"planner", "planner/chance", "stash/measure"},
	"planner/levels":          {},
	"planner/learn":           {"planner", "planner/levels", "planner/cloth", "stash", "stash/fibre", "stash/measure"},
	"planner/picture":         {"planner", "planner/fit", "stash/measure"},
	"planner/together":        {"stash", "stash/measure", "stash/fibre", "stash/people"},
	"planner/care":            {"stash", "stash/measure", "stash/fibre", "stash/people"},
	"planner/label":           {"stash/measure", "stash/fibre"},
	"planner/making":          {"planner", "planner/levels", "planner/chance", "planner/cloth", "planner/fit", "planner/kinds", "planner/label", "planner/learn", "stash", "stash/measure", "stash/fibre"},
	"planner/kinds":           {"stash", "stash/measure"},
	"planner/verdict":         {"planner/chance", "planner/fit", "planner/kinds", "planner/making", "planner/together", "stash", "stash/measure", "stash/people"},
	"planner/search":          {"planner", "planner/chance", "planner/fit", "planner/kinds", "planner/learn", "planner/making", "planner/together", "planner/verdict", "stash", "stash/measure", "stash/people"},
	"planner/share":           {"planner", "planner/kinds", "planner/making", "planner/search", "stash", "stash/measure"},
	"planner/clear":           {"planner/kinds", "planner/making", "planner/search", "stash", "stash/measure"},
	"importers":               {"stash", "stash/measure", "stash/fibre", "stash/written"},
	"importers/intake":        {"importers", "stash", "stash/measure", "stash/fibre", "stash/written"},
	"importers/tables":        {"importers", "stash", "stash/measure", "stash/fibre", "stash/written"},
	"importers/csvfile":       {"importers"},
	"importers/xlsx":          {"importers"},
	"importers/ods":           {"importers"},
	"importers/label":         {"importers", "stash", "stash/measure", "stash/fibre", "stash/written"},
	"importers/wif":           {"importers", "stash", "stash/measure"},
	"cmd/endsmeet":            {"*"},
}

func TestImportsPointOneWay(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "endsmeet/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		name := strings.TrimPrefix(words[0], "endsmeet/")
		may, ok := allowed[name]
		if !ok {
			t.Errorf("%s has no line in the table of allowed imports", name)
			continue
		}
		seen++
		for _, imported := range words[1:] {
			local, ours := strings.CutPrefix(imported, "endsmeet/")
			if ours && !slices.Contains(may, local) && !slices.Contains(may, "*") {
				t.Errorf("%s must not import %s: imports point towards stash, and the domain knows no technology", name, local)
			}
		}
	}
	if seen == 0 {
		t.Fatal("no package was looked at")
	}
}
