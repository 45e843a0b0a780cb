package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// fitsText prints a line for each answer; of a single kind with sums a block.
func fitsText(out []fitting, left []making.LeftOut, single, sums bool,
	units measure.System) func(io.Writer) {
	return func(w io.Writer) {
		switch {
		case len(out) == 0:
			fmt.Fprintln(w, "nothing on the shelf makes it with 95 %; `fits KIND --why YARN` tells what a yarn lacks")
		case single && sums:
			fmt.Fprintf(w, "%s: %s\n", stash.Clean(out[0].answer.Kind.Name),
				out[0].answer.Kind.From)
			for i, f := range out {
				printFitting(w, i+1, f, units)
			}
		case single:
			printOfKind(w, out, units)
		default:
			printKinds(w, out, units)
		}
		if len(left) > 0 {
			fmt.Fprintf(w, "\nleft out: %s that cannot be planned with: `fits KIND --why YARN`\n",
				plural(len(left), "item"))
		}
	}
}

// printKinds prints a line for each kind.
func printKinds(w io.Writer, out []fitting, units measure.System) {
	t := newTable("kind", ">size", "warp", "weft", ">chance", ">score")
	for _, f := range out {
		a := f.answer
		t.add(a.Kind.Name, clothSize(f.Width, f.Length, units), fewLabels(a.Shelf, a.Warp),
			fewLabels(a.Shelf, a.Weft), sureWords(f), fmt.Sprint(f.Score))
	}
	t.print(w)
}

// printOfKind prints a line for each answer of one kind, what is to be minded of
// it, and how to plan the first.
func printOfKind(w io.Writer, out []fitting, units measure.System) {
	name := stash.Clean(out[0].answer.Kind.Name)
	t := newTable(">", ">size", "warp", "weft", ">chance", "mind")
	for i, f := range out {
		a := f.answer
		t.add(fmt.Sprint(i+1), clothSize(f.Width, f.Length, units), fewLabels(a.Shelf, a.Warp),
			fewLabels(a.Shelf, a.Weft), sureWords(f), mindWords(f.Verdicts))
	}
	t.whole = true
	t.print(w)
	best := out[0]
	fmt.Fprintf(w, "\n%s\n", toPlan(best, units))
	fmt.Fprintln(w, "Each in full: "+stash.Command("fits --sums", name))
}

// mindWords are the answers of a verdict that are no plain yes, in few words.
func mindWords(v verdict.Verdict) string {
	var out []string
	for _, a := range v.Answers {
		if a.Grade != verdict.Yes {
			out = append(out, fmt.Sprintf("%s: %s", strings.ToLower(a.Label[:1])+a.Label[1:],
				a.Grade))
		}
	}
	return strings.Join(out, "; ")
}

func sureWords(f fitting) string {
	if f.Probability == nil {
		return "unknown"
	}
	return strings.NewReplacer("more than ", ">", "less than ",
		"<").Replace(percent(*f.Probability))
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
	if all := labels(s, ids); cells(all) <= room || len(ids) == 1 {
		return cut(all, room)
	}
	return fmt.Sprintf("%s +%d", cut(s.Label(ids[0]), room-4), len(ids)-1)
}

