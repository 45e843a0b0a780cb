package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/photo"
	"endsmeet/stash/sqlite"
)

func photoCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "photo", Category: groupLooking,
		Usage: "Keep photos of yarns, balls and cones, and pieces.",
		Subcommands: []*cli.Command{
			{
				Name: "add", ArgsUsage: "ITEM|YARN|PIECE FILE",
				Usage: "Keep a photo of an item, a yarn or a piece; the book and the card show it.",
				Description: "FILE is a JPEG, PNG or WebP, or - for standard input. It is turned upright, made smaller and written again: nothing of the place, the\n" +
					"camera or the owner is kept. The newest photo is the one shown; `endsmeet undo` takes it back.",
				Flags: recorded(), Action: action(e, 2, 2, photoAdd),
			},
			{
				Name: "save", ArgsUsage: "ITEM|YARN|PIECE FILE",
				Usage:       "Write the newest photo of an item, a yarn or a piece into a file.",
				Description: "FILE may be - for standard output.",
				Flags: []cli.Flag{&cli.BoolFlag{Name: "small", Usage: "write the small copy that lists show"},
					&cli.BoolFlag{Name: "force", Usage: "overwrite a file that exists"}},
				Action: action(e, 2, 2, photoSave),
			},
			{
				Name: "list", ArgsUsage: "[ITEM|YARN|PIECE]",
				Usage:  "List the photos there are.",
				Action: action(e, 0, 1, photoList),
			},
		},
	}
}

func photoAdd(k *call) error {
	data, err := k.pictureFile(k.Args().Get(1))
	if err != nil {
		return err
	}
	made, err := photo.Read(data)
	if err != nil {
		return stash.Refuse(stash.CodeInput, "", "%s: %v", stash.Clean(k.Args().Get(1)), err)
	}
	return k.act(func(tx *sqlite.Tx) error {
		thing, name, err := k.photographed(tx, k.Args().First())
		if err != nil {
			return err
		}
		body := stash.Pictured{Thing: thing, Width: made.Width, Height: made.Height,
			Bytes: int64(len(made.Full))}
		if body.Full, err = tx.KeepPicture(made.Full); err != nil {
			return err
		}
		if body.Small, err = tx.KeepPicture(made.Small); err != nil {
			return err
		}
		d := stash.Draft{Kind: stash.KindPhoto, Of: tx.NewID(), Body: body}
		if _, err := tx.Record(d); err != nil {
			return err
		}
		if _, isItem, err := tx.Package(stash.PackageID(thing)); err != nil || !isItem {
			made.Middle = ""
		}
		shape := show.PhotoItem{ID: stash.PhotoID(d.Of), Of: name, At: show.DayWords(tx.Now()),
			Width: body.Width, Height: body.Height, Bytes: body.Bytes, HereSmall: true,
			HereFull: true, Middle: stash.Known(made.Middle)}
		return k.answer(shape, func(w io.Writer) { show.PrintPhotoAdded(w, shape) })
	})
}

// pictureFile reads a file that is to be a picture, no more of it than a picture
// may have.
func (k *call) pictureFile(path string) ([]byte, error) {
	var from io.Reader = k.env.stdin
	if path != dash {
		f, err := os.Open(path)
		if err != nil {
			return nil, stash.Refuse(stash.CodeInput, "check the name", "%s cannot be read: %v",
				stash.Clean(path), err)
		}
		defer f.Close()
		from = f
	}
	data, err := io.ReadAll(io.LimitReader(from, photo.MostBytes+1))
	if err != nil {
		return nil, stash.Refuse(stash.CodeInput, "", "%s cannot be read: %v", stash.Clean(path),
			err)
	}
	return data, nil
}

// photographed finds what a photo is of: an item, a yarn or a piece.
func (k *call) photographed(tx *sqlite.Tx, name string) (stash.Subject, string, error) {
	m, err := findNamed(tx, name, stash.WhatYarn, stash.WhatPackage, stash.WhatPiece)
	if err != nil {
		return "", "", err
	}
	id, called := m.subject()
	return id, called, nil
}

