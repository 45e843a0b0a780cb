package show

import (
	"fmt"
	"io"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/people"
)

// PrintStillAsked prints, after something was set of an item or its yarn, what the
// words that stand with it still leave open, and the command that changes each.
func PrintStillAsked(w io.Writer, it Item, set stash.Fields) {
	if set["note"] != nil && it.Facts.Note != "" {
		fmt.Fprintf(w, "The yarn has a note of its own, which stays: %q\n  %s\n",
			stash.Clean(it.Facts.Note), stash.Command("set", it.Facts.Name, "note="))
	}
	var said []string
	for _, q := range people.Questions(it.Facts.YarnFacts) {
		if slices.Contains(said, q.Where) {
			continue
		}
		said = append(said, q.Where)
		fmt.Fprintf(w, "%s\n", sentence(stash.Clean(q.Text)))
		if how := changing(it, q.Where); how != "" {
			fmt.Fprintf(w, "  If it is not: %s\n", how)
		}
	}
}

// changing is the command that changes the words of a place.
func changing(it Item, where string) string {
	of := map[string]string{stash.BesideName: "name=", stash.BesideOwnNote: "note=",
		people.InFibre: "fibre=", stash.BesideOdour: "odour=", stash.BesideSource: "source="}
	if field := of[where]; field != "" {
		return stash.Command("set", it.Facts.Name, field+"...")
	}
	if where == stash.BesideNote && len(it.Pack.PackageFacts.Beside()) > 0 {
		return stash.Command("set", it.Pack.Label(), "note=...")
	}
	return ""
}
