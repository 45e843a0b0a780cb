package show

import (
	"fmt"
	"io"

	"endsmeet/stash/measure"
)

// FolderReport is the JSON shape of an import of tables.
type FolderReport struct {
	Folder   string `json:"folder"`
	Yarns    int    `json:"new_yarns"`
	Packages int    `json:"items"`
	Projects int    `json:"projects"`
	People   int    `json:"new_people"`
	// Events counts the events of a stash that came in whole, with its history.
	Events    int  `json:"events"`
	Unchanged int  `json:"unchanged"`
	DryRun    bool `json:"dry_run"`
}

// PrintFolder prints what came in from a folder of tables.
func PrintFolder(w io.Writer, r FolderReport) {
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

// EventsReport is the JSON shape of an import of events.
type EventsReport struct {
	File   string `json:"file"`
	Events int    `json:"events"`
	New    int    `json:"new"`
	Lanes  int    `json:"lanes"`
	DryRun bool   `json:"dry_run"`
}

// PrintEvents tells how many events of an archive were read, and how many are new.
func PrintEvents(w io.Writer, r EventsReport) {
	fmt.Fprintf(w, "Read %s of %s, %d of them new here.\n", measure.Counted(r.Events, "record"),
		measure.Counted(r.Lanes, "machine"), r.New)
}
