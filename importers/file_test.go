//go:build unix

package importers

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// What is no ordinary file is refused before it is opened: a pipe would be
// waited for, a device never end.
func TestOnlyOrdinaryFilesAreOpened(t *testing.T) {
	dir := t.TempDir()
	path := func(name string) string { return filepath.Join(dir, name) }
	if err := errors.Join(os.WriteFile(path("full"), []byte("four"), 0o600),
		os.WriteFile(path("empty"), nil, 0o600),
		syscall.Mkfifo(path("pipe"), 0o600), os.Symlink(path("full"), path("link")),
		os.Symlink(path("pipe"), path("linked pipe"))); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		path string
		most int64
		why  string
	}{
		{path("full"), 0, ""}, {path("full"), 4, ""}, {path("link"), 0, ""},
		{path("full"), 3, "larger than"}, {path("empty"), 0, "empty"}, {dir, 0, "a folder"},
		{path("pipe"), 0, "no ordinary file"}, {path("linked pipe"), 0, "no ordinary file"},
		{os.DevNull, 0, "no ordinary file"},
	} {
		err := CheckFile(tt.path, tt.most)
		var p *Problem
		switch {
		case tt.why == "" && err != nil:
			t.Errorf("%s: %v", tt.path, err)
		case tt.why != "" && (!errors.As(err, &p) || !strings.Contains(p.Reason, tt.why) ||
			p.File != tt.path || p.Hint == ""):
			t.Errorf("%s of at most %d bytes: got %v, want %q", tt.path, tt.most, err, tt.why)
		}
	}
	if err := CheckFile(path("nowhere"), 0); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got %v", err)
	}
}
