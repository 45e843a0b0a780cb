package show

import (
	"fmt"
	"io"

	"endsmeet/importers/recording"
	"endsmeet/stash/measure"
)

// PrintFolder prints what came in from a folder of tables.
func PrintFolder(w io.Writer, r recording.TablesReport) {
	verb := imported(r.DryRun)
	fmt.Fprintf(w, "%s %s, %s and %s.\n", verb, measure.Counted(r.Packages, "item"),
		measure.Counted(r.Yarns, "new yarn"), measure.Counted(r.Projects, "project"))
	if r.People > 0 {
		fmt.Fprintf(w, "%s %s.\n", verb, measure.CountedAs(r.People, "person", "people"))
	}
	if r.Unchanged > 0 {
		fmt.Fprintf(w, "%s here already.\n", measure.Counted(r.Unchanged, "item"))
	}
	if r.Events > 0 {
		fmt.Fprintf(w, "Their history is with them: %s.\n", measure.Counted(r.Events, "record"))
	}
}

// PrintEvents tells how many events of an archive were read, and how many are new.
func PrintEvents(w io.Writer, r recording.ArchiveReport) {
	fmt.Fprintf(w, "Read %s of %s, %d of them new here.\n", measure.Counted(r.Events, "record"),
		measure.Counted(r.Lanes, "machine"), r.New)
}
