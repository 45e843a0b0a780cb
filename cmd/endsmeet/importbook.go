package main

import (
	"io"
	"path/filepath"
	"slices"
	"strings"

	"endsmeet/importers"
	"endsmeet/importers/ods"
	"endsmeet/importers/tables"
	"endsmeet/importers/xlsx"
	"endsmeet/stash"
)

// workbook is an open workbook of any format.
type workbook interface {
	io.Closer
	Sheets() []string
	Grid(sheet string) (*importers.Grid, error)
}

// openBook opens a workbook by its extension; it is nil for a file that is none.
func openBook(path string) (workbook, error) {
	switch strings.ToLower(filepath.Ext(path)) {
	case ".xlsx", ".xlsm":
		return opened(xlsx.Open(path))
	case ".ods":
		return opened(ods.Open(path))
	}
	return nil, nil
}

// opened keeps a book that could not be opened from looking like one.
func opened[B workbook](book B, err error) (workbook, error) {
	if err != nil {
		return nil, err
	}
	return book, nil
}

// ownBook reads the tables of a workbook that `export --xlsx` wrote; nil where
// it is no such workbook, or another sheet of it is wanted.
func (k *call) ownBook(book workbook) (*tables.Stash, error) {
	sheet := strings.ToLower(strings.TrimSpace(k.String("sheet")))
	if book == nil || sheet != "" && !slices.Contains(tables.Kinds, sheet) {
		return nil, nil
	}
	for _, kind := range []string{"yarns", "items"} {
		if !isOwnSheet(book, kind) {
			return nil, nil
		}
	}
	return readTables(func(kind string) (*importers.Grid, error) {
		if !isOwnSheet(book, kind) {
			return nil, nil
		}
		grid, err := book.Grid(kind)
		return guarded(grid), err
	})
}

// noteUnread says which sheets of a workbook were not read, and what would bring them.
func (k *call) noteUnread(book workbook, how string, read ...string) {
	unread := slices.DeleteFunc(slices.Clone(book.Sheets()),
		func(name string) bool { return slices.Contains(read, name) })
	if len(unread) > 0 {
		k.note("not read: %s %s; %s", map[bool]string{true: "the sheet", false: "the sheets"}[len(unread) == 1],
			stash.AndMore(unread[:min(len(unread), stash.FewNamed+1)], len(unread)), how)
	}
}

// isOwnSheet says whether a workbook has the table of a kind, by its name and its
// first heading.
func isOwnSheet(book workbook, kind string) bool {
	if !slices.Contains(book.Sheets(), kind) {
		return false
	}
	grid, err := book.Grid(kind)
	if err != nil {
		return false
	}
	for row, err := range grid.Rows {
		return err == nil && len(row.Cells) > 0 && row.Cells[0].Text == tables.HeadOf(kind)
	}
	return false
}

// guarded gives the cells of a workbook, in which every text is a text, as a
// table of plain text has them.
func guarded(grid *importers.Grid) *importers.Grid {
	if grid == nil {
		return nil
	}
	out := *grid
	out.Rows = func(yield func(importers.Row, error) bool) {
		for row, err := range grid.Rows {
			for i := range row.Cells {
				row.Cells[i].Text = tables.Guard(row.Cells[i].Text)
			}
			if !yield(row, err) {
				return
			}
		}
	}
	return &out
}
