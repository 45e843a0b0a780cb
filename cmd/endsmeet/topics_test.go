package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// wordsOfTopics are what stands for the placeholders in the commands that topics teach,
// on the stash of the demo.
var wordsOfTopics = strings.NewReplacer(
	"endsmeet finish PIECE --tape", "endsmeet start 'moss scarf' --warp Y01 >/dev/null && endsmeet finish 'moss scarf 2' --tape",
	"finish PIECE --learn yes", "finish 'moss scarf 1' --learn yes",
	"plan PROJECT --exit-code && endsmeet start PROJECT",
	"plan 'moss scarf' --warp Y01 --exit-code",
	"PIECE", "'moss scarf 1'", "PROJECT", "'moss scarf'", "YARN", "Y32",
	"config SETTING=VALUE", "config units=imperial", "FOLDER", "out", "export --xlsx FILE",
	"export --xlsx out.xlsx", "FILE", "stash40.csv", "help COMMAND", "help weigh",
	"list WORDS", "list wool")

// TestEveryCommandOfATopicIsTaken runs what the topics of help teach, as it is written.
func TestEveryCommandOfATopicIsTaken(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	inShell(t, dir, "endsmeet demo --in demo >demo.txt")
	quotedCommand := regexp.MustCompile("`(endsmeet [^`]+)`")
	seen := 0
	for _, topic := range helpTopics {
		page := topic.page()
		if strings.Contains(page, "help/") || strings.Contains(page, "{{") {
			t.Errorf("help %s lacks its text: %.80s", topic.name, page)
		}
		of := filepath.Join(dir, "on", topic.name)
		copiedTo(t, filepath.Join(dir, "demo"), of)
		var commands []string
		for line := range strings.Lines(page) {
			if command, is := strings.CutPrefix(line, "  endsmeet "); is {
				command, _, _ = strings.Cut(command, "     ")
				commands = append(commands, "endsmeet "+strings.TrimSpace(command))
			}
		}
		for _, m := range quotedCommand.FindAllStringSubmatch(strings.ReplaceAll(page, "\n", " "), -1) {
			commands = append(commands, m[1])
		}
		for _, command := range slices.Compact(commands) {
			if strings.HasPrefix(command, "endsmeet sync") || strings.Contains(command, "COMMAND") {
				continue // wants a second machine and a pass-phrase; stands for all
			}
			seen++
			run := wordsOfTopics.Replace(command)
			if out, err := shell(of, "export ENDSMEET_STASH=stash.db; "+run); err != nil {
				t.Errorf("help %s: %s: %v\n%s", topic.name, run, err, out)
			}
		}
	}
	if seen < 20 {
		t.Fatalf("only %d commands of topics ran", seen)
	}
}

// TestHelpNamesEveryVariableOfTheEnvironment: of whatever the program reads from the
// environment `endsmeet help environment` tells. Every read in the source is found, by a name
// written there or by a constant.
func TestHelpNamesEveryVariableOfTheEnvironment(t *testing.T) {
	t.Parallel()
	page, _ := topicPage("environment")
	read, constants := environmentReads(t, "../..")
	seen := 0
	for where, name := range read {
		if value, is := constants[name]; is {
			name = value
		}
		if !regexp.MustCompile(`^[A-Z][A-Z0-9_]+$`).MatchString(name) {
			t.Errorf("%s reads %s: write the variable's name where it is read", where, name)
		} else if seen++; !regexp.MustCompile(`\b` + name + `\b`).MatchString(page) {
			t.Errorf("help/environment.txt does not tell of %s (%s)", name, where)
		}
	}
	if seen < 20 {
		t.Fatalf("only %d reads were found", seen)
	}
}

// environmentReads are the places under a folder where a variable is read, each with the
// name as it stands there, and the string constants; tests and what serves only them aside.
func environmentReads(t *testing.T, root string) (read, constants map[string]string) {
	t.Helper()
	read, constants = map[string]string{}, map[string]string{}
	files := token.NewFileSet()
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if d.IsDir() && slices.Contains([]string{"remotetest", "outside"}, d.Name()) {
			return fs.SkipDir
		}
		if err != nil || filepath.Ext(path) != ".go" || strings.HasSuffix(path, "_test.go") {
			return err
		}
		file, err := parser.ParseFile(files, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(file, func(n ast.Node) bool {
			switch it := n.(type) {
			case *ast.ValueSpec:
				for i, value := range it.Values {
					constants[it.Names[i].Name] = asRead(value)
				}
			case *ast.CallExpr:
				if name := strings.ToLower(asRead(it.Fun)); name == "getenv" || name == "lookupenv" {
					read[files.Position(it.Pos()).String()] = asRead(it.Args[0])
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return read, constants
}

// asRead is the text of a literal or the name that an expression ends in.
func asRead(e ast.Expr) string {
	switch it := e.(type) {
	case *ast.BasicLit:
		text, _ := strconv.Unquote(it.Value)
		return text
	case *ast.SelectorExpr:
		return it.Sel.Name
	case *ast.Ident:
		return it.Name
	}
	return "an expression"
}
