package main

import (
	"bytes"
	"io"
	"strings"

	"endsmeet/cmd/endsmeet/show"
)

// lineOf is an item as it is asked for: its tag alone, JSON or cells.
func (k *call) lineOf(it show.Item) (show.ListLine, error) {
	line, bars := show.ListedOf(it), k.Bool("bars")
	switch {
	case k.Bool("lots"), k.Bool("ids"):
	case k.asJSON():
		var out bytes.Buffer
		if err := show.EncodeJSON(&out, it); err != nil {
			return line, err
		}
		line.JSON = bytes.Clone(out.Bytes()) // as long as it is
	default:
		line.Cells = show.ListRow(it, k.units, bars && !show.IsPlain(k.env.stdout),
			show.IsPlain(k.env.stdout))
		if last := len(line.Cells) - 1; k.String("sort") == "weighed" {
			line.Cells[last] = strings.TrimSuffix(show.WeighedWords(it)+", "+line.Cells[last], ", ")
		}
	}
	return line, nil
}

// tellListed shows lines in their order.
func (k *call) tellListed(lines []show.ListLine) error {
	switch out := k.env.stdout; {
	case k.Bool("ids"):
		return k.tellIDs(lines)
	case k.asJSON():
		return buffered(show.Document(out),
			func(w io.Writer) error { return show.WriteJSON(w, lines) })
	default:
		show.PrintList(out, lines, k.units)
		return nil
	}
}

// tellIDs shows the tags of items, or their ids, as another command takes them.
func (k *call) tellIDs(lines []show.ListLine) error {
	ids := make([]string, len(lines))
	for i, line := range lines {
		ids[i] = line.Tag
	}
	if k.asJSON() {
		return k.printJSON(ids)
	}
	show.PrintLines(k.env.stdout, ids)
	return nil
}
