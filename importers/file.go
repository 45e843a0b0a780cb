package importers

import (
	"errors"
	"fmt"
	"os"
)

// CheckFile refuses what cannot be imported whatever its format: directories,
// devices, empty files, and files of more than limit bytes if limit is above 0.
// The error is a *Problem with the file's name, or the system's.
func CheckFile(path string, limit int64) error {
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	p := &Problem{File: path}
	switch {
	case info.IsDir():
		p.Reason, p.Hint = "this is a folder", "name a file in it"
	case !info.Mode().IsRegular():
		p.Reason, p.Hint = "this is no ordinary file", "copy its contents into a file"
	case info.Size() == 0:
		p.Reason, p.Hint = "the file is empty",
			"check that it was saved, and that it is the right file"
	case limit > 0 && info.Size() > limit:
		p.Reason, p.Hint = fmt.Sprintf("the file is larger than %d MB", limit>>20),
			"export the table as CSV, in several files if it is one already"
	default:
		return nil
	}
	return p
}

// Locate puts a file's and a sheet's name on err if it is a *Problem without
// them, and returns err.
func Locate(err error, file, sheet string) error {
	var p *Problem
	if errors.As(err, &p) {
		p.File, p.Sheet = file, sheet
	}
	return err
}
