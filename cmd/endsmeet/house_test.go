package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/urfave/cli/v2"
)

// tree is what the tests of the house look through: every file of the tree by its
// path from the top, and every word of its Go source.
type tree struct {
	files map[string]bool
	words map[string]bool
}

// readTree reads the tree.
func readTree(t *testing.T) tree {
	t.Helper()
	found := tree{files: map[string]bool{}, words: map[string]bool{}}
	word := regexp.MustCompile(`\w+`)
	top := os.DirFS("../..")
	if err := fs.WalkDir(top, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || strings.HasPrefix(name, ".git/") || name == "dist" {
			return err
		}
		found.files[name] = true
		if path.Ext(name) != ".go" {
			return nil
		}
		source, err := fs.ReadFile(top, name)
		for _, w := range word.FindAll(source, -1) {
			found.words[string(w)] = true
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
	return found
}

// hasFile says whether a file, or a folder, is there: by its whole path, or by its
// name alone where the sentence around it says which folder is meant.
func (tr tree) hasFile(name string) bool {
	name = strings.TrimSuffix(name, "/")
	if tr.files[name] {
		return true
	}
	for f := range tr.files {
		if strings.HasSuffix(f, "/"+name) {
			return true
		}
	}
	return false
}

// mostWithoutMap is how many files a package may have before its comment must say
// where things are.
const mostWithoutMap = 20

func TestAPackageSaysInOneFileWhatItIsAndWhereThingsAre(t *testing.T) {
	t.Parallel()
	seen := 0
	for name := range allowed {
		dir := filepath.Join("../..", name)
		files, err := filepath.Glob(filepath.Join(dir, "*.go"))
		if err != nil {
			t.Fatal(err)
		}
		files = slices.DeleteFunc(files, func(f string) bool { return strings.HasSuffix(f, "_test.go") })
		homes := []string{"doc.go", path.Base(name) + ".go", "main.go"}
		said := ""
		for _, f := range files {
			parsed, err := parser.ParseFile(token.NewFileSet(), f, nil,
				parser.ParseComments|parser.PackageClauseOnly)
			if err != nil {
				t.Fatal(err)
			}
			if parsed.Doc == nil || onlyDirective(parsed.Doc) {
				continue
			}
			seen++
			if said += parsed.Doc.Text(); !slices.Contains(homes, filepath.Base(f)) {
				t.Errorf("%s: the comment of the package stands where nobody looks: in doc.go, or in the file named after it", f)
			}
		}
		if said == "" {
			t.Errorf("%s does not say what it is for", name)
		}
		if len(files) > mostWithoutMap && !strings.Contains(said, "# Where things are") {
			t.Errorf("%s has %d files, and its comment does not say where things are", name, len(files))
		}
		if strings.Contains(said, "# Where things are") {
			mapped(t, name, said, files)
		}
		for _, f := range regexp.MustCompile(`\b[a-z]+\.go\b`).FindAllString(said, -1) {
			if _, err := os.Stat(filepath.Join(dir, f)); err != nil {
				t.Errorf("the comment of %s names %s, which is not there", name, f)
			}
		}
	}
	if seen < len(allowed) {
		t.Errorf("%d comments of %d packages were read", seen, len(allowed))
	}
}

// mapped wants every file of a package in the map of its comment. Where that says NAME.go,
// a file goes by the command that it is named after.
func mapped(t *testing.T, name, said string, files []string) {
	for _, f := range files {
		base := filepath.Base(f)
		_, ofCommand := os.Stat(base)
		if base == "doc.go" || strings.Contains(said, "NAME.go") && ofCommand == nil {
			continue
		}
		if !regexp.MustCompile(`\b` + regexp.QuoteMeta(base)).MatchString(said) {
			t.Errorf("the comment of %s does not say what is in %s", name, base)
		}
	}
}

// onlyDirective says whether a comment says nothing to people.
func onlyDirective(c *ast.CommentGroup) bool { return strings.TrimSpace(c.Text()) == "" }

func TestWhatDEVELOPERSNamesIsThere(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	tr := readTree(t)
	files, names := 0, 0
	isFile := regexp.MustCompile(`^[\w./-]+\.(?:go|txtar|tsv|json|sql|txt|csv|md)$`)
	isName := regexp.MustCompile(`^\w*[a-z][A-Z]\w*$|^(?:\w+\.)+[A-Z]\w*$|^[A-Z][a-z]\w+$`)
	for _, m := range regexp.MustCompile("`([^`\n]+)`").FindAllStringSubmatch(string(text), -1) {
		name := strings.TrimSuffix(strings.TrimSuffix(m[1], "(...)"), "()")
		switch {
		case strings.Contains(name, "NAME"):
		case isFile.MatchString(name):
			if files++; !tr.hasFile(name) {
				t.Errorf("DEVELOPERS.md names the file %s, which is not there", name)
			}
		case isName.MatchString(name):
			names++
			for part := range strings.SplitSeq(name, ".") {
				if !tr.words[part] {
					t.Errorf("DEVELOPERS.md names %s, and no Go source has %s", name, part)
				}
			}
		}
	}
	if files < 40 || names < 40 {
		t.Errorf("only %d files and %d names were looked for", files, names)
	}
}

func TestEveryCommandHasAScript(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../../testdata/scripts/*.txtar")
	if err != nil || len(files) == 0 {
		t.Fatal("no scripts", err)
	}
	var scripts []byte
	for _, f := range files {
		script, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		scripts = append(scripts, script...)
	}
	e := newDesk(t).env
	leaves(commands(&e), "", func(name string, c *cli.Command) {
		run := regexp.MustCompile(`(?m)^!? *(?:exec )?endsmeet (?:--[a-z-]+(?: [^-\s]\S*)? )*` + name + `\b`)
		if !c.Hidden && !run.Match(scripts) {
			t.Errorf("no script runs %s: write testdata/scripts/%s.txtar", name, strings.ReplaceAll(name, " ", ""))
		}
	})
}

// TestEveryDependencyHasItsReason: the table in DEVELOPERS.md has the modules that this one
// asks for itself, and no other.
func TestEveryDependencyHasItsReason(t *testing.T) {
	t.Parallel()
	mod, err := os.ReadFile("../../go.mod")
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	asked := regexp.MustCompile(`(?m)^\t(\S+) v[^ \n]+$`).FindAllStringSubmatch(string(mod), -1)
	_, table, _ := strings.Cut(string(text), "\n## Dependencies\n")
	table, _, _ = strings.Cut(table, "\n## ")
	var named []string
	for _, row := range regexp.MustCompile(`(?m)^\| ([^|]*[./][^|]*) \|`).FindAllStringSubmatch(table, -1) {
		plain := regexp.MustCompile(` \([^)]*\)`).ReplaceAllString(row[1], "")
		named = append(named, strings.Split(plain, ", ")...)
	}
	if len(asked) < 30 || len(named) < 30 {
		t.Fatalf("only %d modules and %d names were found", len(asked), len(named))
	}
	has := func(module string) func(string) bool {
		return func(name string) bool { return strings.HasSuffix(module, name) || strings.Contains(module, name+"/") }
	}
	for _, m := range asked {
		if !slices.ContainsFunc(named, has(m[1])) {
			t.Errorf("DEVELOPERS.md does not say what %s is for", m[1])
		}
	}
	for _, name := range named {
		if !slices.ContainsFunc(asked, func(m []string) bool { return has(m[1])(name) }) {
			t.Errorf("DEVELOPERS.md says what %s is for, and go.mod does not ask for it", name)
		}
	}
}
