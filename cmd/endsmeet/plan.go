package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/planner"
	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/planner/making"
	"endsmeet/planner/picture"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func planCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "plan", Category: groupMaking, ArgsUsage: "BRIEF",
		Usage: "what a brief needs, whether it fits, from which packages, how sure",
		Description: "Options for a brief may be given here too and hold for this plan alone.\n" +
			"--reserve keeps the yarn for it.",
		Flags: append(briefFlags(), endsFlag(),
			drawingFlags()[0],
			&cli.BoolFlag{Name: "reserve", Usage: "plan a piece and keep its yarn for it"},
			&cli.BoolFlag{Name: "another", Usage: "compare one more piece on a longer warp now with a new warp later"},
			&cli.StringFlag{Name: "override", Usage: "set the person's rules aside, for this `REASON`"},
			forceShortFlag()),
		Action: action(e, 1, 1, plan),
	}
}

func forceShortFlag() cli.Flag {
	return &cli.BoolFlag{Name: "force", Usage: "go on though the yarn is short"}
}

// planned is the JSON shape of a plan.
type planned struct {
	Piece       *string          `json:"piece"`
	Ends        int              `json:"ends"`
	EndsBelow   int              `json:"ends_below"`
	ReedWidth   measure.Length   `json:"reed_width_mm"`
	WarpEnd     measure.Length   `json:"warp_end_mm"`
	WarpTotal   measure.Length   `json:"warp_total_mm"`
	Tape        measure.Length   `json:"tape_length_mm"`
	Picks       int              `json:"picks"`
	WeftTotal   measure.Length   `json:"weft_total_mm"`
	Hem         measure.Length   `json:"hem_mm"`
	RagMg       *measure.Mass    `json:"rag_mg"`
	Finished    size             `json:"finished"`
	FinishedU   size             `json:"finished_u"`
	Allowances  []allowance      `json:"allowances"`
	Weft        []allowance      `json:"weft"`
	Losses      []making.Loss    `json:"losses"`
	Packages    []given          `json:"packages"`
	LeftOut     []making.LeftOut `json:"left_out"`
	Verdict     chance.Verdict   `json:"verdict"`
	Probability *float64         `json:"probability"`
	Binding     string           `json:"binding"`
	Greatest    *size            `json:"greatest"`
	Edges       edges            `json:"edges"`
	Stripes     []fit.Band       `json:"stripes"`
	Measure     []string         `json:"measure_first"`
	Notes       []string         `json:"notes"`
	Another     []way            `json:"another,omitempty"`
	Cautions    []caution        `json:"cautions"`

	outcome making.Outcome
}

type size struct {
	Width  measure.Length `json:"width_mm"`
	Length measure.Length `json:"length_mm"`
}

type allowance struct {
	Name string         `json:"name"`
	Mm   measure.Length `json:"mm"`
	Why  string         `json:"why"`
}

type given struct {
	ID   stash.PackageID `json:"id"`
	Tag  string          `json:"tag"`
	Ends int             `json:"ends"`
	Warp measure.Length  `json:"warp_mm"`
	// Weft is null where the yarn has no count: rags go by mass.
	Weft *measure.Length `json:"weft_mm"`
	Hem  measure.Length  `json:"hem_mm"`
	Mass measure.Mass    `json:"mass_mg"`
}

// across is the yarn that goes across the warp, zero where its length is not
// known.
func (g given) across() measure.Length {
	if g.Weft == nil {
		return 0
	}
	return *g.Weft + g.Hem
}

type edges struct {
	Groups     int    `json:"groups"`
	Bunches    int    `json:"bunches"`
	SpareEnds  int    `json:"spare_ends"`
	SpareGroup int    `json:"spare_groups"`
	Even       bool   `json:"even"`
	Layout     string `json:"layout"`
}

func plan(k *call) error {
	do := k.view
	if k.Bool("reserve") {
		do = k.act
	}
	return do(func(tx *sqlite.Tx) error {
		b, err := tx.FindBrief(k.Args().First())
		if err != nil {
			return err
		}
		o, shelf, err := k.outcome(tx, b)
		if err != nil {
			return err
		}
		r, err := recipientOf(tx, shelf, o.Brief)
		if err != nil {
			return err
		}
		shape := k.plannedShape(shelf, o, r)
		if k.Bool("another") {
			if shape.Another, err = anotherOf(shelf, b, k, tx); err != nil {
				return err
			}
		}
		if k.Bool("reserve") {
			if shape.Piece, err = k.reserve(tx, b, o, r); err != nil {
				return err
			}
		}
		if err := k.answer(shape, func(w io.Writer) { printPlan(w, b.Name, shape, r, k.units) }); err != nil {
			return err
		}
		return k.saveDrawing(plannedCloth(b.Name, o, k.units), picture.Frontier{})
	})
}

