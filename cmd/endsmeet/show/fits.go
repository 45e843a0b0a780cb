package show

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Fitting is the JSON shape of one answer of `fits`.
type Fitting struct {
	search.Answer
	Kind        string          `json:"kind"`
	Project     *string         `json:"project"`
	Width       measure.Length  `json:"width_mm"`
	Length      measure.Length  `json:"length_mm"`
	Probability *float64        `json:"probability"`
	Verdict     chance.Verdict  `json:"verdict"`
	Binding     string          `json:"runs_out_first"`
	Cautions    []Caution       `json:"cautions"`
	Verdicts    verdict.Verdict `json:"verdicts"`
	Ends        int             `json:"ends"`
	Sett        measure.Sett    `json:"sett_per_km"`
	Picks       measure.Sett    `json:"picks_per_km"`
	Structure   string          `json:"structure"`
	WarpEnd     measure.Length  `json:"warp_end_mm"`
	Stripes     []fit.Band      `json:"stripes"`
	Wanted      Size            `json:"wanted"`

	Whose string `json:"-"` // the name of the person that it is for
}

// FitsText prints a line for each answer; of a single kind with sums a block. One that is a
// project with the name of a usual kind is said to be that.
func FitsText(asked []kinds.Kind, out []Fitting, left []making.LeftOut, single, sums bool,
	units measure.System) func(io.Writer) {
	return func(w io.Writer) {
		if single {
			printInPlace(w, asked[0])
		}
		switch {
		case len(out) == 0:
			fmt.Fprintln(w, "Nothing on the shelf makes it with 95%. What a yarn lacks: endsmeet fits KIND --why YARN")
		case single && sums:
			fmt.Fprintf(w, "%s: %s\n", stash.Clean(out[0].Answer.Kind.Name),
				out[0].Answer.Kind.From)
			for i, f := range out {
				printFitting(w, i+1, f, units)
			}
		case single:
			printOfKind(w, out, units)
		default:
			printKinds(w, out, units)
		}
		switch {
		case len(left) == 0:
		case len(out) == 0 && len(left) <= fewLeftOut:
			for _, l := range left {
				fmt.Fprint(w, Wrap("Left out: "+stash.Clean(l.Label)+" "+l.Reason+".", "", RoomOf(w)))
			}
		default:
			fmt.Fprintf(w, "\nLeft out: %s that cannot be planned with. Why: endsmeet fits KIND --why YARN\n",
				measure.Counted(len(left), "item"))
		}
	}
}

// fewLeftOut is how many items are named that are left out where nothing is found.
const fewLeftOut = 3

// printInPlace says that a project stands for the usual kind of its name.
func printInPlace(w io.Writer, asked kinds.Kind) {
	if _, usual := kinds.Named(kinds.Usual(), asked.Name); usual && asked.Project != "" {
		fmt.Fprint(w, Wrap(fmt.Sprintf("By your project %s, which stands in place of the usual %s; under another name both are found: %s",
			stash.Clean(asked.Name), stash.Clean(asked.Name),
			stash.Command("project set", asked.Name, "name=NAME")), "", RoomOf(w)))
	}
}

// printKinds prints a line for each kind.
func printKinds(w io.Writer, out []Fitting, units measure.System) {
	t := NewTable("kind", ">size", "warp", "weft", "out first", "note")
	for _, f := range out {
		a := f.Answer
		t.Add(a.Kind.Name, ClothSize(f.Width, f.Length, units), fewLabels(a.Shelf, a.Warp),
			fewLabels(a.Shelf, a.Weft), outFirst(f), markOf(f.Verdicts))
	}
	t.Print(w)
	printRelied(w)
}

// markOf is the worst answer of a verdict that is no plain yes, in a word or two.
func markOf(v verdict.Verdict) string {
	if v.Grade == verdict.Yes {
		return ""
	}
	return string(v.Grade)
}

// printOfKind prints a line for each answer of one kind, what is no plain yes of
// it, and how to plan the first.
func printOfKind(w io.Writer, out []Fitting, units measure.System) {
	name := stash.Clean(out[0].Answer.Kind.Name)
	t := NewTable(">", ">size", "warp", "weft", "out first", "note")
	for i, f := range out {
		a := f.Answer
		t.Add(fmt.Sprint(i+1), ClothSize(f.Width, f.Length, units), fewLabels(a.Shelf, a.Warp),
			fewLabels(a.Shelf, a.Weft), outFirst(f), mindWords(f.Verdicts))
	}
	t.Whole = true
	t.Print(w)
	printRelied(w)
	best := out[0]
	fmt.Fprintf(w, "\nTo plan the first: %s\n", toPlan(best, units))
	fmt.Fprintln(w, "Each in full: "+stash.Command("fits --sums", name))
}

// mindWords are the answers of a verdict that are no plain yes, in few words.
func mindWords(v verdict.Verdict) string {
	var out []string
	for _, a := range v.Answers {
		if a.Grade != verdict.Yes {
			out = append(out, lowered(a.Label)+": "+string(a.Grade))
		}
	}
	return strings.Join(out, "; ")
}

