package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

const readme = "../../README.md"

// TestTheSessionInREADMEIsWhatATerminalShows runs the first session of README, one
// command after the other, on a screen of 80 columns, and holds what README says
// against it. With -update README is rewritten.
func TestTheSessionInREADMEIsWhatATerminalShows(t *testing.T) {
	t.Parallel()
	raw, err := os.ReadFile(readme)
	if err != nil {
		t.Fatal(err)
	}
	before, session, found := strings.Cut(string(raw), "\n    $ ")
	session, after, ended := strings.Cut("    $ "+session, "\n\nThen there is ")
	if !found || !ended {
		t.Fatal("README has no session, or no end of it")
	}
	said, ran := replayed(t, session)
	if ran < 8 {
		t.Fatalf("only %d commands in README", ran)
	}
	if said == session {
		return
	}
	if *update {
		if err := os.WriteFile(readme, []byte(before+"\n"+said+"\n\nThen there is "+after),
			0o600); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Errorf("README shows\n%s\nand a terminal\n%s", session, said)
}

// replayed runs the commands of a session and writes it anew.
func replayed(t *testing.T, session string) (said string, ran int) {
	dir := t.TempDir()
	var out strings.Builder
	lines := strings.Split(session, "\n")
	for i := 0; i < len(lines); i++ {
		command, isCommand := strings.CutPrefix(lines[i], "    $ ")
		if !isCommand {
			continue // what the last one said
		}
		out.WriteString(lines[i] + "\n")
		for strings.HasSuffix(command, `\`) {
			i++
			out.WriteString(lines[i] + "\n")
			command = strings.TrimSuffix(command, `\`) + strings.TrimSpace(lines[i])
		}
		ran++
		answer := inShell(t, dir, command)
		for line := range strings.SplitSeq(strings.TrimRight(answer, "\n"), "\n") {
			out.WriteString(strings.TrimRight("    "+line, " ") + "\n")
		}
		out.WriteString("\n")
	}
	return strings.TrimRight(out.String(), "\n"), ran
}

// inShell runs a command as a person would, on a screen of 80 columns.
func inShell(t *testing.T, dir, command string) string {
	t.Helper()
	answer, err := shell(dir, command)
	if err != nil {
		t.Fatalf("%s: %v\n%s", command, err, answer)
	}
	return answer
}

// shell runs a command in a folder, with a home and a stash of its own.
func shell(dir, command string) (string, error) {
	cmd := exec.Command("sh", "-c", command)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "HOME="+dir, "XDG_DATA_HOME="+filepath.Join(dir, "data"),
		"ENDSMEET_STASH=", "TZ=UTC", "COLUMNS=80",
		"ENDSMEET_SCRIPT_COUNT="+filepath.Join(dir, ".count"), "ENDSMEET_SCRIPT_MACHINE=script")
	answer, err := cmd.CombinedOutput()
	return string(answer), err
}
