package main

import (
	"path/filepath"
	"regexp"
	"slices"
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
	"config NAME=VALUE", "config units=imperial", "FOLDER", "out", "export --xlsx FILE",
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
