package show

import (
	"fmt"
	"io"
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
	Undone   bool            `json:"undone"`
	Text     string          `json:"text"`
}

// PrintPast prints events, newest first as they come.
func PrintPast(w io.Writer, items []PastItem) {
	if len(items) == 0 {
		fmt.Fprintln(w, "nothing has happened yet")
		return
	}
	t := NewTable("event", "when", "what")
	t.Whole = true
	for _, it := range items {
		text := it.Text
		if it.Undone {
			text += " (undone)"
		}
		t.Rows = append(t.Rows, []string{it.ID.String()[:8], it.At.Format("2006-01-02 15:04"),
			stash.Clean(text)})
	}
	t.Print(w)
}

// ReadingWords is a weighing: what was read, and what of it is yarn.
func ReadingWords(r stash.Reading, units measure.System) string {
	switch {
	case r.Gross != nil:
		return r.Gross.Format(units) + " gross"
	case r.Net != nil:
		return r.Net.Format(units) + " net"
	}
	return ""
}