// newestPhoto is the photo of a thing that is shown; false where there is none.
func newestPhoto(tx *sqlite.Tx, thing stash.Subject) (newest stash.Photo, found bool, err error) {
	all, err := tx.PhotosOf(thing)
	for _, p := range all {
		if !found || !p.At.Before(newest.At) {
			newest, found = p, true
		}
	}
	return newest, found, err
}

// isJPEG refuses a file of which the name says another kind of picture.
func isJPEG(path string) error {
	end := strings.ToLower(filepath.Ext(path))
	if !slices.Contains([]string{".png", ".webp", ".gif", ".bmp", ".tif", ".tiff", ".heic"}, end) {
		return nil
	}
	return stash.Refuse(stash.CodeUsage, "Write "+stash.Quote(strings.TrimSuffix(path, filepath.Ext(path))+".jpg"),
		"A photo is kept as JPEG, and %s would call it something else.", stash.Clean(path))
}

func photoSave(k *call) error {
	path := k.Args().Get(1)
	err := k.alone(path, "photo")
	if err == nil {
		err = isJPEG(path)
	}
	if err == nil && path != dash {
		err = newFile(path, k.Bool("force"))
	}
	if err != nil {
		return err
	}
	return k.view(func(tx *sqlite.Tx) error {
		thing, name, err := k.photographed(tx, k.Args().First())
		if err != nil {
			return err
		}
		p, found, err := newestPhoto(tx, thing)
		if err != nil {
			return err
		}
		if !found {
			return stash.Refuse(stash.CodeUnknown,
				"`"+stash.Command("photo add", stash.Clean(name))+" FILE`",
				"There is no photo of %s.", stash.Clean(name))
		}
		id := p.Full
		if k.Bool("small") {
			id = p.Small
		}
		data, here, err := tx.Picture(id)
		if err != nil {
			return err
		}
		if !here {
			return stash.Refuse(stash.CodeRefused,
				"`endsmeet sync` on a machine that has it, then here",
				"The photo of %s has not come to this machine yet.", stash.Clean(name))
		}
		k.tell = func() error { return k.writePhoto(path, data) }
		return nil
	})
}

func (k *call) writePhoto(path string, data []byte) error {
	if path == dash {
		_, err := k.env.stdout.Write(data)
		return err
	}
	if err := writeNew(path, data, k.Bool("force")); err != nil {
		return err
	}
	if k.asJSON() {
		return k.printJSON(map[string]any{"file": path, "bytes": len(data)})
	}
	_, err := fmt.Fprintf(k.env.stdout, "Written: %s, %s.\n", stash.Clean(path),
		show.BytesWords(int64(len(data))))
	return err
}

func photoList(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		photos, err := tx.Photos()
		if err == nil && k.NArg() > 0 {
			var thing stash.Subject
			if thing, _, err = k.photographed(tx, k.Args().First()); err == nil {
				photos, err = tx.PhotosOf(thing)
			}
		}
		if err != nil {
			return err
		}
		var items []show.PhotoItem
		for _, p := range photos {
			one, err := k.photoItem(tx, p)
			if err != nil {
				return err
			}
			items = append(items, one)
		}
		return k.answer(items, func(w io.Writer) { show.PrintPhotos(w, items) })
	})
}

func (k *call) photoItem(tx *sqlite.Tx, p stash.Photo) (show.PhotoItem, error) {
	one := show.PhotoItem{ID: p.ID, At: show.DayWords(p.At), Width: p.Width, Height: p.Height,
		Bytes: p.Bytes}
	var err error
	if one.Of, err = k.nameOf(tx, p.Thing); err != nil {
		return one, err
	}
	if _, one.HereSmall, err = tx.Picture(p.Small); err != nil {
		return one, err
	}
	_, one.HereFull, err = tx.Picture(p.Full)
	return one, err
}
