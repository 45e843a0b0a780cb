package main

import (
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"

	"endsmeet/stash/outside"
)

// allowed is the table of what each package of the module may import of the
// module. Imports point one way: cmd → importers, planner, stash/sqlite,
// stash/replica, stash/remote → stash → stash/measure, stash/fibre.
var allowed = map[string][]string{
	"stash/written": {},
	"stash/measure": {"stash/written"},
	"stash/fibre":   {"stash/measure", "stash/written"},
	"stash":         {"stash/measure", "stash/fibre", "stash/written"},
	"stash/people":  {"stash", "stash/measure", "stash/fibre", "stash/written"},
	"stash/photo":   {},
	"stash/journal": {"stash"},
	"stash/aside":   {},
	"stash/sqlite": {"stash", "stash/aside", "stash/lasting", "stash/measure",
		"stash/sqlite/ccompiler"},
	"stash/stashtest":        {"stash", "stash/measure", "stash/sqlite"},
	"stash/remote":           {},
	"stash/remote/dir":       {"stash/remote", "stash/lasting"},
	"stash/remote/object":    {"stash/remote"},
	"stash/remote/where":     {},
	"stash/lasting":          {},
	"stash/sqlite/ccompiler": {},
	"stash/remote/open": {"stash/remote", "stash/remote/dir", "stash/remote/object",
		"stash/remote/where"},
	"stash/outside":           {},
	"stash/remote/remotetest": {"stash/outside", "stash/remote"},
	"stash/replica/format":    {"stash", "stash/sqlite", "stash/remote"},
	"stash/replica/exchange":  {"stash", "stash/sqlite", "stash/remote", "stash/replica/format"},
	"stash/replica": {"stash", "stash/measure", "stash/sqlite", "stash/remote",
		"stash/replica/exchange", "stash/replica/format"},
	"planner":        {"stash/measure"},
	"planner/cloth":  {"stash/measure"},
	"planner/chance": {},
	"planner/fit":    {"planner", "planner/chance", "stash/measure"},
	"planner/levels": {},
	"planner/learn": {"planner", "planner/levels", "planner/cloth", "stash",
		"stash/fibre", "stash/measure"},
	"planner/like": {"stash"},
	"planner/due":  {"planner/care", "stash", "stash/fibre"},
	"planner/next": {"planner/chance", "planner/clear", "planner/making",
		"planner/verdict", "stash", "stash/measure"},
	"planner/unmarked": {"stash", "stash/fibre", "stash/measure", "stash/people"},
	"planner/picture":  {"stash/measure"},
	"planner/book":     {"planner/page"},
	"planner/page":     {},
	"planner/sticker":  {"planner/page"},
	"planner/trend":    {"stash", "stash/fibre", "stash/measure"},
	"planner/together": {"planner/learn", "stash", "stash/measure", "stash/fibre", "stash/people"},
	"planner/care":     {"stash", "stash/measure", "stash/fibre", "stash/people"},
	"planner/label":    {"planner/page", "stash/measure", "stash/fibre"},
	"planner/making": {"planner", "planner/chance", "planner/cloth", "planner/fit",
		"planner/kinds", "planner/label", "planner/learn", "stash", "stash/measure", "stash/fibre"},
	"planner/books": {"stash", "stash/fibre", "stash/measure"},
	"planner/kinds": {"stash", "stash/measure"},
	"planner/verdict": {"planner/chance", "planner/fit", "planner/kinds", "planner/making",
		"planner/together", "stash", "stash/measure", "stash/people"},
	"planner/search": {"planner", "planner/chance", "planner/fit", "planner/kinds",
		"planner/learn", "planner/making", "planner/together", "planner/verdict", "stash",
		"stash/measure"},
	"planner/share": {"planner", "planner/chance", "planner/kinds", "planner/like", "planner/making",
		"planner/search", "planner/verdict", "stash", "stash/measure"},
	"planner/clear": {"planner/kinds", "planner/making", "planner/search", "stash",
		"stash/measure"},
	"importers": {"stash", "stash/measure", "stash/fibre", "stash/written"},
	"importers/intake": {"importers", "stash", "stash/measure", "stash/fibre",
		"stash/written"},
	"importers/recording": {"importers", "importers/csvfile", "importers/intake",
		"importers/tables", "stash", "stash/measure", "stash/sqlite"},
	"importers/tables":  {"importers", "stash", "stash/measure", "stash/written"},
	"importers/csvfile": {"importers"},
	"importers/xlsx":    {"importers"},
	"importers/ods":     {"importers"},
	"importers/scale":   {"stash", "stash/measure", "stash/written"},
	"importers/label":   {"importers", "stash/measure", "stash/fibre", "stash/written"},
	"importers/wif":     {"importers", "stash/measure"},
	"cmd/endsmeet/show": {"importers/recording", "planner", "planner/book", "planner/books", "planner/care", "planner/chance",
		"planner/clear", "planner/due", "planner/fit", "planner/kinds", "planner/label", "planner/learn",
		"planner/making", "planner/picture", "planner/search", "planner/share", "planner/together",
		"planner/trend", "planner/verdict", "stash", "stash/fibre", "stash/measure", "stash/people",
		"stash/replica", "stash/replica/exchange"},
	"cmd/endsmeet": {"*"},
}

