package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/planner/verdict"
)

// labelWidth is the width of what heads the answers of a verdict.
const labelWidth = 15

// PrintVerdict draws a verdict: its answers under each other, the worst on top,
// with what to do. An answer that has nothing to tell is left out where it is of
// dye lots or condition.
func PrintVerdict(w io.Writer, v verdict.Verdict) {
	for _, a := range v.Answers {
		if a.Grade == verdict.Yes &&
			(a.Question == verdict.Lots || a.Question == verdict.Condition) {
			continue
		}
		printAnswerLine(w, a)
	}
}

// PrintWorse draws the answers of a verdict that are no plain yes.
func PrintWorse(w io.Writer, v verdict.Verdict) {
	printAnswers(w, v, func(a verdict.Answer) bool { return a.Grade != verdict.Yes })
}

// PrintHandedOver draws, beside the answers that are no plain yes, what the rules of the person
// say who gets it: their yes too is only as far as is recorded.
func PrintHandedOver(w io.Writer, v verdict.Verdict) {
	printAnswers(w, v, func(a verdict.Answer) bool {
		return a.Grade != verdict.Yes || a.Question == verdict.Recipient
	})
}

// printAnswers draws some of the answers of a verdict.
func printAnswers(w io.Writer, v verdict.Verdict, shown func(verdict.Answer) bool) {
	for _, a := range v.Answers {
		if shown(a) {
			printAnswerLine(w, a)
		}
	}
}

// printAnswerLine draws one answer behind its label.
func printAnswerLine(w io.Writer, a verdict.Answer) {
	columns := RoomOf(w)
	indent := strings.Repeat(" ", labelWidth)
	if n := len([]rune(a.Label)); n < labelWidth {
		fmt.Fprint(w, a.Label+indent[n:]+strings.TrimPrefix(Wrap(a.Words, indent, columns), indent))
	} else {
		first, more, _ := strings.Cut(Wrap(a.Label+": "+a.Words, "", columns), "\n")
		fmt.Fprint(w, first+"\n"+Wrap(more, indent, columns))
	}
	if a.Do != "" {
		fmt.Fprint(w, Wrap(a.Do, indent, columns))
	}
}

// PrintWholeVerdict draws a verdict with every reason, where nobody can ask for more.
func PrintWholeVerdict(w io.Writer, v verdict.Verdict) {
	PrintVerdict(w, v)
	PrintUntold(w, v)
}

// PrintUntold draws the reasons that no line of a verdict has room for.
func PrintUntold(w io.Writer, v verdict.Verdict) {
	for _, a := range v.Answers {
		for _, why := range a.Untold() {
			fmt.Fprint(w, Wrap(a.Label+": "+why+".", "  ", RoomOf(w)))
		}
	}
}
