package show

import (
	"bytes"
	"encoding/json"
	"io"
	"slices"
	"strings"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// ListLine is an item as a list shows it, as cells or as JSON, with what it is ordered
// by and what is summed: less than the item itself.
type ListLine struct {
	Tag, Yarn, Bin, state string
	ID                    stash.PackageID
	of                    stash.DyeLot
	Net, available        measure.Mass
	Length                measure.Length
	cut                   measure.Length // the longest strand of cut yarn, 0 where it is whole
	Tex                   measure.Count
	Moved, Weighed        time.Time
	known, overdrawn      bool
	measured              bool // its length is known
	Cells                 []string
	JSON                  []byte
}

// ListedOf is an item without what is shown of it.
func ListedOf(it Item) ListLine {
	return ListLine{
		Tag: it.Tag, Yarn: it.Yarn, Bin: it.Pack.Bin, state: it.State, ID: it.ID,
		of: it.Pack.InLot(), measured: it.LengthMm != nil,
		Net: it.Amount.Net, available: it.Amount.Available, Length: it.Amount.Length,
		cut: it.Amount.Strand, Tex: it.Facts.Tex(), Moved: it.Pack.Moved, Weighed: it.Pack.Weighed,
		known: it.Amount.Known, overdrawn: it.Pack.Overdrawn(),
	}
}

// LinesOf are items without what is shown of them.
func LinesOf(items []Item) []ListLine {
	lines := make([]ListLine, len(items))
	for i, it := range items {
		lines[i] = ListedOf(it)
	}
	return lines
}

// WriteJSON writes what printJSON writes of a list, one item at a time.
func WriteJSON(w io.Writer, lines []ListLine) error {
	var out bytes.Buffer
	before := "[\n  "
	for _, line := range lines {
		out.Reset()
		out.WriteString(before)
		if err := json.Indent(&out, line.JSON, "  ", "  "); err != nil {
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

// PartOfOne says that one of the words holds a part.
func PartOfOne(part string, words []string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(w, part) })
}

// FormWords is the forms that a package can have.
func FormWords() []string {
	words := make([]string, len(stash.Forms))
	for i, f := range stash.Forms {
		words[i] = string(f.Form)
	}
	return words
}

// FibreNames are the names of all fibres, the customary ones too.
func FibreNames() []string {
	var names []string
	for _, f := range fibre.All() {
		names = append(append(names, string(f.ID), f.EUName), f.Synonyms...)
	}
	return names
}
