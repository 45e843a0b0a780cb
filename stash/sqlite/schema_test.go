package sqlite

import (
	"context"
	"os"
	"path/filepath"
	"testing"
)

func TestStashesOfOldSchemasAreBroughtUpToDate(t *testing.T) {
	files, err := filepath.Glob("testdata/schema/v*.db")
	if err != nil || len(files) == 0 {
		t.Fatal("no old stash found", err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			raw, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(t.TempDir(), "stash.db")
			if err := os.WriteFile(path, raw, 0o600); err != nil {
				t.Fatal(err)
			}
			checkUpToDate(t, path)
		})
	}
}

func checkUpToDate(t *testing.T, path string) {
	t.Helper()
	ctx := context.Background()
	s, err := Open(ctx, path, Options{Machine: "test"})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	err = s.View(ctx, func(tx *Tx) error {
		report, err := tx.Check()
		if err != nil {
			return err
		}
		if !report.OK() {
			t.Errorf("check finds %v", report.Findings)
		}
		packages, err := tx.Packages(false)
		if len(packages) == 0 {
			t.Error("no package is left")
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if version, err := schema(ctx, s.db, path); err != nil || version != schemaVersion {
		t.Errorf("the schema is %d, %v, after opening", version, err)
	}
}
