package main

import (
	"bytes"
	"encoding/json"
	"io"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// listLine is an item as a list shows it, as cells or as JSON, with what it is ordered
// by and what is summed: less than the item itself.
type listLine struct {
	tag, yarn, bin, state string
	id                    stash.PackageID
	net, available        measure.Mass
	length                measure.Length
	tex                   measure.Count
	moved                 time.Time
	known, overdrawn      bool
	cells                 []string
	json                  []byte
}

// listedOf is an item without what is shown of it.
func listedOf(it item) listLine {
	return listLine{
		tag: it.Tag, yarn: it.Yarn, bin: it.pack.Bin, state: it.State, id: it.ID,
		net: it.amount.Net, available: it.amount.Available, length: it.amount.Length,
		tex: it.facts.Tex(), moved: it.pack.Moved,
		known: it.amount.Known, overdrawn: it.pack.Overdrawn(),
	}
}

// linesOf are items without what is shown of them.
func linesOf(items []item) []listLine {
	lines := make([]listLine, len(items))
	for i, it := range items {
		lines[i] = listedOf(it)
	}
	return lines
}

// lineOf is an item as it is asked for: its tag alone, JSON or cells.
func (k *call) lineOf(it item) (listLine, error) {
	line := listedOf(it)
	switch {
	case k.Bool("ids"):
	case k.asJSON():
		var out bytes.Buffer
		enc := json.NewEncoder(&out)
		enc.SetEscapeHTML(false)
		if err := enc.Encode(it); err != nil {
			return line, err
		}
		line.json = bytes.Clone(bytes.TrimSpace(out.Bytes())) // as long as it is
	default:
		line.cells = listRow(it, k.units, k.Bool("bars") && !isPlain(k.env.stdout),
			isPlain(k.env.stdout))
	}
	return line, nil
}

// tellListed shows lines in their order.
func (k *call) tellListed(lines []listLine) error {
	switch out := k.env.stdout; {
	case k.Bool("ids"):
		return k.tellIDs(lines)
	case k.asJSON():
		return buffered(document(out), func(w io.Writer) error { return writeJSON(w, lines) })
	default:
		printList(out, lines, k.units)
		return nil
	}
}

// tellIDs shows the tags of items, or their ids, as another command takes them.
func (k *call) tellIDs(lines []listLine) error {
	ids := make([]string, len(lines))
	for i, line := range lines {
		ids[i] = line.tag
	}
	if k.asJSON() {
		return k.printJSON(ids)
	}
	printLines(k.env.stdout, ids)
	return nil
}

// writeJSON writes what printJSON writes of a list, one item at a time.
func writeJSON(w io.Writer, lines []listLine) error {
	var out bytes.Buffer
	before := "[\n  "
	for _, line := range lines {
		out.Reset()
		out.WriteString(before)
		if err := json.Indent(&out, line.json, "  ", "  "); err != nil {
			return err
		}
		if _, err := w.Write(out.Bytes()); err != nil {
			return err
		}
		before = ",\n  "
	}
	end := "\n]\n"
	if len(lines) == 0 {
		end = "[]\n"
	}
	_, err := io.WriteString(w, end)
	return err
}