func printFitting(w io.Writer, place int, f fitting, units measure.System) {
	a := f.answer
	fmt.Fprintf(w, "\n%d. %s x %s, score %d\n", place, f.Width.Cloth(units), f.Length.Cloth(units),
		f.Score)
	fmt.Fprint(w, wrap("warp "+yarnsOf(a.Shelf, a.Warp), "   ", roomOf(w)))
	fmt.Fprint(w, wrap("weft "+yarnsOf(a.Shelf, a.Weft), "   ", roomOf(w)))
	cloth := strings.TrimPrefix(f.Structure+", ", ", ")
	fmt.Fprint(w, wrap(fmt.Sprintf("%s%d ends of %s at %s, %s picks", cloth, f.Ends,
		f.WarpEnd.Cloth(units), f.Sett.Format(units), f.Picks.Format(units)), "   ", roomOf(w)))
	printVerdict(w, f.Verdicts)
	if len(f.Stripes) > 1 {
		fmt.Fprint(w, wrap("stripes "+bandWords(f.Stripes), "   ", roomOf(w)))
	}
	if a.Scale < 1000 {
		fmt.Fprint(w, wrap(fmt.Sprintf("smaller than %s x %s: on its low figure the yarn lacks %s",
			f.Wanted.Width.Cloth(units), f.Wanted.Length.Cloth(units), a.Short), "   ", roomOf(w)))
	}
	if l := f.Larger; l != nil {
		fmt.Fprint(w, wrap(fmt.Sprintf("larger in another shape: %s x %s", l.Width.Cloth(units),
			l.Length.Cloth(units)), "   ", roomOf(w)))
	}
	for _, r := range f.Rests {
		fmt.Fprint(w, wrap(restWords(a.Shelf, r, units), "   ", roomOf(w)))
	}
	for _, c := range f.Cautions {
		if said, _ := f.Verdicts.Of(verdict.Recipient); !says(said, c.Rule) {
			fmt.Fprint(w, wrap(cautionWords(c), "   ", roomOf(w)))
		}
	}
	fmt.Fprintln(w, "   plan it: "+toPlan(f, units))
}

// toPlan is what makes an answer a plan, for whom it was asked.
func toPlan(f fitting, units measure.System) string {
	command := planCommandOf(f.answer, units)
	if f.answer.Kind.Project == "" && f.whose != "" {
		command += " --for " + quoted(f.whose)
	}
	return command
}

// planCommandOf is what makes an answer a plan: a project of the kind, or the
// weaver's own project with the yarns of the answer.
func planCommandOf(a search.Answer, units measure.System) string {
	words := []string{"endsmeet plan", quoted(a.Kind.Name)}
	b := a.Project
	if a.Kind.Project == "" {
		words = []string{"endsmeet project add NAME"}
		if a.Kind.Piece == "" {
			words = append(words, "--kind", quoted(a.Kind.Name))
		}
		words = append(words, "--structure", quoted(b.Structure))
		for _, l := range []struct {
			option string
			length measure.Length
		}{{"--twisted", b.Twisted}, {"--braided", b.Braided}, {"--knotted", b.Knotted},
			{"--fringe", b.Fringe}, {"--hem", b.Hem}} {
			if l.length > 0 {
				words = append(words, l.option, typed(l.length, units))
			}
		}
		if a.Kind.Facts.Sett > 0 || a.Kind.Piece != "" {
			words = append(words, "--sett", strings.ReplaceAll(b.Sett.Format(units), " ", ""))
		}
		if b.Picks > 0 && a.Kind.Piece != "" {
			words = append(words, "--picks", strings.ReplaceAll(b.Picks.Format(units), " ", ""))
		}
		if b.OtherEnd != nil {
			words = append(words, "--other-end", quoted(b.OtherEnd.Format(units)))
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
			words = append(words, "--rag-per-m2", strings.ReplaceAll(b.RagPerM2.Format(units), " ",
				""), "--end-strands", fmt.Sprint(max(1, b.EndStrands)))
		}
	}
	words = append(words, "--width", typed(b.Width, units), "--length", typed(b.Length, units))
	for _, o := range []struct {
		option string
		ids    []stash.PackageID
	}{{"--warp", a.Warp}, {"--weft", a.Weft}} {
		for _, id := range o.ids {
			words = append(words, o.option, quoted(a.Shelf.Label(id)))
		}
	}
	if bands := a.Outcome.Bands; len(bands) > 1 {
		words = append(words, "--stripes", quoted(bandWords(bands)))
	}
	return strings.Join(words, " ")
}

// typed is a length as it is typed for an option.
func typed(l measure.Length, units measure.System) string {
	return strings.ReplaceAll(l.Cloth(units), " ", "")
}

