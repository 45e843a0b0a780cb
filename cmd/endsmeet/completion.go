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
		Usage:       "Print the script that lets your shell complete commands, options and names.",
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
  local now="${COMP_WORDS[$COMP_CWORD]}"
  if [[ $now == -* ]]; then
    words=$("${COMP_WORDS[@]:0:$COMP_CWORD}" "${now/#--/-}" --generate-bash-completion 2>/dev/null)
  else
    words=$("${COMP_WORDS[@]:0:$COMP_CWORD}" --generate-bash-completion 2>/dev/null)
  fi
  COMPREPLY=($(compgen -W "$words" -- "$now"))
}
complete -o default -F _endsmeet endsmeet
`

const zshCompletion = `
#compdef endsmeet
_endsmeet() {
  local -a words_found
  local now="${words[$CURRENT]}"
  if [[ $now == -* ]]; then
    words_found=("${(@f)$("${words[@]:0:$((CURRENT-1))}" "${now/#--/-}" --generate-bash-completion 2>/dev/null)}")
  else
    words_found=("${(@f)$("${words[@]:0:$((CURRENT-1))}" --generate-bash-completion 2>/dev/null)}")
  fi
  compadd -- "${words_found[@]}"
}
compdef _endsmeet endsmeet
`
