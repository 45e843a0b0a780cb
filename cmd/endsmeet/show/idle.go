package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/clear"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// IdleShape is the JSON shape of `idle`.
type IdleShape struct {
	Items  []IdleItem `json:"items"`
	Pieces []UsedUp   `json:"pieces"`
	// Twice is yarn of one colour that was bought more than once.
	Twice []BoughtAgain `json:"bought_again"`
	// Empty are the tags of items of which nothing is left.
	Empty []string `json:"empty"`
}

// BoughtAgain is yarn of one colour that was bought more than once.
type BoughtAgain struct {
	Yarn  string       `json:"yarn"`
	Items []string     `json:"items"`
	Mass  measure.Mass `json:"net_mg"`
}

// IdleItem is a package that lies idle, and what would use it up.
type IdleItem struct {
	ID        stash.PackageID `json:"id"`
	Tag       string          `json:"tag"`
	Yarn      string          `json:"yarn"`
	Why       clear.Why       `json:"why"`
	Text      string          `json:"text"`
	Available *measure.Mass   `json:"available_mg"`
	Left      *measure.Mass   `json:"net_mg"`
	Years     int             `json:"years"`
}

// UsedUp is a piece that uses up idle yarn.
type UsedUp struct {
	Fitting
	Idle measure.Mass `json:"idle_mg"`
}

// The most that a screen shows of what lies idle and of what would use it up.
const (
	mostIdle   = 7
	mostUsedUp = 4
)

// PrintIdle prints what lies idle and what would use it up.
func PrintIdle(w io.Writer, s IdleShape, years int, sums bool, units measure.System) {
	if len(s.Empty) > 0 {
		fmt.Fprint(w, Wrap("Nothing is left of "+stash.AndMore(s.Empty, len(s.Empty))+": "+
			stash.Command("retire", s.Empty[0]), "", RoomOf(w)))
	}
	if len(s.Items) == 0 {
		fmt.Fprintf(w, "Nothing is idle: all is sound, of use, and was touched within %s\n",
			measure.Counted(years, "year"))
		return
	}
	items, pieces := s.Items, s.Pieces
	if !sums {
		items, pieces = items[:min(mostIdle, len(items))], pieces[:min(mostUsedUp, len(pieces))]
	}
	fmt.Fprintln(w, "What cannot be woven first, then the most yarn for the longest time.")
	t := NewTable("tag", "yarn", ">left", "why")
	for _, it := range items {
		t.AddWrapped(it.Tag, stash.Clean(it.Yarn), MassWords(it.Left, units), it.Text)
	}
	t.Print(w)
	printMore(w, len(s.Items)-len(items), "idle --sums")
	printTwice(w, s.Twice, sums, units)
	if len(s.Pieces) == 0 {
		fmt.Fprintln(w, "\nno piece of any kind would use it up")
		return
	}
	fmt.Fprintln(w, "\npieces that would use it up")
	t = NewTable("kind", ">size", "warp", "weft", ">idle yarn")
	for _, p := range pieces {
		a := p.Answer
		t.Add(a.Kind.Name, ClothSize(p.Width, p.Length, units), fewLabels(a.Shelf, a.Warp),
			fewLabels(a.Shelf, a.Weft), p.Idle.Format(units))
	}
	t.Print(w)
	printMore(w, len(s.Pieces)-len(pieces), "idle --sums")
}

// mostTwice is the most that a screen names of what was bought more than once.
const mostTwice = 2

// printTwice names yarn that was bought more than once.
func printTwice(w io.Writer, all []BoughtAgain, sums bool, units measure.System) {
	shown := all
	if !sums {
		shown = all[:min(mostTwice, len(all))]
	}
	for _, a := range shown {
		fmt.Fprint(w, Wrap(fmt.Sprintf("Bought more than once: %s, %s (%s).", stash.Clean(a.Yarn),
			a.Mass.Whole(units), strings.Join(a.Items, ", ")), "", RoomOf(w)))
	}
	printMore(w, len(all)-len(shown), "idle --sums")
}

// printMore says how much more there is, and how to see it.
func printMore(w io.Writer, n int, command string) {
	if n > 0 {
		fmt.Fprintf(w, "and %d more: endsmeet %s\n", n, command)
	}
}
