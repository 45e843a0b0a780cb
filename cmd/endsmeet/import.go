package main

import (
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/importers/csvfile"
	"endsmeet/importers/tables"
	"endsmeet/stash"
)

func importCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "import", Category: groupExchange, ArgsUsage: "FILE",
		Usage: "Read a spreadsheet of yarn, or what `export` wrote.",
		Description: "FILE is a table (.csv, .xlsx, .ods) with a heading above each column and a yarn in each row, a folder that `export --csv` wrote, events that `export --events` wrote (.jsonl), or - for any such file from standard input.\n" +
			"Such a folder turns an empty stash into the exported one, with all its history, if its tables are unchanged; otherwise its yarns, items and projects are imported as they are.\n" +
			"A table is imported as one step: one `undo` takes it back. A history is imported step by step, and `undo ID` takes back one; to try a whole history, import it into a stash of its own (--stash FILE), which you can delete. Every bad row is named, and nothing is imported until they are mended or you give --skip-bad.\n" +
			"Importing the same file again adds nothing; rows that changed are listed, and recorded with --correct.",
		Flags: recorded(
			&cli.StringFlag{Name: "sheet", Usage: "the `NAME` of the sheet in a workbook"},
			&cli.StringSliceFlag{Name: "map",
				Usage: "what a column means, such as \"weight=net:oz\": `HEADING=FIELD[:UNIT]`; again for more"},
			&cli.StringFlag{Name: "mapping", Usage: "read the columns as saved under this `NAME`"},
			&cli.StringFlag{Name: "save-mapping",
				Usage: "save how the columns were read, under this `NAME`"},
			&cli.StringFlag{Name: "decimal", Usage: "decimal `SIGN` of the file: comma or point"},
			&cli.StringFlag{Name: "delimiter",
				Usage: "`SIGN` between cells: comma, semicolon, tab or another"},
			&cli.StringFlag{Name: "encoding", Usage: "`ENCODING` of the file: " +
				strings.Join(csvfile.Encodings(), ", ")},
			&cli.StringFlag{Name: "collection",
				Usage: "a `NAME` for these rows, if two sheets use the same numbers"},
			&cli.BoolFlag{Name: "dry-run",
				Usage: "show what would be imported, and record nothing"},
			&cli.BoolFlag{Name: "skip-bad", Usage: "import the good rows although others are bad"},
			&cli.StringFlag{Name: "bad-rows",
				Usage: "write the bad rows to this new `FILE`, not -, to mend and import"},
			&cli.BoolFlag{Name: "correct", Usage: "record rows that changed since the last import"},
			&cli.StringFlag{Name: "weights",
				Usage: "a changed weight with --correct is what the item had when it came in, or has now: `received or now`"},
			&cli.BoolFlag{Name: "empty-clears",
				Usage: "with --correct, an empty cell clears what is recorded; otherwise it says nothing"},
		),
		Action: action(e, 1, 1, importFile),
	}
}

// importFile takes in whatever the file is.
func importFile(k *call) error {
	if k.Context.String("bad-rows") == dash {
		return stash.Refuse(stash.CodeUsage, "name a file for them",
			"the bad rows and what came in cannot both go to standard output")
	}
	return k.fromFile(k.Args().First(), k.importPath)
}

func (k *call) importPath(path string) error {
	defer keepWithin(importMemory)()
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return unreadable(path, err)
	case info.IsDir():
		return importFolder(k, path)
	case strings.EqualFold(filepath.Ext(path), ".jsonl"):
		return importEvents(k, path)
	case isTable(path, "events"):
		return importEvents(k, path)
	case isExport(path):
		return importFolder(k, filepath.Dir(path))
	}
	book, err := openBook(path)
	if err != nil {
		return tableError(err)
	}
	if book != nil {
		defer book.Close()
	}
	if own, err := k.ownBook(book); own != nil || err != nil {
		if err != nil {
			return err
		}
		k.noteUnread(book, "a backup and `export --events` bring all of a stash",
			append([]string{"stash"}, tables.Kinds...)...)
		return importTables(k, path, own)
	}
	return importTable(k, path, book)
}

// unreadable says that a file cannot be read.
func unreadable(path string, err error) error {
	if os.IsNotExist(err) {
		return stash.Refuse(stash.CodeInput, "check its name and folder", "there is no file %s",
			stash.Clean(path))
	}
	e := stash.Refuse(stash.CodeInput, "check that it may be read", "%s cannot be read: %s",
		stash.Clean(path), show.SystemWords(err))
	e.Cause = err
	return e
}
