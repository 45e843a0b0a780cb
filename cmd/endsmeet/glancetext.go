package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// waitingFor is what waits for an answer.
func waitingFor(asked int, items []item, pieces []stash.Piece) []waiting {
	var out []waiting
	if asked > 0 {
		out = append(out, waiting{counted(asked, "question", "questions") +
			" between your machines", "endsmeet sync settle"})
	}
	for _, w := range []struct {
		what string
		is   func(item) bool
		do   func(tag string) string
	}{
		{"more was taken than there was", func(it item) bool { return it.pack.Overdrawn() },
			weighAgain},
		{"to be weighed again", func(it item) bool {
			return it.pack.Reweigh &&
				!it.pack.Overdrawn()
		}, weighAgain},
		{"not weighed yet", func(it item) bool { return !it.amount.Known }, weighAgain},
		{"a question about it", func(it item) bool { return len(it.pack.Question)+len(it.pack.Disputed) > 0 },
			func(tag string) string { return stash.Command("show", tag) }},
		{"no count recorded, so no length", func(it item) bool { return it.Mtex == nil },
			func(tag string) string { return stash.Command("set", tag, "count=COUNT") }},
	} {
		if tags := tagsWhere(items, w.is); len(tags) > 0 {
			out = append(out, waiting{fewTags(tags) + ": " + w.what, w.do(tags[0])})
		}
	}
	for _, p := range pieces {
		if p.Finish != nil && len(p.Finish.Jumps) > 0 && p.Learn == nil {
			out = append(out, waiting{stash.Clean(p.Name) +
				": unlike your other pieces; is it to be learned from?",
				stash.Command("finish --learn yes", p.Name)})
		}
	}
	return out
}

func weighAgain(tag string) string { return stash.Command("weigh", tag, "WEIGHT") }

func tagsWhere(items []item, is func(item) bool) []string {
	var tags []string
	for _, it := range items {
		if is(it) {
			tags = append(tags, stash.Clean(it.Tag))
		}
	}
	slices.SortFunc(tags, naturally)
	return tags
}

// fewTags names the first of some tags and how many more there are.
func fewTags(tags []string) string {
	const most = 4
	if len(tags) <= most {
		return strings.Join(tags, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(tags[:most-1], ", "), len(tags)-most+1)
}

// likely are the three commands most likely to come next: for what is on the
// loom, then what is planned, then what came off last, then projects of which
// nothing was made, then what the whole shelf is asked.
func likely(pieces []stash.Piece, projects []stash.Project) []nextCommand {
	var loom, planned, finished, next []nextCommand
	made := map[stash.ProjectID]bool{}
	pieces = slices.Clone(pieces)
	slices.SortStableFunc(pieces, func(a, b stash.Piece) int {
		return cmp.Or(b.EndedAt.Compare(a.EndedAt), b.StartedAt.Compare(a.StartedAt))
	})
	for _, p := range pieces {
		made[p.Project] = true
		switch p.State {
		case stash.OnLoom:
			loom = append(loom, nextCommand{stash.Command("loom", p.Name),
				"See how far it is, and until where to weave."})
		case stash.Planned:
			planned = append(planned, nextCommand{stash.Command("start", p.Name),
				"Put it on the loom."})
		case stash.Finished:
			finished = append(finished, nextCommand{stash.Command("another", p.Name),
				"Check whether the leftover yarn is enough for another."})
		}
	}
	next = append(append(append(next, loom...), planned...), finished[:min(1, len(finished))]...)
	for _, b := range projects {
		if !made[b.ID] {
			next = append(next, nextCommand{stash.Command("plan", b.Name),
				"See what it needs, and whether there is enough."})
		}
	}
	next = append(next, nextCommand{"endsmeet fits",
		"Find what you can weave from the yarn on the shelf."},
		nextCommand{"endsmeet list", "List your yarn, with what is left of each item."},
		nextCommand{"endsmeet project add", "Describe what you want to make."})
	return next[:3]
}

// printGlance prints the shelf at a glance: what there is, what is on the loom,
// what waits, what to do next.
func printGlance(w io.Writer, g glanceShape, units measure.System) {
	if g.Items == 0 {
		fmt.Fprintln(w, "Your stash is empty. Begin with one of these.")
	} else {
		fmt.Fprint(w, wrap(fmt.Sprintf("You have %s of yarn: %s of %s. Available: %s.",
			roundMass(g.HeldMg, units), plural(g.Items, "item"), plural(g.Yarns, "yarn"),
			roundMass(g.AvailableMg, units)), "", roomOf(w))+"\n")
		fact(w, "Shelf", fibreWordsOf(g.Fibres, units))
		fact(w, "Loom", cmp.Or(strings.Join(g.OnLoom, ", "), "nothing"))
		if len(g.Planned) > 0 {
			fact(w, "Planned", strings.Join(g.Planned, ", "))
		}
	}
	g.printWaiting(w)
	fmt.Fprintln(w)
	printNext(w, g.Next)
	fmt.Fprintln(w, "\nAll commands: endsmeet help")
}

func (g glanceShape) printWaiting(w io.Writer) {
	for i, it := range g.Waiting {
		if i == mostWaiting {
			fact(w, "", fmt.Sprintf("and %d more: endsmeet check", len(g.Waiting)-i))
			break
		}
		word := "Waits"
		if i > 0 {
			word = ""
		}
		fact(w, word, it.What)
		fmt.Fprintln(w, strings.Repeat(" ", factColumn+2)+it.Command)
	}
}

// printNext prints commands with what they are for: beside them where there is
// room, else below.
func printNext(w io.Writer, next []nextCommand) {
	columns, widest := roomOf(w), 0
	for _, n := range next {
		widest = max(widest, cells(n.Command))
	}
	for _, n := range next {
		if room := columns - widest - 2; room >= leastLast {
			indent := strings.Repeat(" ", widest+2)
			fmt.Fprint(w, n.Command+strings.Repeat(" ",
				widest+2-cells(n.Command))+strings.TrimPrefix(wrap(n.Why, indent, columns), indent))
			continue
		}
		fmt.Fprint(w, n.Command+"\n"+wrap(n.Why, strings.Repeat(" ", 4), columns))
	}
}

// mostWaiting is how much of what waits is shown.
const mostWaiting = 3

// fibreWordsOf says how much there is of what.
func fibreWordsOf(all []fibreHeld, units measure.System) string {
	const most = 6
	var parts []string
	var rest measure.Mass
	for i, f := range all {
		if i < most {
			parts = append(parts, orNotRecorded(f.Fibre)+" "+roundMass(f.HeldMg, units))
		} else {
			rest += f.HeldMg
		}
	}
	if rest > 0 {
		parts = append(parts, "other fibres "+roundMass(rest, units))
	}
	return strings.Join(parts, ", ")
}

func orNotRecorded(name *string) string {
	if name == nil {
		return "fibre not recorded"
	}
	return *name
}
