package dir

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"slices"
	"strings"

	"endsmeet/stash/remote"
)

// List walks the directories that can hold names under prefix. See remote.Remote.
func (d *Dir) List(ctx context.Context, prefix string, after remote.Name) (remote.Listing, error) {
	grammar := remote.CheckPrefix(prefix)
	if grammar == nil && after != "" {
		grammar = after.Check()
	}
	root, err := d.begin(ctx, grammar)
	if err != nil {
		return remote.Listing{}, err
	}
	w := walk{ctx: ctx, tree: root.FS(), prefix: prefix, after: after}
	err = w.enter(prefix[:strings.LastIndexByte(prefix, '/')+1])
	if errors.Is(err, fs.ErrNotExist) && d.present() {
		err = nil // nothing was ever put there
	}
	if ctx.Err() != nil {
		return remote.Listing{}, ctx.Err()
	}
	if err != nil {
		return remote.Listing{}, d.wrong("list", shownPrefix(prefix), err)
	}
	slices.Sort(w.found.Names)
	return w.found, nil
}

// shownPrefix is the prefix for an error message, which needs something to show.
func shownPrefix(prefix string) string {
	if prefix == "" {
		return "everything"
	}
	return prefix
}

// walk is one listing under way.
type walk struct {
	ctx    context.Context
	tree   fs.FS
	prefix string
	after  remote.Name
	found  remote.Listing
}

// enter lists one directory, given as "" or as a path that ends at a slash.
func (w *walk) enter(directory string) error {
	if err := w.ctx.Err(); err != nil {
		return err
	}
	path := "."
	if directory != "" {
		path = strings.TrimSuffix(directory, "/")
	}
	entries, err := fs.ReadDir(w.tree, path)
	if err != nil {
		return err
	}
	for _, entry := range entries {
		if err := w.see(directory, entry); err != nil {
			return err
		}
	}
	return nil
}

// see counts one entry, or enters it. A symbolic link is foreign: nothing
// here makes one, and it may lead anywhere.
func (w *walk) see(directory string, entry os.DirEntry) error {
	path := directory + entry.Name()
	if isTemporary(entry.Name()) {
		w.found.Unfinished++
		return nil
	}
	name, err := remote.ParseName(path)
	ours := err == nil && (entry.IsDir() || entry.Type().IsRegular())
	if ours && entry.IsDir() && strings.HasPrefix(path+"/", w.prefix) {
		return ignoreMissing(w.enter(path + "/"))
	}
	if !strings.HasPrefix(path, w.prefix) {
		return nil
	}
	if !ours {
		w.found.Ignore(path)
	} else if !entry.IsDir() && name > w.after {
		w.found.Names = append(w.found.Names, name)
	}
	return nil
}
