// Package dir keeps a shared place in a folder: a USB stick, a network
// share, or any folder that some service keeps the same on several machines.
//
// An object is written to a temporary file beside its place, every error
// checked, made durable, renamed, and the directory made durable: what has a
// name is whole. No links, locks or attributes are needed, so that exFAT and
// network shares will do. The folder itself is never created here: a stick
// that is not plugged in must not become an empty folder of the same name.
package dir

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"endsmeet/stash/lasting"
	"endsmeet/stash/remote"
)

// Options say which folder, and who writes to it.
type Options struct {
	Path string // the folder; must exist when it is first used

	// Owner marks this writer's temporary files, so that those a killed run
	// left behind can be told from another machine's unfinished ones: lower-
	// case letters and digits, the same in every run, used by one run at a
	// time. Empty: temporary files of killed runs stay.
	Owner string

	// Fault is called at the points that package remote names; nil outside tests.
	Fault remote.Fault
}

// Dir is a remote.Remote in a folder. It opens the folder at the first call
// and then holds on to it, so that a stick pulled out and replaced in the
// middle of an exchange cannot receive the second half.
type Dir struct {
	options Options
	mu      sync.Mutex
	root    *os.Root        // nil until first used
	ready   map[string]bool // directories that prepare has been through
}

// New returns the place in options.Path without touching it yet. It fails
// with Invalid when Owner is outside its grammar.
func New(options Options) (*Dir, error) {
	owner := options.Owner
	if owner != "" && (remote.Name(owner).Check() != nil || strings.ContainsAny(owner, "-./")) {
		return nil, &remote.Error{Kind: remote.Invalid, Op: "open", Place: options.Path,
			Cause: errors.New("the owner of temporary files must be letters and digits")}
	}
	return &Dir{options: options, ready: map[string]bool{}}, nil
}

// Close lets go of the folder. A later call opens it again.
func (d *Dir) Close() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.root == nil {
		return nil
	}
	err := d.root.Close()
	d.root = nil
	return err
}

// Get reads a file. See remote.Remote.
func (d *Dir) Get(ctx context.Context, name remote.Name) ([]byte, error) {
	root, err := d.begin(ctx, name.Check())
	if err != nil {
		return nil, err
	}
	data, err := root.ReadFile(filepath.FromSlash(string(name)))
	if err != nil {
		return nil, d.wrong("get", string(name), err)
	}
	return data, nil
}

// Delete removes a file and makes its going durable. Directories stay, since
// another machine may be about to write there. See remote.Remote.
func (d *Dir) Delete(ctx context.Context, name remote.Name) error {
	root, err := d.begin(ctx, name.Check())
	if err != nil {
		return err
	}
	d.options.Fault.At(remote.PointBeforeDelete)
	path := filepath.FromSlash(string(name))
	err = root.Remove(path)
	if err == nil {
		err = lasting.FolderIn(root, filepath.Dir(path))
	}
	if err != nil {
		if wrong := d.wrong("delete", string(name), err); wrong.Kind != remote.NotFound {
			return wrong
		}
	}
	d.options.Fault.At(remote.PointAfterDelete)
	return nil
}

// begin makes the checks that every method starts with, and opens the folder.
func (d *Dir) begin(ctx context.Context, grammar error) (*os.Root, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if grammar != nil {
		return nil, grammar
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.root != nil {
		return d.root, nil
	}
	root, err := os.OpenRoot(d.options.Path)
	if err != nil {
		return nil, d.notOpened(err)
	}
	d.root = root
	return root, nil
}

func (d *Dir) notOpened(err error) error {
	wrong := d.wrong("open", "", err)
	if wrong.Kind == remote.NotFound || wrong.Kind == remote.Refused {
		wrong.Kind = remote.NoPlace
		wrong.Hint = gone
	}
	return wrong
}

const gone = "plug in or mount what holds the folder, or give the right path; it is not created by itself"

// present tells whether the folder that is held open is still the one that
// the path leads to.
func (d *Dir) present() bool {
	d.mu.Lock()
	root := d.root
	d.mu.Unlock()
	if root == nil {
		return false
	}
	held, err := root.Stat(".")
	if err != nil {
		return false
	}
	now, err := os.Stat(d.options.Path)
	return err == nil && os.SameFile(held, now)
}

// wrong turns an error of the file system into one of package remote. That a
// file is missing can mean that the whole folder is.
func (d *Dir) wrong(op, object string, err error) *remote.Error {
	e := &remote.Error{Op: op, Object: object, Place: d.options.Path, Cause: err}
	e.Kind, e.Hint = classify(err)
	if e.Kind == remote.NotFound && object != "" && !d.present() {
		e.Kind, e.Hint = remote.NoPlace, gone
	}
	return e
}

// Holds tells whether file lies in folder or below it, after following
// symbolic links in both. The file itself need not exist yet, its directory
// must. A database that lies in the shared folder would be torn apart by
// whatever keeps that folder the same.
func Holds(folder, file string) (bool, error) {
	folder, err := resolve(folder)
	if err != nil {
		return false, err
	}
	real, err := resolve(file)
	if errors.Is(err, fs.ErrNotExist) {
		real, err = resolve(filepath.Dir(file))
	}
	if err != nil {
		return false, err
	}
	way, err := filepath.Rel(folder, real)
	if err != nil {
		return false, nil // no way from one to the other: another volume
	}
	return way != ".." && !strings.HasPrefix(way, ".."+string(filepath.Separator)), nil
}

func resolve(path string) (string, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return "", err
	}
	return filepath.EvalSymlinks(path)
}