// lowered is a label within a sentence; a name in it stays as it is written.
func lowered(label string) string { return strings.ToLower(label[:1]) + label[1:] }

// printRelied says what the sizes of a table are.
func printRelied(w io.Writer) {
	fmt.Fprint(w, Wrap("\nEach size has 19 chances in 20 or more. Out first: what a larger one would lack.", "", RoomOf(w)))
}

// outFirst is what keeps an answer from being larger, the yarn by its tags.
func outFirst(f Fitting) string {
	if ids := f.Answer.RunsOut(); len(ids) > 0 {
		return fewLabels(f.Answer.Shelf, ids)
	}
	return strings.TrimPrefix(f.Answer.Short, "nothing")
}

// labels names packages by their tags.
func labels(s making.Shelf, ids []stash.PackageID) string {
	var out []string
	for _, id := range ids {
		out = append(out, s.Label(id))
	}
	return strings.Join(out, " ")
}

// fewLabels names packages in the narrow column of a table: the first of them
// and how many more, where not all of them fit.
func fewLabels(s making.Shelf, ids []stash.PackageID) string {
	const room = 12
	if all := labels(s, ids); Cells(all) <= room || len(ids) == 1 {
		return Cut(all, room)
	}
	return fmt.Sprintf("%s +%d", Cut(s.Label(ids[0]), room-4), len(ids)-1)
}

func printFitting(w io.Writer, place int, f Fitting, units measure.System) {
	a := f.Answer
	fmt.Fprintf(w, "\n%d. %s, %d points of 1000\n", place, ClothSize(f.Width, f.Length, units),
		f.Score)
	fmt.Fprint(w, Wrap("warp "+YarnsOf(a.Shelf, a.Warp), "   ", RoomOf(w)))
	fmt.Fprint(w, Wrap("weft "+YarnsOf(a.Shelf, a.Weft), "   ", RoomOf(w)))
	cloth := strings.TrimPrefix(f.Structure+", ", ", ")
	fmt.Fprint(w, Wrap(fmt.Sprintf("%s%d ends of %s at %s, %s picks", cloth, f.Ends,
		f.WarpEnd.Planned(units), f.Sett.Format(units), f.Picks.Format(units)), "   ", RoomOf(w)))
	PrintWholeVerdict(w, f.Verdicts)
	if len(f.Stripes) > 1 {
		fmt.Fprint(w, Wrap("stripes "+bandWords(f.Stripes), "   ", RoomOf(w)))
	}
	if a.Scale < 1000 {
		fmt.Fprint(w, Wrap(fmt.Sprintf("smaller than %s: %s",
			ClothSize(f.Wanted.Width, f.Wanted.Length, units), runsOut(a.Short)), "   ", RoomOf(w)))
	}
	if l := f.Larger; l != nil {
		fmt.Fprint(w, Wrap("larger in another shape: "+ClothSize(l.Width, l.Length, units), "   ", RoomOf(w)))
	}
	for _, r := range f.Rests {
		fmt.Fprint(w, Wrap(restWords(a.Shelf, r, units), "   ", RoomOf(w)))
	}
	for _, c := range f.Cautions {
		if said, _ := f.Verdicts.Of(verdict.Recipient); !says(said, c.Rule) {
			fmt.Fprint(w, Wrap(cautionWords(c), "   ", RoomOf(w)))
		}
	}
	fmt.Fprintln(w, "   plan it: "+toPlan(f, units))
}

// toPlan is what makes an answer a plan, for whom it was asked.
func toPlan(f Fitting, units measure.System) string {
	command := planCommandOf(f.Answer, units)
	if f.Whose != "" && (f.Answer.Kind.Project == "" || f.Answer.Kind.Facts.For == "") {
		command += " --for " + stash.Quote(f.Whose)
	}
	return command
}

// planCommandOf is what makes an answer a plan: a project of the kind, or the
// weaver's own project with the yarns of the answer.
func planCommandOf(a search.Answer, units measure.System) string {
	words := []string{stash.Command("plan", a.Kind.Name)}
	b := a.Project
	if a.Kind.Project == "" {
		words = projectAddWords(a, units)
	}
	if a.AsNamed && a.Scale >= 1000 {
		return strings.Join(words, " ")
	}
	if b.Ends == 0 {
		words = append(words, "--width", typed(b.Width, units))
	}
	if words = append(words, "--length", typed(b.Length, units)); a.AsNamed {
		return strings.Join(words, " ")
	}
	for _, o := range []struct {
		option string
		ids    []stash.PackageID
	}{{"--warp", a.Warp}, {"--weft", a.Weft}} {
		for _, id := range o.ids {
			words = append(words, o.option, stash.Quote(a.Shelf.Label(id)))
		}
	}
	if bands := a.Outcome.Bands; len(bands) > 1 {
		words = append(words, "--stripes", stash.Quote(bandWords(bands)))
	}
	return strings.Join(words, " ")
}

