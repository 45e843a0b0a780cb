package main

import (
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
)

func completionCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "completion", Category: groupHouse, ArgsUsage: "bash|zsh|fish",
		Usage:       "print what makes your shell complete commands and options",
		Description: "For bash: endsmeet completion bash > ~/.local/share/bash-completion/completions/endsmeet",
		Action:      action(e, 1, 1, completion),
	}
}

func completion(k *call) error {
	var script string
	switch k.Args().First() {
	case "bash":
		script = bashCompletion
	case "zsh":
		script = zshCompletion
	case "fish":
		text, err := k.App.ToFishCompletion()
		if err != nil {
			return err
		}
		script = text
	default:
		return stash.Refuse(stash.CodeUsage, "one of: bash, zsh, fish", "no completion for %q", stash.Clean(k.Args().First()))
	}
	_, err := io.WriteString(k.env.stdout, strings.TrimLeft(script, "\n"))
	return err
}

// The scripts ask the program itself, by the option that the library answers.
const bashCompletion = `
_endsmeet() {
  local words
  words=$("${COMP_WORDS[@]:0:$COMP_CWORD}" --generate-bash-completion 2>/dev/null)
  COMPREPLY=($(compgen -W "$words" -- "${COMP_WORDS[$COMP_CWORD]}"))
}
complete -o default -F _endsmeet endsmeet
`

const zshCompletion = `
#compdef endsmeet
_endsmeet() {
  local -a words_found
  words_found=("${(@f)$("${words[@]:0:$((CURRENT-1))}" --generate-bash-completion 2>/dev/null)}")
  compadd -- "${words_found[@]}"
}
compdef _endsmeet endsmeet
`
