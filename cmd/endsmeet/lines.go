package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

const fromUsage = "read an item, or an item and its amount, from each line of this `FILE`; - is standard input"

func fromFlag() cli.Flag { return &cli.StringFlag{Name: "from", Usage: fromUsage} }

// line is one line of a list, with where it stands.
type line struct {
	place
	item, rest string
}

// place is a line of a file; its number is 0 where it is none.
type place struct {
	file   string
	number int
}

func (p place) String() string { return fmt.Sprintf("%s, line %d", p.file, p.number) }

// lineError is what is wrong with a line.
type lineError struct {
	place
	err error
}

func (e lineError) Error() string { return e.place.String() + ": " + e.err.Error() }

func (e lineError) Unwrap() error { return e.err }

// whole is all that a line says, where nothing but an item stands on it.
func (l line) whole() string { return strings.TrimSpace(l.item + " " + l.rest) }

// lines reads the list that --from names: what is empty or begins with # is
// passed over.
func (k *call) lines() ([]line, error) { return k.linesOf(k.String("from")) }

// LinesOf reads the list in a file.
func (k *call) linesOf(path string) ([]line, error) {
	in, name := k.env.stdin, "standard input"
	if path != dash {
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
		out = append(out, line{place{name, n}, item, strings.TrimSpace(rest)})
	}
	if err := scan.Err(); err != nil {
		return nil, unreadable(name, err)
	}
	if len(out) == 0 {
		return nil, stash.Refuse(stash.CodeInput,
			"write the tag of an item on each line, as `endsmeet list --ids` does",
			"%s names nothing", name)
	}
	return out, nil
}

// told is an answer and how it is shown.
type told[T any] struct {
	shape T
	text  func(io.Writer)
}

// inLines records what do makes of one item, or with --from of each line of a list: of all
// of them or of none, and all that is wrong with them is said at once.
func inLines[T any](k *call, one line, do func(*sqlite.Tx, line) (told[T], error)) error {
	if k.String("from") == "" {
		return k.act(func(tx *sqlite.Tx) error {
			t, err := do(tx, one)
			if err != nil {
				return err
			}
			return k.answer(t.shape, t.text)
		})
	}
	lines, err := k.lines()
	if err != nil {
		return err
	}
	return k.act(func(tx *sqlite.Tx) error {
		all, bad := []T{}, []lineError{}
		var texts []func(io.Writer)
		for _, l := range lines {
			t, err := do(tx, l)
			if err != nil {
				bad = append(bad, lineError{l.place, err})
				continue
			}
			all, texts = append(all, t.shape), append(texts, t.text)
		}
		if err := k.allBad(bad); err != nil {
			return err
		}
		return k.answer(all, func(w io.Writer) {
			for _, text := range texts {
				text(w)
			}
		})
	})
}

// wordOf is what a line says after its item, else what the command says for all.
func (k *call) wordOf(l line, what string) (string, error) {
	if l.rest != "" || l.number == 0 {
		return l.rest, nil
	}
	if word := k.Args().First(); word != "" {
		return word, nil
	}
	return "", stash.Refuse(stash.CodeInput, "write it after the item, or give one for all: "+
		pathOf(k.Context)+" --from FILE "+strings.ToUpper(what),
		"%q has no %s", stash.Clean(l.item), what)
}

// itemIn is what a command of so many words is given, its item first; with --from a
// list has the items.
func (k *call) itemIn(words int) (line, error) {
	if k.String("from") != "" {
		if k.NArg() >= words {
			return line{}, tooMany(k.Context)
		}
		return line{}, nil
	}
	if k.NArg() < words {
		return line{}, tooFew(k.Context)
	}
	return line{item: k.Args().First(), rest: k.Args().Get(1)}, nil
}
