package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestTheExampleInTheHelpOfSyncWorksAsWritten types what the page says, on two
// machines that see one folder: what stands from the joining on, on the second.
func TestTheExampleInTheHelpOfSyncWorksAsWritten(t *testing.T) {
	home := t.TempDir()
	t.Setenv("ENDSMEET_PASSPHRASE", "four looms stood idle")
	if err := os.Mkdir(filepath.Join(home, "shelf"), 0o700); err != nil {
		t.Fatal(err)
	}
	page, err := shell(home, "endsmeet help sync")
	_, typed, found := strings.Cut(page, "\nexamples\n")
	if err != nil || !found {
		t.Fatal(err, page)
	}
	ran, machine := 0, "first"
	for line := range strings.Lines(typed) {
		command, example := strings.CutPrefix(strings.TrimSpace(line), "endsmeet ")
		if !example {
			continue
		}
		if ran++; strings.HasPrefix(command, "sync join") {
			machine = "second"
		}
		out, err := shell(home, "export ENDSMEET_STASH=~/"+machine+".db; endsmeet "+command)
		if err != nil {
			t.Errorf("%s: %v\n%s", command, err, out)
		}
	}
	out, err := shell(home, "export ENDSMEET_STASH=~/second.db; endsmeet sync status")
	if ran < 4 || err != nil || !strings.Contains(out, "studio") || !strings.Contains(out, "attic") {
		t.Errorf("%d examples: %v\n%s", ran, err, out)
	}
}