// quoted puts a word between quotation marks where a shell needs them.
func quoted(s string) string {
	if s != "" && strings.Trim(s,
		"abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.") == "" {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

// yarnsOf names the yarns of packages, each with its packages.
func yarnsOf(s making.Shelf, ids []stash.PackageID) string {
	var names []string
	tags := map[string][]string{}
	for _, id := range ids {
		p, _ := s.Find(id)
		name := strings.Join(strings.Fields(s.Yarns[p.Yarn].Name+" "+colourBeside(s.Yarns[p.Yarn].Name, p.Colour)), " ")
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

// colourBeside is the colour, unless the name holds it already.
func colourBeside(name, colour string) string {
	if strings.Contains(strings.ToLower(name), strings.ToLower(colour)) {
		return ""
	}
	return colour
}

func restWords(s making.Shelf, r search.Rest, units measure.System) string {
	text := fmt.Sprintf("leaves of %s %s", labels(s, r.Packages), r.Mass.Format(units))
	if r.Length != nil {
		text += ", " + r.Length.Yarn(units)
	}
	switch {
	case r.Mass == 0:
		text = fmt.Sprintf("uses up %s", labels(s, r.Packages))
	case r.Useless:
		text += ", too short for anything"
	}
	return text
}

func cautionWords(c caution) string {
	if c.Rule == "caution" || c.Rule == "weaver" || c.Rule == "person" || c.Of == "" &&
		c.Answer == stash.Ask {
		return strings.TrimPrefix(c.Of+": "+c.Why, ": ")
	}
	return strings.TrimPrefix(fmt.Sprintf("%s: %s (%s): %s", c.Of, c.Answer, c.Rule, c.Why), ": ")
}

// whyShape is the JSON shape of `fits --why`.
type whyShape struct {
	Yarn    string          `json:"yarn"`
	Kind    string          `json:"kind"`
	Place   *int            `json:"place"`
	Best    *fitting        `json:"best"`
	Last    int             `json:"last_score"`
	Reasons []search.Reason `json:"reasons"`
}

// fitsWhy answers why a yarn does not appear among the answers for each kind.
func (k *call) fitsWhy(tx *sqlite.Tx, shelf making.Shelf, q search.Query,
	asked []kinds.Kind) error {
	if len(asked) != 1 {
		return stash.Refuse(stash.CodeUsage, "as in: endsmeet fits scarf --why YARN",
			"--why asks about one kind or project")
	}
	lots, id, err := lotsAsked(tx, k.String("why"))
	if err != nil {
		return err
	}
	if q, err = askedOf(tx, q, asked[0]); err != nil {
		return err
	}
	e, err := search.Why(k.ctx, shelf, q, lots)
	if err != nil {
		return err
	}
	shape := whyShape{Yarn: shelf.Yarns[id].Name, Kind: asked[0].Name, Last: e.Last,
		Reasons: append([]search.Reason{}, e.Reasons...)}
	if e.Place > 0 {
		shape.Place = &e.Place
	}
	if e.Best != nil {
		best, err := fittingOf(tx, *e.Best)
		if err != nil {
			return err
		}
		shape.Best = &best
	}
	return k.answer(shape, func(w io.Writer) { printWhy(w, shape, k.units) })
}

func printWhy(w io.Writer, s whyShape, units measure.System) {
	fmt.Fprintf(w, "%s for %s: ", stash.Clean(s.Yarn), stash.Clean(s.Kind))
	switch {
	case s.Place != nil:
		fmt.Fprintf(w, "it does appear, at place %d\n", *s.Place)
	case s.Best != nil && s.Last > 0:
		fmt.Fprintf(w, "it fits, but the best with it scores %d, and the answers end at %d\n",
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
		fmt.Fprint(w, wrap(r.Label+" "+as+r.Why, "  ", roomOf(w)))
	}
	if s.Best != nil {
		fmt.Fprintln(w, "the best with it:")
		printFitting(w, 1, *s.Best, units)
	}
}
