package aside

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"
)

func TestWhatAKilledProgramLeftIsRemoved(t *testing.T) {
	const dead = 1 << 30 // more than any process number
	now := time.Now()
	for name, c := range map[string]struct {
		age  time.Duration
		gone bool
	}{
		fmt.Sprintf(".endsmeet-%d-123", dead):     {2 * time.Hour, true},
		fmt.Sprintf(".endsmeet-%d-124-wal", dead): {2 * time.Hour, true},
		// perhaps of another machine
		fmt.Sprintf(".endsmeet-%d-125", dead):        {time.Minute, false},
		fmt.Sprintf(".endsmeet-%d-126", os.Getpid()): {48 * time.Hour, false},
		".stash-998877":    {48 * time.Hour, true},
		".endsmeet-998877": {48 * time.Hour, true},
		".stash-998878":    {2 * time.Hour, false},
		".endsmeet-notes":  {48 * time.Hour, false},
		"stash-998877":     {48 * time.Hour, false},
		fmt.Sprintf(".endsmeet-%d-123.txt", dead):           {48 * time.Hour, false},
		fmt.Sprintf(".endsmeet-%d-200/inside", dead):        {0, true},
		fmt.Sprintf(".endsmeet-%d-201/inside", os.Getpid()): {0, false},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, name)
			if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, nil, 0o600); err != nil {
				t.Fatal(err)
			}
			aged := path
			if c.age == 0 {
				aged, c.age = filepath.Dir(path), 48*time.Hour
			}
			if err := os.Chtimes(aged, now, now.Add(-c.age)); err != nil {
				t.Fatal(err)
			}
			f, err := File(dir)
			if err != nil {
				t.Fatal(err)
			}
			defer f.Close()
			if _, err := os.Stat(path); os.IsNotExist(err) != c.gone {
				t.Errorf("gone: %v, want %v", !c.gone, c.gone)
			}
			if info, err := f.Stat(); err != nil || info.Mode().Perm() != 0o600 {
				t.Error(info.Mode(), err)
			}
		})
	}
}
