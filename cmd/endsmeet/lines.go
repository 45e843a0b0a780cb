package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func fromFlag() cli.Flag {
	return &cli.StringFlag{Name: "from",
		Usage: "read an item, or an item and its weight, from each line of this `FILE`; - is standard input"}
}

// line is one line of a list, with where it stands.
type line struct {
	place, item, rest string
}

// lines reads the list that --from names: what is empty or begins with # is
// passed over.
func (k *call) lines() ([]line, error) { return k.linesOf(k.String("from")) }

// LinesOf reads the list in a file.
func (k *call) linesOf(path string) ([]line, error) {
	in, name := k.env.stdin, "standard input"
	if path != "-" {
		f, err := os.Open(path)
		if err != nil {
			return nil, unreadable(path, err)
		}
		defer f.Close()
		in, name = f, stash.Clean(path)
	}
	var out []line
	scan := bufio.NewScanner(in)
	for n := 1; scan.Scan(); n++ {
		text := strings.TrimSpace(scan.Text())
		if text == "" || text[0] == '#' {
			continue
		}
		item, rest, _ := strings.Cut(strings.Replace(text, "\t", " ", 1), " ")
		out = append(out, line{fmt.Sprintf("%s, line %d", name, n), item, strings.TrimSpace(rest)})
	}
	if err := scan.Err(); err != nil {
		return nil, err
	}
	if len(out) == 0 {
		return nil, stash.Refuse(stash.CodeInput,
			"write the tag of an item on each line, as `endsmeet list --ids` does",
			"%s names nothing", name)
	}
	return out, nil
}

// weighLines records a weighing of each line: all of them, or none.
func (k *call) weighLines(at time.Time) error {
	if k.NArg() > 1 {
		return tooMany(k.Context)
	}
	lines, err := k.lines()
	if err != nil {
		return err
	}
	return k.act(func(tx *sqlite.Tx) error {
		var before []stash.Package
		for _, l := range lines {
			p, err := k.weighLine(tx, l, at)
			if err != nil {
				return fmt.Errorf("%s: %w", l.place, err)
			}
			before = append(before, p)
		}
		return k.answerChanges(tx, before, k.tellWeighed)
	})
}

func (k *call) weighLine(tx *sqlite.Tx, l line, at time.Time) (stash.Package, error) {
	text := l.rest
	if text == "" {
		text = k.Args().First()
	}
	if text == "" {
		return stash.Package{}, stash.Refuse(stash.CodeInput,
			"write it after the item, or give one for all: endsmeet weigh --from FILE WEIGHT",
			"%q has no weight", stash.Clean(l.item))
	}
	mass, err := k.mass(text)
	if err != nil {
		return stash.Package{}, err
	}
	return k.weighOne(tx, l.item, mass, at)
}

// answerChanges answers for several packages what answerChange does for one.
func (k *call) answerChanges(tx *sqlite.Tx, before []stash.Package,
	text func(io.Writer, stash.Package, show.Item)) error {
	items := []show.Item{}
	for _, p := range before {
		it, err := k.afterChange(tx, p)
		if err != nil {
			return err
		}
		items = append(items, it)
	}
	return k.answer(items, func(w io.Writer) {
		for i, it := range items {
			text(w, before[i], it)
		}
	})
}
