package dir

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"

	"endsmeet/stash/lasting"
	"endsmeet/stash/remote"
)

// Temporary files are called .~s-<owner>-<chance>.tmp: outside the grammar of
// remote.Name, hidden where that means something, and different even for two
// machines that write the same object at once.
const (
	temporaryStart = ".~s-"
	temporaryEnd   = ".tmp"
)

// Put writes a file whole or not at all. See remote.Remote.
func (d *Dir) Put(ctx context.Context, name remote.Name, data []byte) error {
	root, err := d.begin(ctx, name.Check())
	if err != nil {
		return err
	}
	d.options.Fault.At(remote.PointBeforePut)
	if !d.present() {
		return d.wrong("put", string(name), fs.ErrNotExist)
	}
	path := filepath.FromSlash(string(name))
	if err := d.put(root, path, data); err != nil {
		return d.notPut(name, err)
	}
	d.options.Fault.At(remote.PointAfterPut)
	return nil
}

// notPut is the error of a Put, for which there is no NotFound: a directory
// that went away under it can be made again, one that bears the name can't.
func (d *Dir) notPut(name remote.Name, err error) error {
	e := d.wrong("put", string(name), err)
	if e.Kind == remote.NotFound && errors.Is(err, fs.ErrNotExist) {
		e.Kind, e.Hint = remote.Retry, "something else is changing the folder; run it again"
	} else if e.Kind == remote.NotFound {
		e.Kind, e.Hint = remote.Refused,
			"a folder has the name of a file that belongs there; move it away"
	}
	return e
}

// put makes the directory, writes the temporary file, and gives it its name.
// What is there under that name already is replaced: it is the same, or damaged.
func (d *Dir) put(root *os.Root, path string, data []byte) error {
	parent := filepath.Dir(path)
	if err := d.prepare(root, parent); err != nil {
		return err
	}
	temporary := filepath.Join(parent, fmt.Sprintf("%s%s-%016x%s", temporaryStart, d.options.Owner,
		rand.Uint64(), temporaryEnd))
	err := d.write(root, temporary, data)
	if err == nil {
		d.options.Fault.At(remote.PointBeforeRename)
		err = root.Rename(temporary, path)
	}
	if err != nil {
		return errors.Join(err, ignoreMissing(root.Remove(temporary)))
	}
	d.options.Fault.At(remote.PointBeforeDirsync)
	return lasting.FolderIn(root, parent)
}

// write makes the temporary file with all of data in it, safe on the medium.
func (d *Dir) write(root *os.Root, temporary string, data []byte) error {
	file, err := root.OpenFile(temporary, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return err
	}
	half := len(data) / 2
	_, err = file.Write(data[:half])
	if err == nil {
		d.options.Fault.At(remote.PointHalfWritten)
		_, err = file.Write(data[half:])
	}
	if err == nil {
		d.options.Fault.At(remote.PointBeforeFsync)
		err = file.Sync()
	}
	if closed := file.Close(); err == nil {
		err = closed
	}
	return err
}

// prepare makes parent and what is missing above it inside the root. The first
// time, each name is made durable in the directory that holds it, also of a
// directory that was there: the run that made it may have been killed before
// that. Then what earlier runs left in it is removed.
func (d *Dir) prepare(root *os.Root, parent string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if info, err := root.Stat(parent); d.ready[parent] && err == nil && info.IsDir() {
		return nil
	}
	if err := makeDirectory(root, parent); err != nil {
		return err
	}
	d.sweep(root, parent)
	d.ready[parent] = true
	return nil
}

func makeDirectory(root *os.Root, parent string) error {
	if parent == "." {
		return nil
	}
	above := filepath.Dir(parent)
	if err := makeDirectory(root, above); err != nil {
		return err
	}
	if err := root.Mkdir(parent, 0o777); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return lasting.FolderIn(root, above)
}

// sweep removes the temporary files that earlier runs of this owner left in
// a directory; nothing of this run is there yet. It does what it can: one that
// stays does no harm.
func (d *Dir) sweep(root *os.Root, parent string) {
	if d.options.Owner == "" {
		return
	}
	entries, err := fs.ReadDir(root.FS(), filepath.ToSlash(parent))
	if err != nil {
		return
	}
	for _, entry := range entries {
		if strings.HasPrefix(entry.Name(), temporaryStart+d.options.Owner+"-") &&
			isTemporary(entry.Name()) {
			_ = root.Remove(filepath.Join(parent, entry.Name()))
		}
	}
}

func isTemporary(name string) bool {
	return strings.HasPrefix(name, temporaryStart) && strings.HasSuffix(name, temporaryEnd)
}

func ignoreMissing(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
