package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// NextShape is the JSON shape of a project in the list.
type NextShape struct {
	Project  string           `json:"project"`
	Piece    *string          `json:"piece"`
	State    string           `json:"state"`
	Due      *string          `json:"due"`
	Width    *measure.Length  `json:"width_mm"`
	Length   *measure.Length  `json:"length_mm"`
	Chance   *float64         `json:"probability"`
	Lain     measure.Mass     `json:"untouched_mg"`
	Years    int              `json:"untouched_years"`
	Why      *string          `json:"why"`
	Verdicts *verdict.Verdict `json:"verdicts"`
	// Named says that its yarn is named, so that a plan answers for it.
	Named bool `json:"-"`
}

// PrintUpNext prints which project to take up next.
func PrintUpNext(w io.Writer, all []NextShape, units measure.System) {
	if len(all) == 0 {
		fmt.Fprintln(w, "No project is open. Add one:\n  endsmeet project add NAME\nOr see what the yarn makes:\n  endsmeet fits")
		return
	}
	for i, n := range all {
		name := n.Project
		if n.Piece != nil {
			name = *n.Piece
		}
		head := fmt.Sprintf("%d  %s", i+1, stash.Clean(name))
		if n.Width != nil {
			head += ", " + ClothSize(*n.Width, *n.Length, units)
		}
		if n.Due != nil {
			head += ", promised for " + *n.Due
		}
		fmt.Fprint(w, Wrap(head, "", RoomOf(w)))
		fmt.Fprintf(w, "     %s: %s\n", strings.TrimSuffix(n.words(units), "."), n.command())
	}
}

// command is what to type of a project.
func (n NextShape) command() string {
	switch {
	case n.State == string(stash.OnLoom):
		return stash.Command("loom", *n.Piece)
	case n.Named || n.Why != nil:
		return stash.Command("plan", n.Project)
	}
	return stash.Command("fits", n.Project)
}

// words say how a project stands.
func (n NextShape) words(units measure.System) string {
	text := "Can be made now."
	switch {
	case n.State == string(stash.OnLoom):
		return "On the loom."
	case n.Why != nil:
		return "Cannot be planned: " + stash.Clean(*n.Why)
	case n.Verdicts.Grade.Blocks():
		text = "Not as it is: " + worstWords(*n.Verdicts) + "."
	case n.Verdicts.Grade == verdict.Check:
		text = "Can be made; check first: " + worstWords(*n.Verdicts) + "."
	}
	if n.Lain > 0 {
		text = fmt.Sprintf("Uses up %s untouched for up to %s. ", n.Lain.Format(units),
			measure.Counted(n.Years, "year")) + text
	}
	return text
}

// worstWords are the words of the answers of a verdict that stand in the way, or of its worst.
func worstWords(v verdict.Verdict) string {
	var all []string
	for _, a := range v.Answers {
		if a.Grade.Blocks() || a.Grade == v.Grade && len(all) == 0 {
			all = append(all, stash.Clean(lowered(a.Label)+": "+strings.TrimSuffix(a.Words, ".")))
		}
	}
	return strings.Join(all, "; ")
}
