package main

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

func TestWholeFolder(t *testing.T) {
	t.Parallel()
	full := errors.New("no room")
	half := func(dir string) error {
		if err := os.WriteFile(filepath.Join(dir, "a.csv"), []byte("x"), 0o600); err != nil {
			return err
		}
		return full
	}
	t.Run("a new folder that cannot be filled is not there afterwards", func(t *testing.T) {
		folder := filepath.Join(t.TempDir(), "out")
		if err := wholeFolder(folder, half); !errors.Is(err, full) {
			t.Fatal(err)
		}
		if _, err := os.Stat(folder); !errors.Is(err, os.ErrNotExist) {
			t.Fatal("it was left:", err)
		}
	})
	t.Run("an empty folder that cannot be filled stays, and empty", func(t *testing.T) {
		folder := t.TempDir()
		if err := wholeFolder(folder, half); !errors.Is(err, full) {
			t.Fatal(err)
		}
		if files, err := os.ReadDir(folder); err != nil || len(files) != 0 {
			t.Fatal(files, err)
		}
	})
	t.Run("a folder that was filled holds the files and nothing else", func(t *testing.T) {
		folder := t.TempDir()
		err := wholeFolder(folder, func(dir string) error { _ = half(dir); return nil })
		files, readErr := os.ReadDir(folder)
		if err != nil || readErr != nil || len(files) != 1 || files[0].Name() != "a.csv" {
			t.Fatal(files, err, readErr)
		}
	})
}