// projectAddWords make a project of the kind of an answer, without its size and yarns.
func projectAddWords(a search.Answer, units measure.System) []string {
	words, b := []string{"endsmeet project add NAME"}, a.Project
	if a.Kind.Piece == "" {
		words = append(words, "--kind", stash.Quote(a.Kind.Name))
	}
	words = append(words, "--structure", stash.Quote(b.Structure))
	for _, f := range stash.Fringes {
		if length := f.Length(b); length > 0 {
			words = append(words, "--"+f.Field, typed(length, units))
		}
	}
	if b.Hem > 0 {
		words = append(words, "--hem", typed(b.Hem, units))
	}
	if a.Kind.Facts.Sett > 0 || a.Kind.Piece != "" {
		words = append(words, "--sett", strings.ReplaceAll(b.Sett.Format(units), " ", ""))
	}
	if b.Picks > 0 && a.Kind.Piece != "" {
		words = append(words, "--picks", strings.ReplaceAll(b.Picks.Format(units), " ", ""))
	}
	if b.OtherEnd != nil {
		words = append(words, "--other-end", stash.Quote(b.OtherEnd.Format(units)))
	}
	for _, n := range []struct {
		option string
		n      int
	}{{"--bunch", b.Bunch}, {"--bunch-groups", b.BunchGroups}} {
		if n.n > 0 {
			words = append(words, n.option, fmt.Sprint(n.n))
		}
	}
	if b.RagPerM2 > 0 {
		words = append(words, "--rag-per-m2", strings.ReplaceAll(b.RagPerM2.Format(units), " ", ""),
			"--end-strands", fmt.Sprint(max(1, b.EndStrands)))
	}
	return words
}

// typed is a length as it is typed for an option.
func typed(l measure.Length, units measure.System) string {
	number, unit := unitApart(l.Cloth(units))
	return stash.Quote(number + unit)
}

// YarnsOf names the yarns of packages, each with its packages.
func YarnsOf(s making.Shelf, ids []stash.PackageID) string {
	var names []string
	tags := map[string][]string{}
	for _, id := range ids {
		p, _ := s.Find(id)
		name := stash.Clean(YarnColour(s.Yarns[p.Yarn].Name, stash.Known(p.Colour)))
		if !slices.Contains(names, name) {
			names = append(names, name)
		}
		tags[name] = append(tags[name], p.Label())
	}
	for i, name := range names {
		names[i] = fmt.Sprintf("%s (%s)", name, strings.Join(tags[name], " "))
	}
	return strings.Join(names, ", ")
}

func restWords(s making.Shelf, r search.Rest, units measure.System) string {
	text := fmt.Sprintf("leaves of %s %s", labels(s, r.Packages), r.Mass.Whole(units))
	if r.Length != nil {
		text += ", " + yarnText(*r.Length, units)
	}
	switch {
	case r.Mass == 0:
		text = fmt.Sprintf("uses up %s", labels(s, r.Packages))
	case r.Useless:
		text += ", too short for anything"
	}
	return text
}

func cautionWords(c Caution) string {
	if c.Rule == "caution" || c.Rule == "weaver" || c.Rule == "person" || c.Of == "" &&
		c.Answer == stash.Ask {
		return strings.TrimPrefix(c.Of+": "+c.Why, ": ")
	}
	return strings.TrimPrefix(fmt.Sprintf("%s: %s (%s): %s", c.Of, c.Answer, c.Rule, c.Why), ": ")
}

// WhyShape is the JSON shape of `fits --why`.
type WhyShape struct {
	Yarn    string          `json:"yarn"`
	Kind    string          `json:"kind"`
	Place   *int            `json:"place"`
	Best    *Fitting        `json:"best"`
	Last    int             `json:"last_points"`
	Reasons []search.Reason `json:"reasons"`
}

// PrintWhy prints why nothing can be made.
func PrintWhy(w io.Writer, s WhyShape, units measure.System) {
	fmt.Fprintf(w, "%s for %s: ", stash.Clean(s.Yarn), stash.Clean(s.Kind))
	switch {
	case s.Place != nil:
		fmt.Fprintf(w, "it does appear, at place %d\n", *s.Place)
	case s.Best != nil && s.Last > 0 && s.Best.Score >= s.Last:
		fmt.Fprintln(w, "it fits, but something is to be asked about first, and others need no asking")
	case s.Best != nil && s.Last > 0:
		fmt.Fprintf(w, "it fits, but others make more of the shelf: the best with it has %d points, the last that is shown %d\n",
			s.Best.Score, s.Last)
	case s.Best == nil:
		fmt.Fprintln(w, "nothing can be made with it")
	default:
		fmt.Fprintln(w, "it does appear further down")
	}
	for _, r := range s.Reasons {
		as := ""
		if r.Role != "" {
			as = "as " + string(r.Role) + ": "
		}
		fmt.Fprint(w, Wrap(r.Label+" "+as+r.Why, "  ", RoomOf(w)))
	}
	if s.Best != nil {
		fmt.Fprintln(w, "the best with it:")
		printFitting(w, 1, *s.Best, units)
	}
}
