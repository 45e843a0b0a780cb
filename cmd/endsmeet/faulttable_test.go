package main

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The table of faults names tests and scripts that are there.
func TestEveryFaultHasItsTest(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile("../../testdata/faults.tsv")
	if err != nil {
		t.Fatal(err)
	}
	there := testsAndScripts(t)
	faults := 0
	for i, line := range strings.Split(strings.TrimSpace(string(raw)), "\n") {
		fault, tests, found := strings.Cut(line, "\t")
		if strings.HasPrefix(line, "#") || fault == "fault" {
			continue
		}
		faults++
		if !found || fault == "" || tests == "" {
			t.Errorf("line %d names no fault or no test: %q", i+1, line)
		}
		for _, name := range strings.Fields(tests) {
			if !there[name] {
				t.Errorf("%s: there is no %s", fault, name)
			}
		}
	}
	if faults < 40 {
		t.Errorf("%d faults", faults)
	}
}

// testsAndScripts are the names of all tests and scripts of the tree.
func testsAndScripts(t *testing.T) map[string]bool {
	t.Helper()
	test := regexp.MustCompile(`(?m)^func (Test\w+)\(`)
	there := map[string]bool{}
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil || d.IsDir():
			return err
		case strings.HasSuffix(path, ".txtar"):
			there[strings.TrimSuffix(d.Name(), ".txtar")] = true
		case strings.HasSuffix(path, "_test.go"):
			raw, err := os.ReadFile(path)
			for _, m := range test.FindAllSubmatch(raw, -1) {
				there[string(m[1])] = true
			}
			return err
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return there
}
