package show

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"endsmeet/planner/due"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// GlanceShape is the JSON shape of `endsmeet` alone: the shelf at a glance.
type GlanceShape struct {
	Stash       string        `json:"stash"`
	Items       int           `json:"items"`
	Yarns       int           `json:"yarns"`
	HeldMg      measure.Mass  `json:"held_mg"`
	AvailableMg measure.Mass  `json:"available_mg"`
	Barred      []barred      `json:"not_available"`
	Fibres      []fibreHeld   `json:"fibres"`
	OnLoom      []string      `json:"on_the_loom"`
	Planned     []string      `json:"planned"`
	Waiting     []waiting     `json:"waiting"`
	Next        []NextCommand `json:"next"`
}

// fibreHeld is what there is of the yarns that are mostly of one fibre; the
// fibre is null where it is not recorded.
type fibreHeld struct {
	Fibre  *string      `json:"fibre"`
	HeldMg measure.Mass `json:"held_mg"`
}

// barred are items that are not available for one reason.
type barred struct {
	Why   string   `json:"why"`
	Items []string `json:"items"`
}

// waiting is something that waits for an answer, and where to give it.
type waiting struct {
	What    string `json:"what"`
	Command string `json:"command"`
}

// NextCommand is a command that is likely to come next, and what it is for.
type NextCommand struct {
	Command string `json:"command"`
	Why     string `json:"why"`
}

// AddItems adds up what there is, by the fibre that each yarn is mostly of.
func (g *GlanceShape) AddItems(items []Item) {
	yarns, byFibre := map[stash.YarnID]bool{}, map[string][]Item{}
	for _, it := range items {
		yarns[it.YarnID] = true
		name := MainFibre(it.Recorded)
		byFibre[name] = append(byFibre[name], it)
	}
	all := sumOf(LinesOf(items))
	g.Items, g.Yarns, g.HeldMg, g.AvailableMg = len(items), len(yarns), all.net, all.available
	for name, of := range byFibre {
		if held := sumOf(LinesOf(of)).net; held > 0 {
			g.Fibres = append(g.Fibres, fibreHeld{stash.Known(name), held})
		}
	}
	g.Barred = barredOf(items)
	slices.SortFunc(g.Fibres, func(a, b fibreHeld) int {
		return cmp.Or(cmp.Compare(b.HeldMg, a.HeldMg),
			strings.Compare(orNotRecorded(a.Fibre), orNotRecorded(b.Fibre)))
	})
}

// barredOf sorts what is not available by the reason.
func barredOf(items []Item) []barred {
	var out []barred
	for _, bar := range append(slices.Clone(stash.Bars), "reserved") {
		if tags := tagsWhere(items, func(it Item) bool { return it.State == string(bar) }); len(tags) > 0 {
			out = append(out, barred{string(bar), tags})
		}
	}
	return out
}

// AddPieces sorts pieces by their state.
func (g *GlanceShape) AddPieces(pieces []stash.Piece) {
	for _, p := range pieces {
		switch p.State {
		case stash.OnLoom:
			g.OnLoom = append(g.OnLoom, p.Name)
		case stash.Planned:
			g.Planned = append(g.Planned, p.Name)
		}
	}
}

// WaitingFor is what waits for an answer.
func WaitingFor(asked int, items []Item, pieces []stash.Piece) []waiting {
	var out []waiting
	if asked > 0 {
		out = append(out, waiting{measure.Counted(asked, "question") +
			" between your machines", "endsmeet sync settle"})
	}
	for _, w := range []struct {
		what string
		is   func(Item) bool
		do   func(tag string) string
	}{
		{"more was taken than there was", func(it Item) bool { return it.Pack.Overdrawn() },
			weighAgain},
		{"to be weighed again", func(it Item) bool {
			return it.Pack.Reweigh() &&
				!it.Pack.Overdrawn()
		}, weighAgain},
		{"not weighed yet", func(it Item) bool { return !it.Amount.Known }, weighAgain},
		{"a question about it", func(it Item) bool { return len(it.Pack.Question)+len(it.Pack.Disputed) > 0 },
			func(tag string) string { return stash.Command("show", tag) }},
		{"no count recorded, so no length", func(it Item) bool { return it.Mtex == nil },
			func(tag string) string { return stash.Command("set", tag, "count=COUNT") }},
	} {
		if tags := tagsWhere(items, w.is); len(tags) > 0 {
			out = append(out, waiting{stash.AndMore(tags, len(tags)) + ": " + w.what, w.do(tags[0])})
		}
	}
	for _, p := range pieces {
		if p.Waits() {
			out = append(out, waiting{stash.Clean(p.Name) +
				": unlike your other pieces; is it to be learned from?",
				stash.Command("finish --learn yes", p.Name)})
		}
	}
	return out
}

// dueWords are the kinds of what falls due whose own word would not be understood.
var dueWords = map[due.Kind]string{due.Promised: "a promised date", due.Rubber: "old rubber",
	due.Reading: "a weight to take again", due.Look: "a look at the shelf",
	due.Perished: "perished yarn"}

// AddDue adds what is overdue, or falls due today, to what waits, first of all.
func (g *GlanceShape) AddDue(all []DueShape) {
	var whats []string
	for _, it := range all {
		whats = append(whats, cmp.Or(dueWords[it.Kind], string(it.Kind)))
	}
	if len(whats) == 0 {
		return
	}
	slices.Sort(whats)
	g.Waiting = slices.Insert(g.Waiting, 0, waiting{measure.CountedAs(len(all), "thing is",
		"things are") + " due: " + strings.Join(slices.Compact(whats), ", "), "endsmeet due"})
}

