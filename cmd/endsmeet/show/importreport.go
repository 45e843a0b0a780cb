package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/importers/recording"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// imported is the verb of what an import does, or would do.
func imported(dryRun bool) string {
	if dryRun {
		return "Would import"
	}
	return "Imported"
}

// PrintImport prints what a sheet would change or has changed.
func PrintImport(w io.Writer, r recording.Report, correct bool) {
	fmt.Fprintf(w, "%s %s of %s from %s.\n", imported(r.DryRun),
		measure.Counted(r.Packages, "item"), measure.Counted(r.Yarns, "yarn"),
		measure.Counted(r.Rows, "row"))
	if r.Unchanged > 0 {
		fmt.Fprintf(w, "%s known already and unchanged\n", measure.Counted(r.Unchanged, "row"))
	}
	for _, line := range r.PassedOver {
		fmt.Fprintf(w, "line %d is passed over: it adds up other rows\n", line)
	}
	if r.Bad != nil {
		fmt.Fprintf(w, "%s left out:\n", measure.Counted(r.BadRows, "bad row"))
		fmt.Fprintln(w, Harmless("  "+strings.ReplaceAll(r.Bad.Error(), "\n", "\n  ")))
	}
	printChanges(w, r, correct)
	printQuestions(w, r)
	if r.Packages > 0 && !r.DryRun {
		fmt.Fprintln(w, "`endsmeet undo` takes all of it back")
	}
}

func printChanges(w io.Writer, r recording.Report, correct bool) {
	if len(r.Changed) == 0 {
		return
	}
	head := "changed since the last import; --correct records it:"
	if correct {
		head = "changed since the last import, and corrected:"
	}
	fmt.Fprintln(w, head)
	for _, c := range r.Changed {
		fmt.Fprint(w, hanging(w, fmt.Sprintf("line %d, %s: %s", c.Line, c.Package,
			strings.Join(c.Changes, "; "))))
	}
}

// printQuestions prints what a person should settle, rows with the same
// question together.
func printQuestions(w io.Writer, r recording.Report) {
	if len(r.Questions) == 0 {
		return
	}
	fmt.Fprintln(w, "To answer when you have the time; nothing waits for it:")
	key := func(q recording.Question) string {
		if q.Command == nil {
			return q.Text
		}
		return q.Text + "\n" + *q.Command
	}
	same := map[string][]recording.Question{}
	for _, q := range r.Questions {
		same[key(q)] = append(same[key(q)], q)
	}
	for _, q := range r.Questions {
		all := same[key(q)]
		if all == nil {
			continue
		}
		delete(same, key(q))
		fmt.Fprint(w, hanging(w, whereAsked(all)+": "+q.Text))
		if q.Command != nil {
			fmt.Fprintln(w, "      "+stash.Clean(*q.Command))
		}
	}
	if r.More > 0 {
		fmt.Fprintf(w, "  and %d more\n", r.More)
	}
}

// whereAsked names what has the same question: items by their tags, else lines.
func whereAsked(all []recording.Question) string {
	var tags []string
	var lines []int
	for _, q := range all {
		if q.Package != nil {
			tags = append(tags, *q.Package)
		} else {
			lines = append(lines, q.Line)
		}
	}
	if len(lines) > 0 {
		tags = append(tags, measure.LineWords(lines))
	}
	return strings.Join(tags, ", ")
}

// hanging wraps a point of a list.
func hanging(w io.Writer, text string) string {
	return "  " + strings.TrimPrefix(Wrap(text, "    ", RoomOf(w)), "    ")
}
