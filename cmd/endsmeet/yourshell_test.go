package main

import (
	"os/exec"
	"testing"

	"endsmeet/stash/outside"
)

// The forms of Windows are those of the handbooks of cmd (`help set`) and PowerShell
// (about_Environment_Variables), from memory.
func TestAVariableIsSetInTheReadersOwnShell(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		system     string
		variables  map[string]string
		set, unset string
	}{
		{"linux", map[string]string{"SHELL": "/bin/bash"}, "export A='b c'", "unset A"},
		{"linux", nil, "export A='b c'", "unset A"},
		{"darwin", map[string]string{"SHELL": "/opt/bin/fish"}, "set -gx A 'b c'", "set -e A"},
		{"windows", nil, "$env:A = 'b c'", "Remove-Item env:A"},
		{"windows", map[string]string{"PROMPT": "$P$G"}, `set "A=b c"`, "set A="},
		{"windows", map[string]string{"SHELL": "/usr/bin/bash.exe", "PROMPT": "$P$G"},
			"export A='b c'", "unset A"},
	} {
		e := environment{system: c.system, getenv: func(name string) string { return c.variables[name] }}
		if set, unset := e.inYourShell("A", "b c"); set != c.set || unset != c.unset {
			t.Errorf("%s, %v: %s, %s", c.system, c.variables, set, unset)
		}
	}
}

// TestShellsTakeTheLinesThatSetAVariable has the shells that are here run them.
func TestShellsTakeTheLinesThatSetAVariable(t *testing.T) {
	t.Parallel()
	for _, shell := range []string{"sh", "bash", "fish"} {
		t.Run(shell, func(t *testing.T) {
			program := outside.Program(t, shell)
			e := environment{system: "linux", getenv: func(string) string { return program }}
			set, unset := e.inYourShell("ENDSMEET_TRY", "it's b")
			out, err := exec.Command(program, "-c", set+"; printenv ENDSMEET_TRY; "+unset+
				"; printenv ENDSMEET_TRY; true").Output()
			if err != nil || string(out) != "it's b\n" {
				t.Errorf("%s: %q (%v)", set, out, err)
			}
		})
	}
}
