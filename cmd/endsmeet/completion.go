package main

import (
	"embed"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
)

// shellScripts are the scripts that have a shell ask the program what could
// come next.
//
//go:embed shells
var shellScripts embed.FS

// completionShells are the shells, with the name of the script for each.
var completionShells = []struct{ shell, script string }{
	{"bash", "endsmeet.bash"}, {"zsh", "endsmeet.zsh"}, {"fish", "endsmeet.fish"},
	{"powershell", "endsmeet.ps1"},
}

func completionCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "completion", Category: groupHouse, ArgsUsage: "bash|zsh|fish|powershell",
		Usage: "Print the script that lets your shell complete commands, options and names.",
		Description: "Each in a folder that must be there already.\n" +
			"For bash: endsmeet completion bash > ~/.local/share/bash-completion/completions/endsmeet\n" +
			"For zsh, into a folder of $fpath: endsmeet completion zsh > ~/.zfunc/_endsmeet\n" +
			"For fish: endsmeet completion fish > ~/.config/fish/completions/endsmeet.fish\n" +
			"For PowerShell, in its profile: endsmeet completion powershell | Out-String | Invoke-Expression",
		Action: action(e, 1, 1, completion),
	}
}

func completion(k *call) error {
	wanted := k.Args().First()
	var shells []string
	for _, s := range completionShells {
		if s.shell == wanted {
			script, err := shellScripts.ReadFile("shells/" + s.script)
			if err != nil {
				return err
			}
			_, err = show.Document(k.env.stdout).Write(script)
			return err
		}
		shells = append(shells, s.shell)
	}
	return stash.Refuse(stash.CodeUsage, stash.OneOf(wanted, shells),
		"There is no completion for %q", stash.Clean(wanted))
}
