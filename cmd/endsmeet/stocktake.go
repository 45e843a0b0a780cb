package main

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func stocktakeCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "stocktake", Category: groupYarn, ArgsUsage: "[BIN]",
		Usage: "Weigh what is in a bin, or everything, one item after the other.",
		Description: "Scan or type a tag, then type the weight or, with --port, press Enter to take it from the\n" +
			"scale. Differences are shown at once; what looks like a slip is asked about. All is recorded\n" +
			"together when you type done, and one undo takes all of it back. Type later, or break off, and\n" +
			"the next stocktake goes on where you were; drop takes the last reading out, left lists what is missing.\n" +
			"--from takes a list with a tag and a weight on each line, or a sheet with columns headed tag and gross or net.",
		Flags: recorded(
			&cli.StringFlag{Name: "from",
				Usage: "read tags and weights from this `FILE`, a list or a sheet; - is a list from standard input"},
			&cli.StringFlag{Name: "unit",
				Usage: "the `UNIT` of weights typed without one: g, oz, kg or lb"},
			&cli.BoolFlag{Name: "net", Usage: "weights are of the yarn alone"},
			&cli.StringFlag{Name: "scale", Usage: "the smallest `WEIGHT` the scale shows, such as 1g"},
			&cli.StringFlag{Name: "port",
				Usage: "the `DEVICE` that is the line to a scale, such as /dev/ttyUSB0 or COM3"},
			&cli.StringFlag{Name: "line",
				Usage: "speed, bits, parity and stop bits of that line, as the manual of the scale says: `TEXT`", Value: "9600 8N1"},
			&cli.StringFlag{Name: "command",
				Usage: "the `TEXT` that asks the scale for its weight, such as S; without, it sends by itself"},
			&cli.BoolFlag{Name: "move", Usage: "record BIN as the bin of what is found there"},
			&cli.StringFlag{Name: "sheet", Usage: "the `NAME` of the sheet in a workbook"},
			&cli.StringSliceFlag{Name: "map",
				Usage: "what a column means, such as \"shown=gross:g\": `HEADING=FIELD[:UNIT]`; again for more"},
			&cli.BoolFlag{Name: "new",
				Usage: "forget the stocktake that was broken off, and begin again"},
			noteFlag()),
		Action: action(e, 0, 1, stocktake),
	}
}

// stockReading is one reading of a stocktake.
type stockReading struct {
	ID   stash.PackageID `json:"id"`
	Mass measure.Mass    `json:"mass_mg"`
	Net  bool            `json:"net,omitempty"`
	Step measure.Mass    `json:"step_mg,omitempty"`
	At   time.Time       `json:"at"`
	// Raw is the line of the scale, if it came from one.
	Raw string `json:"raw,omitempty"`
	// Dropped says that the reading before of this item is taken out.
	Dropped bool `json:"dropped,omitempty"`
}

// reading is what the ledger records of it.
func (c stockReading) reading() stash.Reading {
	if c.Net {
		return stash.Reading{Net: &c.Mass, Step: c.Step}
	}
	return stash.Reading{Gross: &c.Mass, Step: c.Step}
}

func stocktake(k *call) error {
	if _, err := k.stockMass("1"); err != nil {
		return err
	}
	if k.String("from") == "" && k.env.stdinTTY {
		return k.stocktakeAsked()
	}
	if k.String("port") != "" {
		return stash.Refuse(stash.CodeUsage,
			"Run it in a terminal, where you can type or scan the tags.",
			"With --port the tags are asked for, and there is no terminal.")
	}
	return k.stocktakeFile()
}

