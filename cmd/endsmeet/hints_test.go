package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestCommandsInHintsAreQuoted: a command that a person may paste, with a value
// in it, is made by stash.Command, which quotes it; no text puts one in itself.
func TestCommandsInHintsAreQuoted(t *testing.T) {
	t.Parallel()
	open := regexp.MustCompile("endsmeet [a-z][a-z ]*[^`\"\n]*%[-+#0-9]*[qsv]|endsmeet [a-z][a-z ]* \" ?\\+ ?(stash\\.Clean|[a-z]+\\.(Name|Label|Tag))")
	files := 0
	for _, root := range []string{".", "../../stash", "../../planner", "../../importers"} {
		err := filepath.WalkDir(root, func(path string, _ os.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, ".go") ||
				strings.HasSuffix(path, "_test.go") {
				return err
			}
			raw, err := os.ReadFile(path)
			files++
			for _, found := range open.FindAllString(string(raw), -1) {
				if !strings.Contains(found, "endsmeet undo %s") { // the beginning of an id
					t.Errorf("%s: %s", path, found)
				}
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if files < 200 {
		t.Fatalf("only %d files seen", files)
	}
}
