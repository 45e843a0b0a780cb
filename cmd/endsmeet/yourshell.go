package main

import (
	"path/filepath"
	"strings"

	"endsmeet/stash"
)

// inYourShell are the lines that give a variable of the environment a value and take it
// away again, as the reader's own shell takes them. It is the one place where a hint
// depends on the shell.
func (e *environment) inYourShell(name, value string) (set, unset string) {
	shell := strings.TrimSuffix(filepath.Base(e.getenv("SHELL")), ".exe")
	switch {
	case shell == "fish":
		return "set -gx " + name + " " + stash.Quote(value), "set -e " + name
	case e.system == "windows" && e.getenv("SHELL") == "" && e.getenv("PROMPT") != "":
		// cmd.exe, which alone sets PROMPT
		return `set "` + name + "=" + value + `"`, "set " + name + "="
	case e.system == "windows" && e.getenv("SHELL") == "":
		return "$env:" + name + " = '" + strings.ReplaceAll(value, "'", "''") + "'",
			"Remove-Item env:" + name
	}
	return "export " + name + "=" + stash.Quote(value), "unset " + name
}