func TestImportsPointOneWay(t *testing.T) {
	t.Parallel()
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`,
		"endsmeet/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(line)
		name := strings.TrimPrefix(words[0], "endsmeet/")
		may, ok := allowed[name]
		if !ok {
			t.Errorf("%s has no line in the table of allowed imports", name)
			continue
		}
		seen[name] = true
		if !slices.Contains(may, "*") {
			compareImports(t, name, may, words[1:])
		}
	}
	for name := range allowed {
		if !seen[name] {
			t.Errorf("the table of allowed imports has %s, which is no package", name)
		}
	}
}

// compareImports wants a package to import what the table has, no more and no
// less: a permission that nobody uses would hide the day when somebody does.
func compareImports(t *testing.T, name string, may, imports []string) {
	t.Helper()
	var used []string
	for _, imported := range imports {
		local, ours := strings.CutPrefix(imported, "endsmeet/")
		if !ours {
			continue
		}
		used = append(used, local)
		if !slices.Contains(may, local) {
			t.Errorf("%s must not import %s: imports point towards stash, and the domain knows no technology", name, local)
		}
	}
	for _, local := range may {
		if !slices.Contains(used, local) {
			t.Errorf("%s may import %s and does not: take it from the table", name, local)
		}
	}
}

func TestDEVELOPERSSaysWhatEveryPackageIs(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	for name := range allowed {
		if !strings.Contains(string(text), "\n| `"+name+"`") {
			t.Errorf("the table of layers in DEVELOPERS.md has no row for %s", name)
		}
	}
}

// topLevel is all that may lie at the top of the tree, beside files whose names
// begin with a dot.
var topLevel = []string{"DEVELOPERS.md", "README.md", "cmd", "go.mod", "go.sum", "importers",
	"planner", "stash", "testdata"}

func TestTopLevelHoldsWhatItShould(t *testing.T) {
	t.Parallel()
	out, err := exec.Command("git", "ls-tree", "--name-only", "--full-tree", "HEAD").Output()
	if err != nil {
		outside.GoWithout(t, "a clone of git is not here")
	}
	if len(out) == 0 {
		t.Fatal("nothing lies at the top level")
	}
	for name := range strings.Lines(string(out)) {
		name = strings.TrimSpace(name)
		if !strings.HasPrefix(name, ".") && !slices.Contains(topLevel, name) {
			t.Errorf("%s lies at the top level, where only these do: %s", name,
				strings.Join(topLevel, ", "))
		}
	}
}

// plainPath is a file that every system can hold and every shell can name.
var plainPath = regexp.MustCompile(`^[A-Za-z0-9._][A-Za-z0-9._-]*(/[A-Za-z0-9._][A-Za-z0-9._-]*)*$`)

// besideGo is what lies beside the Go files of package main.
var besideGo = regexp.MustCompile(`^cmd/endsmeet/(changes\.txt$|help/|shells/|demo/|show/)`)

// TestNothingLiesAboutThatATestLeft: what a test writes into the folder that it runs in
// is taken for a part of the source.
func TestNothingLiesAboutThatATestLeft(t *testing.T) {
	t.Parallel()
	out, err := exec.Command("git", "ls-files", "-z", "--full-name", ":/").Output()
	if err != nil {
		outside.GoWithout(t, "a clone of git is not here")
	}
	names := strings.Split(strings.TrimSuffix(string(out), "\x00"), "\x00")
	if len(names) < 100 {
		t.Fatalf("only %d files are known", len(names))
	}
	for _, name := range names {
		if !plainPath.MatchString(name) {
			t.Errorf("%q is no name for a file of the source", name)
		}
		if strings.HasPrefix(name, "cmd/endsmeet/") && !strings.HasSuffix(name, ".go") &&
			!besideGo.MatchString(name) {
			t.Errorf("%q lies beside the Go files of the program", name)
		}
	}
}

// besideCommand are the files of package main that may hold a struct with JSON tags,
// and what it is for; the shapes of answers stand in cmd/endsmeet/show.
var besideCommand = map[string]string{
	"check.go":         "what the store found wrong, in the store's own words",
	"history.go":       "the two facts that a line of the past names",
	"share.go":         "what comes of each project, filled in from the store",
	"stocktake.go":     "a reading in the file of a count that was broken off",
	"stocktakekept.go": "the file of a count that was broken off",
}

func TestShapesOfAnswersStandInShow(t *testing.T) {
	t.Parallel()
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	for _, f := range files {
		if !strings.HasSuffix(f.Name(), ".go") || strings.HasSuffix(f.Name(), "_test.go") {
			continue
		}
		source, err := os.ReadFile(f.Name())
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(source), "`json:\"") {
			continue
		}
		found[f.Name()] = true
		if besideCommand[f.Name()] == "" {
			t.Errorf("%s holds the shape of an answer: it belongs to cmd/endsmeet/show", f.Name())
		}
	}
	for name := range besideCommand {
		if !found[name] {
			t.Errorf("%s holds no shape any more: take it off the list", name)
		}
	}
}
