package dir_test

import (
	"os"
	"path/filepath"
	"testing"

	"endsmeet/stash/remote"
	"endsmeet/stash/remote/dir"
	"endsmeet/stash/remote/remotetest"
)

// open returns a client of the folder at path.
func open(t *testing.T, options dir.Options) *dir.Dir {
	t.Helper()
	d, err := dir.New(options)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = d.Close() })
	return d
}

// plant writes a file into the folder behind the client's back.
func plant(t *testing.T, folder, name string, data []byte) {
	t.Helper()
	path := filepath.Join(folder, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestDirKeepsTheContract(t *testing.T) {
	remotetest.Run(t, func(t *testing.T) remotetest.Place {
		folder := t.TempDir()
		return remotetest.Place{
			Open: func(t *testing.T) remote.Remote {
				return open(t, dir.Options{Path: folder, Owner: "me"})
			},
			Plant: func(t *testing.T, name string, data []byte) { plant(t, folder, name, data) },
		}
	})
}