func weighAgain(tag string) string { return stash.Command("weigh", tag, "WEIGHT") }

func tagsWhere(items []Item, is func(Item) bool) []string {
	var tags []string
	for _, it := range items {
		if is(it) {
			tags = append(tags, stash.Clean(it.Tag))
		}
	}
	slices.SortFunc(tags, stash.Naturally)
	return tags
}

// Likely are the three commands most likely to come next: for what is on the
// loom, then what is planned, then what came off last, then projects of which
// nothing was made, then what the whole shelf is asked.
func Likely(pieces []stash.Piece, projects []stash.Project) []NextCommand {
	var loom, planned, finished, next []NextCommand
	made := map[stash.ProjectID]bool{}
	pieces = slices.Clone(pieces)
	slices.SortStableFunc(pieces, func(a, b stash.Piece) int {
		return cmp.Or(b.EndedAt.Compare(a.EndedAt), b.StartedAt.Compare(a.StartedAt))
	})
	for _, p := range pieces {
		made[p.Project] = true
		switch p.State {
		case stash.OnLoom:
			loom = append(loom, NextCommand{stash.Command("loom", p.Name),
				"See how far it is, and until where to weave."})
		case stash.Planned:
			planned = append(planned, NextCommand{stash.Command("start", p.Name),
				"Put it on the loom."})
		case stash.Finished:
			finished = append(finished, NextCommand{stash.Command("another", p.Name),
				"Check whether the leftover yarn is enough for another."})
		}
	}
	next = append(append(append(next, loom...), planned...), finished[:min(1, len(finished))]...)
	for _, b := range projects {
		if !made[b.ID] {
			next = append(next, NextCommand{stash.Command("plan", b.Name),
				"See what it needs, and whether there is enough."})
		}
	}
	next = append(next, NextCommand{"endsmeet fits",
		"Find what you can weave from the yarn on the shelf."},
		NextCommand{"endsmeet list", "List your yarn, with what is left of each item."},
		NextCommand{"endsmeet project add", "Describe what you want to make."})
	return next[:3]
}

// PrintGlance prints the shelf at a glance: what there is, what is on the loom,
// what waits, what to do next.
func PrintGlance(w io.Writer, g GlanceShape, units measure.System) {
	if g.Items == 0 {
		fmt.Fprintln(w, "Your stash is empty. Begin with one of these.")
	} else {
		fmt.Fprint(w, Wrap(fmt.Sprintf("You have %s of yarn: %s of %s. Available: %s.",
			g.HeldMg.Whole(units), measure.Counted(g.Items, "item"),
			measure.Counted(g.Yarns, "yarn"),
			g.AvailableMg.Whole(units))+g.barredWords(units), "", RoomOf(w))+"\n")
		Fact(w, "Shelf", "by the main fibre: "+fibreWordsOf(g.Fibres, units))
		Fact(w, "Loom", cmp.Or(strings.Join(g.OnLoom, ", "), "nothing"))
		if len(g.Planned) > 0 {
			Fact(w, "Planned", strings.Join(g.Planned, ", "))
		}
	}
	g.printWaiting(w)
	fmt.Fprintln(w)
	printNext(w, g.Next)
	fmt.Fprintln(w, "\nAll commands: endsmeet help")
}

func (g GlanceShape) barredWords(units measure.System) string {
	if len(g.Barred) == 0 {
		return ""
	}
	var parts []string
	for _, b := range g.Barred {
		parts = append(parts, stash.AndMore(b.Items, len(b.Items))+" "+b.Why)
	}
	return fmt.Sprintf(" Not: %s (%s).", (g.HeldMg - g.AvailableMg).Whole(units),
		strings.Join(parts, "; "))
}

func (g GlanceShape) printWaiting(w io.Writer) {
	for i, it := range g.Waiting {
		if i == mostWaiting {
			Fact(w, "", fmt.Sprintf("and %d more: endsmeet check", len(g.Waiting)-i))
			break
		}
		word := "Waits"
		if i > 0 {
			word = ""
		}
		Fact(w, word, it.What)
		fmt.Fprintln(w, strings.Repeat(" ", factColumn+2)+it.Command)
	}
}

// printNext prints commands with what they are for: beside them where there is
// room, else below.
func printNext(w io.Writer, next []NextCommand) {
	columns, widest := RoomOf(w), 0
	for _, n := range next {
		widest = max(widest, Cells(n.Command))
	}
	for _, n := range next {
		if room := columns - widest - 2; room >= leastLast {
			indent := strings.Repeat(" ", widest+2)
			fmt.Fprint(w, n.Command+strings.Repeat(" ",
				widest+2-Cells(n.Command))+strings.TrimPrefix(Wrap(n.Why, indent, columns), indent))
			continue
		}
		fmt.Fprint(w, n.Command+"\n"+Wrap(n.Why, strings.Repeat(" ", 4), columns))
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
			parts = append(parts, orNotRecorded(f.Fibre)+" "+f.HeldMg.Whole(units))
		} else {
			rest += f.HeldMg
		}
	}
	if rest > 0 {
		parts = append(parts, "other fibres "+rest.Whole(units))
	}
	return strings.Join(parts, ", ")
}

func orNotRecorded(name *string) string {
	if name == nil {
		return "fibre not recorded"
	}
	return *name
}
