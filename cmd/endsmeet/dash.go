package main

import (
	"bufio"
	"bytes"
	"cmp"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
)

// dash stands for standard input, or output, where a file is named.
const dash = "-"

// alone refuses --json beside something else, where that is to go to standard output.
func (k *call) alone(path, what string) error {
	if path != dash || !k.asJSON() {
		return nil
	}
	return stash.Refuse(stash.CodeUsage, "name a file, or leave out --json",
		"the %s and JSON cannot both go to standard output", what)
}

// onDisk refuses - where only what lies on a disk will do: for the stash, for a folder,
// for the line to a scale.
func (k *call) onDisk() error {
	what := ""
	if k.env.stashPath(k.Context.String("stash")) == dash {
		what = "a stash"
	}
	for _, f := range k.Command.Flags {
		if k.Context.String(f.Names()[0]) == dash {
			what = cmp.Or(what, map[string]string{"FOLDER": "a folder", "DEVICE": "the line to a scale"}[placeholderOf(f)])
		}
	}
	for i, word := range placeholders(k.Command.ArgsUsage) {
		if word == "WHERE" && k.Args().Get(i) == dash {
			what = cmp.Or(what, "a shared place")
		}
	}
	if what == "" {
		return nil
	}
	return stash.Refuse(stash.CodeUsage, "name it; for a file called - write ./-",
		"%s cannot be standard input or output", what)
}

// fromFile has a file read, or one that holds what standard input gives and is then
// removed: in what is refused that is called standard input.
func (k *call) fromFile(path string, read func(path string) error) error {
	if path != dash {
		return read(path)
	}
	folder, err := os.MkdirTemp("", "endsmeet-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	in := bufio.NewReader(k.env.stdin)
	head, _ := in.Peek(128) // a shorter one is all there is
	path = filepath.Join(folder, "standard-input"+extensionOf(head))
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(f, in)
	if err := errors.Join(err, f.Close()); err != nil {
		return show.Unwritable(path, err)
	}
	err = read(path)
	var refused *stash.Error
	if errors.As(err, &refused) {
		refused.Problem = strings.ReplaceAll(refused.Problem, stash.Clean(path), "standard input")
	}
	return err
}

// extensionOf is what a file that begins like this is usually called by.
func extensionOf(head []byte) string {
	switch {
	case bytes.HasPrefix(head, []byte("PK")) && bytes.Contains(head, []byte("opendocument")):
		return ".ods"
	case bytes.HasPrefix(head, []byte("PK")):
		return ".xlsx"
	case bytes.HasPrefix(head, []byte("{")):
		return ".jsonl"
	}
	return ".csv"
}
