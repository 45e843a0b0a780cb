package show

import (
	"fmt"
	"io"
	"slices"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// PastItem is one event of a history: the shape in `show` and `history`.
type PastItem struct {
	ID       stash.EventID   `json:"id"`
	At       time.Time       `json:"at"`
	Kind     stash.Kind      `json:"kind"`
	MassMg   *measure.Mass   `json:"mass_mg"`
	LengthMm *measure.Length `json:"length_mm"`
	Piece    *string         `json:"piece"`
	Replica  string          `json:"machine"`
	Machine  string          `json:"machine_name"`
	Undone   bool            `json:"undone"`
	Text     string          `json:"text"`
}

// PrintPast prints events as they come, with the machines if more than one wrote them.
func PrintPast(w io.Writer, items []PastItem) {
	if len(items) == 0 {
		fmt.Fprintln(w, "nothing has happened yet")
		return
	}
	t := NewTable("event", "when", "what")
	several := slices.ContainsFunc(items,
		func(it PastItem) bool { return it.Machine != items[0].Machine })
	if several {
		t = NewTable("event", "when", "machine", "what")
	}
	t.Whole = true
	for _, it := range items {
		text := it.Text
		if it.Undone {
			text += " (undone)"
		}
		row := []string{it.ID.String()[:8], it.At.Format("2006-01-02 15:04")}
		if several {
			row = append(row, stash.Clean(it.Machine))
		}
		t.Rows = append(t.Rows, append(row, stash.Clean(text)))
	}
	t.Print(w)
}