// endsFlag gives the number of ends in place of the width.
func endsFlag() cli.Flag {
	return &cli.IntFlag{Name: "ends", Usage: "`N` ends without floats, whatever width they give"}
}

// outcome plans a brief with what the options say over it.
func (k *call) outcome(tx *sqlite.Tx, b stash.Brief) (making.Outcome, making.Shelf, error) {
	shelf, err := makingShelf(tx)
	if err != nil {
		return making.Outcome{}, shelf, err
	}
	over, err := k.briefFields(tx)
	if err != nil {
		return making.Outcome{}, shelf, err
	}
	facts, err := b.With(over)
	if err != nil {
		return making.Outcome{}, shelf, err
	}
	if k.IsSet("ends") && k.Int("ends") < 1 {
		return making.Outcome{}, shelf, stash.Refuse(stash.CodeUsage, "leave it out to go by the width", "--ends takes a number from 1")
	}
	o, err := making.PlanEnds(shelf, facts, k.Int("ends"))
	return o, shelf, briefProblem(err)
}

// reserve plans a piece and claims its yarn.
func (k *call) reserve(tx *sqlite.Tx, b stash.Brief, o making.Outcome, r recipient) (*string, error) {
	if err := k.enough(o); err != nil {
		return nil, err
	}
	if err := r.blocked(k.String("override")); err != nil {
		return nil, err
	}
	id, name, err := newPiece(tx, b)
	if err != nil {
		return nil, err
	}
	m := stash.Making{Brief: b.ID, Name: name, Plan: o.Record()}
	return &name, k.recordMaking(tx, stash.Draft{Kind: stash.KindPlan, Of: stash.Subject(id), Body: m}, r)
}

// enough refuses what is short, unless forced.
func (k *call) enough(o making.Outcome) error {
	if o.Fits() || k.Bool("force") {
		return nil
	}
	if o.Binding == "stripes" {
		return stash.Refuse(stash.CodeRefused, "`endsmeet plan` tells the width that they make; change the size or the stripes, or give --force", "the stripes do not fill the width")
	}
	return stash.Refuse(stash.CodeRefused, "`endsmeet plan` tells what binds; change the size or the yarn, or give --force", "the yarn is not known to be enough")
}

// newPiece draws an id and a name for the next piece of a brief.
func newPiece(tx *sqlite.Tx, b stash.Brief) (stash.PieceID, string, error) {
	pieces, err := tx.Pieces(false)
	n := 1
	for _, p := range pieces {
		if p.Brief == b.ID {
			n++
		}
	}
	return stash.PieceID(tx.NewID()), fmt.Sprintf("%s %d", b.Name, n), err
}

// recordMaking records a step in a piece's life, and with it the reason for
// setting its person's rules aside.
func (k *call) recordMaking(tx *sqlite.Tx, d stash.Draft, r recipient) error {
	if _, err := tx.Record(d); err != nil {
		return err
	}
	if o, ok := r.override(stash.PieceID(d.Of), k.String("override")); ok {
		_, err := tx.Record(o)
		return err
	}
	return nil
}

func (k *call) plannedShape(s making.Shelf, o making.Outcome, r recipient) planned {
	n := o.Needs
	shape := planned{
		Ends: n.Ends, EndsBelow: n.ThreadedBelow, ReedWidth: n.ReedWidth, WarpEnd: n.WarpEnd, WarpTotal: n.WarpTotal, Tape: n.TapeLength,
		Picks: n.Picks, WeftTotal: n.WeftTotal, Hem: n.HemTotal, Finished: size{n.FinishedWidth, n.FinishedLength},
		FinishedU:  size{o.Spread.Width, o.Spread.Length},
		Allowances: allowances(n.Warp), Weft: allowances(n.Weft), Losses: o.Losses, Packages: givenBy(s, o.Allotments), LeftOut: o.LeftOut,
		Verdict: o.Verdict, Binding: o.Binding, Edges: edgesShape(o.Edges), Measure: orEmpty(o.UnknownLengths), Notes: orEmpty(o.Notes),
		Cautions: r.cautionsJSON(), outcome: o,
	}
	if o.LeftOut == nil {
		shape.LeftOut = []making.LeftOut{}
	}
	if o.Verdict != chance.Unknown {
		p := math.Round(o.Probability*1e4) / 1e4
		shape.Probability = &p
	}
	if n.RagMass > 0 {
		shape.RagMg = &n.RagMass
	}
	shape.Stripes = append([]fit.Band{}, o.Bands...)
	if o.Greatest != nil {
		shape.Greatest = &size{o.Greatest.Width, o.Greatest.Length}
	}
	return shape
}