// stockRoom reads what is on the shelf. A bin that nothing was ever in is an error.
func (k *call) stockRoom(tx *sqlite.Tx, bin string) (*show.Stockroom, error) {
	s, err := newShelf(tx)
	if err != nil {
		return nil, err
	}
	packages, err := tx.Packages(false)
	if err != nil {
		return nil, err
	}
	room := &show.Stockroom{Bin: bin, Items: map[stash.PackageID]show.Item{}}
	var bins []string
	for _, p := range packages {
		if p.Yarn == "" {
			continue
		}
		room.Items[p.ID] = s.item(p)
		room.Order = append(room.Order, p.ID)
		bins = append(bins, p.Bin)
	}
	slices.SortFunc(room.Order, func(a, b stash.PackageID) int {
		return cmp.Or(stash.Naturally(room.Items[a].Tag, room.Items[b].Tag),
			strings.Compare(string(a), string(b)))
	})
	if len(room.Order) == 0 {
		return nil, stash.Refuse(stash.CodeUnknown,
			"Begin with `endsmeet receive NAME --net WEIGHT`.", "Nothing is on the shelf.")
	}
	if bin != "" && !slices.ContainsFunc(bins,
		func(b string) bool { return strings.EqualFold(b, bin) }) {
		return nil, stash.Refuse(stash.CodeUnknown,
			stash.DidYouMean(bin, bins)+"`endsmeet list --sort bin` shows the bins.",
			"No item is in a bin %s.", stash.Quote(bin))
	}
	return room, nil
}

// stockMass reads a weight; one without a unit is in that of --unit or of the scale,
// or grams or ounces as the settings have it.
func (k *call) stockMass(text string) (measure.Mass, error) {
	text = strings.TrimSpace(text)
	if strings.Trim(text, "0123456789.,") == "" && text != "" {
		text += " " + k.stockUnit()
	}
	return typed(k, text, measure.ParseMass)
}

func (k *call) stockUnit() string {
	if unit := k.String("unit"); unit != "" {
		return unit
	}
	if settings, found := k.knownSettings(); found && settings.ScaleUnit != "" {
		return settings.ScaleUnit
	}
	if k.units == measure.Imperial {
		return "oz"
	}
	return "g"
}

// checked refuses a reading that the ledger would: a tare above the gross.
func (c stockReading) checked(it show.Item) error {
	_, err := it.Pack.Weigh(stash.Move{At: c.At, Reading: c.reading()})
	return err
}

// recordCount records the readings of a stocktake in one act, and answers. Read
// gives them.
func (k *call) recordCount(bin string, read func(*sqlite.Tx, *show.Stockroom) ([]stockReading,
	error)) error {
	return k.act(func(tx *sqlite.Tx) error {
		room, err := k.stockRoom(tx, bin)
		if err != nil {
			return err
		}
		reads, err := read(tx, room)
		if err != nil {
			return err
		}
		k.noteAllOff(room, reads)
		for _, c := range reads {
			if err := k.recordCounted(tx, room, c); err != nil {
				return fmt.Errorf("%s: %w", room.Items[c.ID].Tag, err)
			}
		}
		after, err := k.stockRoom(tx, bin)
		if err != nil {
			return err
		}
		shape := stocktakeOf(room, after, reads)
		shape.Act = tx.Act()
		return k.answer(shape, shape.Printer(k.units))
	})
}

func (k *call) recordCounted(tx *sqlite.Tx, room *show.Stockroom, c stockReading) error {
	p, _, err := tx.Package(c.ID)
	if err != nil {
		return err
	}
	if err := p.Countable(); err != nil {
		return err
	}
	note := strings.TrimPrefix(k.String("note")+"; the scale sent "+c.Raw, "; ")
	if c.Raw == "" {
		note = k.String("note")
	}
	m := stash.Move{At: k.weighedAt(tx, c.At, p), Reading: c.reading(), Note: note}
	d, err := p.Weigh(m)
	if err == nil {
		err = k.settled(m.At, p)
	}
	if err != nil {
		return err
	}
	if _, err = tx.Record(d); err != nil || room.Bin == "" || !k.Bool("move") ||
		strings.EqualFold(p.Bin, room.Bin) {
		return err
	}
	value, err := stash.Value(stash.WhatPackage, "bin", room.Bin)
	if err != nil {
		return err
	}
	return tx.SetFacts(stash.WhatPackage, stash.Subject(p.ID), stash.Fields{"bin": value})
}
