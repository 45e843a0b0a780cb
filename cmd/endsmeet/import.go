package main

import (
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/importers/csvfile"
	"endsmeet/stash"
)

func importCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "import", Category: groupExchange, ArgsUsage: "FILE",
		Usage: "take in a spreadsheet, or what `export` wrote",
		Description: "FILE is a table (.csv, .xlsx, .ods) with a heading above each column and a yarn in each row, a " +
			"folder that `export --csv` wrote, or events that `export --events` wrote (.jsonl).\n" +
			"Such a folder makes an empty stash the one that was exported, with all its history, if its tables are as they were; else its yarns, packages and projects come in as they stand there.\n" +
			"A table is one act: one `undo` takes it back. A history comes in as the acts that it was made of, and `undo EVENT` takes back one of them; to try a whole history out, import it into a stash of its own (--stash FILE), whose file you can remove. Every bad row is named, and nothing comes in until they are mended or --skip-bad is given. " +
			"The same file twice adds nothing; rows that changed are listed, and recorded with --correct.",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "sheet", Usage: "the sheet of this `NAME`"},
			&cli.StringSliceFlag{Name: "map", Usage: "what a column is: `HEADING=FIELD[:UNIT]` such as \"weight=net:oz\"; again for more"},
			&cli.StringFlag{Name: "mapping", Usage: "read the columns as saved under this `NAME`"},
			&cli.StringFlag{Name: "save-mapping", Usage: "keep how the columns were read under this `NAME`"},
			&cli.StringFlag{Name: "decimal", Usage: "how the file writes decimals, if it does not show: `SIGN`, comma or point"},
			&cli.StringFlag{Name: "delimiter", Usage: "what divides its cells, if not found out: `SIGN`, comma, semicolon, tab or another"},
			&cli.StringFlag{Name: "encoding", Usage: "its `ENCODING`, if not found out: " + strings.Join(csvfile.Encodings(), ", ")},
			&cli.StringFlag{Name: "collection", Usage: "a `NAME` for these rows, if two sheets number theirs alike"},
			&cli.BoolFlag{Name: "dry-run", Usage: "show what would come in and record nothing"},
			&cli.BoolFlag{Name: "skip-bad", Usage: "take in the good rows though others are bad"},
			&cli.StringFlag{Name: "bad-rows", Usage: "write bad rows to this new `FILE`, to be mended and imported"},
			&cli.BoolFlag{Name: "correct", Usage: "record rows that changed since the last import"},
			onFlag(),
		},
		Action: action(e, 1, 1, importFile),
	}
}

// importFile takes in whatever the file is.
func importFile(k *call) error {
	path := k.Args().First()
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
	return importTable(k, path)
}

// unreadable says that a file cannot be read.
func unreadable(path string, err error) error {
	if os.IsNotExist(err) {
		return stash.Refuse(stash.CodeInput, "check its name and folder", "there is no file %s", stash.Clean(path))
	}
	e := stash.Refuse(stash.CodeInput, "check that it may be read", "%s cannot be read: %s", stash.Clean(path), systemWords(err))
	e.Cause = err
	return e
}