// givenBy is the JSON shape of allotments, never null.
func givenBy(s making.Shelf, allotments []stash.Allotment) []given {
	out := []given{}
	for _, a := range allotments {
		weft := &a.Weft
		if !s.HasCount(a.Package) {
			weft = nil
		}
		out = append(out, given{a.Package, s.Label(a.Package), a.Ends, a.Warp, weft, a.Hem, a.Mass})
	}
	return out
}

func orEmpty(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func allowances(lines []planner.Allowance) []allowance {
	out := []allowance{}
	for _, l := range lines {
		out = append(out, allowance{l.Name, l.Length, l.Why})
	}
	return out
}

func edgesShape(e planner.EdgeAnswer) edges {
	shape := edges{Groups: e.Groups, Bunches: e.Bunches, SpareEnds: e.SpareEnds, SpareGroup: e.SpareGroups, Even: e.Even}
	if len(e.Layouts) > 0 {
		shape.Layout = e.Layouts[0].String()
	}
	return shape
}

func printPlan(w io.Writer, name string, p planned, r recipient, units measure.System) {
	n := p.outcome.Needs
	fmt.Fprintf(w, "%s: %s x %s finished\n", stash.Clean(name), p.Finished.Width.Cloth(units), p.Finished.Length.Cloth(units))
	if u := p.FinishedU; u.Width > 0 || u.Length > 0 {
		fmt.Fprintf(w, "  size   ± %s x %s, since losses differ from piece to piece\n", u.Width.Cloth(units), u.Length.Cloth(units))
	}
	fmt.Fprintf(w, "  warp   %d ends of %s = %s, %s in the reed\n", p.Ends, p.WarpEnd.Cloth(units), p.WarpTotal.Yarn(units), p.ReedWidth.Cloth(units))
	fmt.Fprintf(w, "  weave  until the tape, under tension, reads %s: %d picks\n", p.Tape.Cloth(units), p.Picks)
	if n.RagMass > 0 {
		fmt.Fprintf(w, "  weft   %s of rags\n", n.RagMass.Format(units))
	} else {
		fmt.Fprintf(w, "  weft   %s\n", p.WeftTotal.Yarn(units))
	}
	printVerdict(w, p, units)
	if r.person.ID != "" {
		fmt.Fprintf(w, "for %s: %s\n", stash.Clean(r.person.Name), r.result.Words())
	}
	printAllowances(w, "one end", p.Allowances, measure.Length.Cloth, units)
	if n.RagMass == 0 {
		printAllowances(w, "the weft", p.Weft, measure.Length.Yarn, units)
	}
	printLosses(w, p.Losses)
	if grouped(p.outcome.Brief) {
		printEdges(w, p.outcome.Edges, units)
	}
	c := plannedCloth("", p.outcome, units)
	printDrawing(w, c.Text())
	for _, note := range p.Notes {
		fmt.Fprint(w, wrap(note, "  ", 78))
	}
	printAnother(w, p.Another, units)
	printCautions(w, r)
	if p.Piece != nil {
		fmt.Fprintf(w, "\nreserved for %s\n", stash.Clean(*p.Piece))
	}
}

// printAllowances prints each allowance on a line of its own, and their sum.
func printAllowances(w io.Writer, title string, lines []allowance, show func(measure.Length, measure.System) string, units measure.System) {
	t := newTable(title, ">length", "why")
	var sum measure.Length
	for _, l := range lines {
		t.addWrapped(50, cut(l.Name, 18), show(l.Mm, units), l.Why)
		sum += l.Mm
	}
	t.add("in all", show(sum, units), "")
	fmt.Fprintln(w)
	t.print(w)
}

func printLosses(w io.Writer, losses []making.Loss) {
	if len(losses) == 0 {
		return
	}
	t := newTable("reckoned with", ">", "from")
	for _, l := range losses {
		t.addWrapped(42, cut(strings.ReplaceAll(l.Name, "_", " "), 24), l.Text, l.Basis)
	}
	fmt.Fprintln(w)
	t.print(w)
}

func printFringe(w io.Writer, e planner.EdgeAnswer, units measure.System) {
	if e.FringeCut > 0 {
		fmt.Fprintf(w, "  cut the fringe %s long at each end, to twist it\n", e.FringeCut.Cloth(units))
	}
}

// grouped says whether the ends of a brief are gathered at its edges at all: in
// a fringe or under hem-stitching.
func grouped(b stash.BriefFacts) bool { return b.Twisted+b.Fringe > 0 || b.HemEdges > 0 }

func printEdges(w io.Writer, e planner.EdgeAnswer, units measure.System) {
	defer printFringe(w, e, units)
	twisted := e.FringeCut > 0
	fmt.Fprintf(w, "\nedges: %d groups", e.Groups)
	if twisted {
		fmt.Fprintf(w, ", %d bunches", e.Bunches)
	}
	if e.Even {
		fmt.Fprintln(w, ", nothing left over")
		return
	}
	fmt.Fprint(w, ", left over: ")
	if twisted {
		fmt.Fprintf(w, "%s, ", plural(e.SpareGroups, "group"))
	}
	fmt.Fprintln(w, plural(e.SpareEnds, "end"))
	if len(e.Layouts) > 0 {
		fmt.Fprint(w, wrap("as it is: "+e.Layouts[0].String()+", "+e.Layouts[0].Why, "  ", 78))
	}
	for _, c := range e.Nearest {
		fmt.Fprintf(w, "  %d ends would come out even: %s finished\n", c.Ends, c.FinishedWidth.Cloth(units))
	}
}

func printVerdict(w io.Writer, p planned, units measure.System) {
	o := p.outcome
	fmt.Fprintf(w, "\n%s\n", verdictWords(p.Verdict, p.Probability, p.Binding))
	for _, m := range p.Measure {
		fmt.Fprintf(w, "  %s\n", m)
	}
	if o.Greatest != nil {
		fmt.Fprintf(w, "  at this width %s would fit; --width and --length try other sizes\n", o.Greatest.Length.Cloth(units))
	}
	for _, g := range o.Gains {
		fmt.Fprintf(w, "  one more %s would add %s\n", g.PutUp.Name, g.Length.Cloth(units))
	}
	if o.Worth != nil {
		fmt.Fprintf(w, "  what would help most: %s\n", o.Worth.Measurement.Name)
	}
	if len(p.Packages) > 0 {
		t := newTable("package", ">ends", ">warp", ">weft", ">mass")
		for _, g := range p.Packages {
			t.add(g.Tag, countOrBlank(g.Ends), yarnOrBlank(g.Warp, units), yarnOrBlank(g.across(), units), g.Mass.Format(units))
		}
		t.print(w)
	}
	printBands(w, o.Bands)
	for _, l := range p.LeftOut {
		fmt.Fprintf(w, "  left out: %s %s\n", l.Label, l.Reason)
	}
	for _, c := range o.LotChanges {
		fmt.Fprintf(w, "  lots %s meet in the %s%s\n", strings.Join(c.Lots, " and "), c.Role, spaced(c.Colour))
	}
}

func countOrBlank(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

func yarnOrBlank(l measure.Length, units measure.System) string {
	if l == 0 {
		return ""
	}
	return l.Yarn(units)
}

// printBands prints the stripes from the left selvedge, floats apart.
func printBands(w io.Writer, bands []fit.Band) {
	if len(bands) < 2 {
		return
	}
	fmt.Fprint(w, wrap("stripes: "+bandWords(bands), "  ", 78))
}

// bandWords lists stripes as they are typed.
func bandWords(bands []fit.Band) string {
	var parts []string
	for _, b := range bands {
		parts = append(parts, fmt.Sprintf("%s %d", b.Colour, b.Ends))
	}
	return strings.Join(parts, ", ")
}

func spaced(s string) string {
	if s == "" {
		return ""
	}
	return " " + s
}

// verdictWords says the verdict with its probability and what binds.
func verdictWords(v chance.Verdict, p *float64, binding string) string {
	text := map[chance.Verdict]string{
		chance.Sure: "sure: it fits", chance.Likely: "likely: it fits on the middle figures", chance.Short: "short: it does not fit",
		chance.Unknown: "unknown: something must be measured first",
	}[v]
	if p != nil {
		text += fmt.Sprintf(" (%s)", percent(*p))
	}
	if binding != "" && binding != "nothing" {
		text += "; what binds: " + binding
	}
	return text
}

// percent writes a probability, never as the certainty that it is not.
func percent(p float64) string {
	switch {
	case p > 0.999:
		return "more than 99.9 %"
	case p < 0.001:
		return "less than 0.1 %"
	}
	return fmt.Sprintf("%.1f %%", p*100)
}
