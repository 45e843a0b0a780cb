package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// ImportReport is the JSON shape of an import. Rows counts all that were read,
// Packages and NewYarns what was recorded, Yarns those that the rows are of.
type ImportReport struct {
	File      string           `json:"file"`
	Sheet     *string          `json:"sheet"`
	Encoding  *string          `json:"encoding"`
	Delimiter *string          `json:"delimiter"`
	Columns   []ImportColumn   `json:"columns"`
	DryRun    bool             `json:"dry_run"`
	Rows      int              `json:"rows"`
	Packages  int              `json:"items"`
	Yarns     int              `json:"yarns"`
	NewYarns  int              `json:"new_yarns"`
	Unchanged int              `json:"unchanged"`
	Corrected int              `json:"corrected"`
	BadRows   int              `json:"bad_rows"`
	Changed   []ImportChange   `json:"changed"`
	Questions []ImportQuestion `json:"questions"`
	Problems  []string         `json:"problems"`
	// PassedOver are the lines of rows that add up others.
	PassedOver []int `json:"passed_over"`

	More int `json:"-"` // questions beyond those kept
}

// ImportColumn is what a column was taken for; Field is null where its cells
// are notes.
type ImportColumn struct {
	Heading string  `json:"heading"`
	Field   *string `json:"field"`
}

// ImportChange is a row that says something else than when it came in.
type ImportChange struct {
	Line    int      `json:"line"`
	Package string   `json:"item"`
	Changes []string `json:"changes"`
}

// Add adds the change of one fact.
func (c *ImportChange) Add(format string, args ...any) {
	c.Changes = append(c.Changes, fmt.Sprintf(format, args...))
}

// ImportQuestion is what a person should settle, and a command for it.
type ImportQuestion struct {
	Line    int     `json:"line"`
	Package *string `json:"item"`
	Text    string  `json:"question"`
	Command *string `json:"command"`
}

// imported is the verb of what an import does, or would do.
func imported(dryRun bool) string {
	if dryRun {
		return "Would import"
	}
	return "Imported"
}

// PrintImport prints what a sheet would change or has changed.
func PrintImport(w io.Writer, r ImportReport, correct bool) {
	fmt.Fprintf(w, "%s %s of %s from %s.\n", imported(r.DryRun),
		measure.Counted(r.Packages, "item"), measure.Counted(r.Yarns, "yarn"),
		measure.Counted(r.Rows, "row"))
	if r.Unchanged > 0 {
		fmt.Fprintf(w, "%s known already and unchanged\n", measure.Counted(r.Unchanged, "row"))
	}
	for _, line := range r.PassedOver {
		fmt.Fprintf(w, "line %d is passed over: it adds up other rows\n", line)
	}
	if r.BadRows > 0 {
		fmt.Fprintf(w, "%s left out:\n", measure.Counted(r.BadRows, "bad row"))
		for _, p := range r.Problems {
			fmt.Fprintln(w, Harmless("  "+strings.ReplaceAll(p, "\n", "\n  ")))
		}
	}
	printChanges(w, r, correct)
	printQuestions(w, r)
	if r.Packages > 0 && !r.DryRun {
		fmt.Fprintln(w, "`endsmeet undo` takes all of it back")
	}
}

func printChanges(w io.Writer, r ImportReport, correct bool) {
	if len(r.Changed) == 0 {
		return
	}
	head := "changed since the last import; --correct records it:"
	if correct {
		head = "changed since the last import, and corrected:"
	}
	fmt.Fprintln(w, head)
	for _, c := range r.Changed {
		fmt.Fprint(w, hanging(fmt.Sprintf("line %d, %s: %s", c.Line, c.Package,
			strings.Join(c.Changes, "; "))))
	}
}

// printQuestions prints what a person should settle, rows with the same
// question together.
func printQuestions(w io.Writer, r ImportReport) {
	if len(r.Questions) == 0 {
		return
	}
	fmt.Fprintln(w, "To answer when you have the time; nothing waits for it:")
	for _, q := range r.Questions {
		where := fmt.Sprintf("line %d", q.Line)
		if q.Package != nil {
			where = *q.Package
		}
		fmt.Fprint(w, hanging(where+": "+q.Text))
		if q.Command != nil {
			fmt.Fprintln(w, "      "+stash.Clean(*q.Command))
		}
	}
	if r.More > 0 {
		fmt.Fprintf(w, "  and %d more\n", r.More)
	}
}

// hanging wraps a point of a list.
func hanging(text string) string {
	return "  " + strings.TrimPrefix(Wrap(text, "    ", 79), "    ")
}
