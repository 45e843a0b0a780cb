package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/care"
	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/people"
)

// AdviceFor is how to finish a piece, from what is in it and its form.
func AdviceFor(s making.Shelf, p stash.Piece) care.Advice {
	var form people.PieceForm
	if p.Plan != nil {
		form = people.FormOf(p.Plan.Spec)
	}
	return care.Advise(PartsOfPiece(s, p), form)
}

// PrintAdvice says how to finish a piece: before, during and after the washing, and what
// would spoil it.
func PrintAdvice(w io.Writer, a care.Advice) {
	fmt.Fprintln(w, "Finishing (common practice, no source; * is as its yarn's label or you say):")
	indent := strings.Repeat(" ", 10)
	for _, group := range []struct {
		name  string
		steps []care.Step
	}{{"before", a.Before}, {"wash", a.During}, {"after", a.After}, {"not", a.Forbids}} {
		name := group.name
		for _, step := range group.steps {
			fmt.Fprintf(w, "  %-8s%s", name, strings.TrimPrefix(Wrap(stepWords(step), indent,
				RoomOf(w)), indent))
			name = ""
		}
	}
}

func stepWords(s care.Step) string {
	text := s.Text
	if s.Why != "" {
		text = strings.TrimSuffix(text, ".") + " (" + s.Why + ")."
	}
	if s.Source == care.Recorded {
		text += " *"
	}
	return text
}

// QuarantineLines say what to do with a package that is kept apart because of
// insects: the longest of the published freezings from its first day on, and
// how to record it. A package that is not, has none.
func QuarantineLines(p stash.Package, freezer int) []string {
	if p.Quarantine == nil || !care.MayBeInsects(*p.Quarantine) {
		return nil
	}
	if _, cold := care.FreezingAt(freezer); !cold {
		return []string{"  " + care.TooWarm(freezer)}
	}
	way, q, stages, ok := care.Against(p, freezer)
	if !ok {
		return nil
	}
	lines := []string{"against insects, counted from the first day:"}
	for _, s := range stages {
		lines = append(lines, fmt.Sprintf("  %s to %s  %s", s.From, s.Until, s.What))
	}
	if short := way.TooShort(q.Since, p.Frozen); short != "" {
		lines = append(lines, "  "+short)
	}
	lines = append(lines, "  "+way.Note())
	for _, source := range way.Sources() {
		lines = append(lines, "  "+"["+source+"]")
	}
	if p.Quarantine.Until == "" || p.Frozen != "" && p.Quarantine.Until < q.Until {
		days := strings.TrimSpace(q.Since + ".." + q.Until + " " + stash.Clean(p.Quarantine.Reason))
		lines = append(lines, "  to end it then, and to lift it:",
			"    "+stash.Command("set", p.Label(), "quarantine="+days),
			"    "+stash.LiftQuarantine(p.Label()))
	}
	return lines
}

// PrintLines prints lines as they are.
func PrintLines(w io.Writer, lines []string) {
	for _, line := range lines {
		fmt.Fprintln(w, line)
	}
}
