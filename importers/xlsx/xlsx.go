package xlsx

import (
	"archive/zip"
	"errors"
	"strings"

	"endsmeet/importers"
)

// Limits of a workbook.
const (
	maxFile   = 256 << 20 // of the file as it is packed
	maxPart   = 32 << 20  // of any other unpacked part; it is held in memory
	maxParts  = 10_000
	maxColumn = 1000    // used columns; the format itself allows 16384
	inMemory  = 8 << 20 // of shared texts; more goes into a temporary file
)

var limits = importers.ZipLimits{Entries: maxParts, Part: maxPart, Large: importers.MaxPart,
	IsLarge: streamed}

// streamed reports whether a part is read as a stream, so that it may be large.
func streamed(name string) bool {
	lower := strings.ToLower(strings.ReplaceAll(name, "\\", "/"))
	return strings.HasPrefix(lower, "xl/worksheets/sheet") || lower == "xl/sharedstrings.xml"
}

// Workbook is an open workbook. Close removes its temporary file.
type Workbook struct {
	contents
	path   string
	zip    *zip.ReadCloser
	styles []shape // by style number
	texts  *texts
	budget *importers.Budget
}

// Open checks a workbook and opens it. The error is a *importers.Problem or the
// system's.
func Open(path string) (*Workbook, error) {
	if err := importers.CheckFile(path, maxFile); err != nil {
		return nil, err
	}
	z, err := zip.OpenReader(path)
	if err != nil {
		return nil, importers.NoZip(path, ".xlsx workbook")
	}
	w := &Workbook{path: path, zip: z, budget: importers.NewBudget()}
	if err := w.open(); err != nil {
		w.Close() // the first error is the one to tell
		return nil, importers.Locate(err, path, "")
	}
	return w, nil
}

func (w *Workbook) open() (err error) {
	if err := importers.CheckZip(&w.zip.Reader, limits); err != nil {
		return err
	}
	if w.contents, err = readContents(&w.zip.Reader, w.budget); err != nil {
		return err
	}
	if w.styles, err = readStyles(findPart(&w.zip.Reader, w.formats), w.budget); err != nil {
		return err
	}
	w.texts, err = readTexts(findPart(&w.zip.Reader, w.sharedTexts), w.budget)
	return err
}

// Close closes the workbook and removes its temporary file.
func (w *Workbook) Close() error {
	err := w.zip.Close()
	if w.texts != nil {
		err = errors.Join(err, w.texts.close())
	}
	return err
}

// Sheets lists the names of the sheets in the workbook's order, hidden ones too.
func (w *Workbook) Sheets() []string { return w.sheets.Names() }

// Grid returns a sheet as a grid, which is good until Close. The error is a
// *importers.Problem.
func (w *Workbook) Grid(name string) (*importers.Grid, error) {
	return w.sheets.Grid(w.path, name, w.rows)
}
