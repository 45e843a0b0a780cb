package show

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Planned is the JSON shape of a plan.
type Planned struct {
	Piece       *string          `json:"piece"`
	Ends        int              `json:"ends"`
	EndsBelow   int              `json:"ends_below"`
	ReedWidth   measure.Length   `json:"reed_width_mm"`
	WarpEnd     measure.Length   `json:"warp_end_mm"`
	WarpMiddle  measure.Length   `json:"warp_end_middle_mm"`
	WarpLong    measure.Length   `json:"warp_end_95_mm"`
	WarpTotal   measure.Length   `json:"warp_total_mm"`
	Tape        measure.Length   `json:"tape_length_mm"`
	Picks       int              `json:"picks"`
	WeftTotal   measure.Length   `json:"weft_total_mm"`
	Hemstitch   measure.Length   `json:"hemstitch_mm"`
	RagMg       *measure.Mass    `json:"rag_mg"`
	Finished    Size             `json:"finished"`
	FinishedU   Size             `json:"finished_u"`
	Allowances  []Allowance      `json:"allowances"`
	Weft        []Allowance      `json:"weft"`
	Losses      []making.Loss    `json:"losses"`
	Packages    []Given          `json:"items"`
	Further     []making.Further `json:"if_it_runs_out"`
	LeftOut     []making.LeftOut `json:"left_out"`
	Verdict     chance.Verdict   `json:"verdict"`
	Probability *float64         `json:"probability"`
	Binding     string           `json:"runs_out_first"`
	Greatest    *Size            `json:"greatest"`
	Edges       edges            `json:"edges"`
	OtherEdges  edges            `json:"other_edges"`
	Stripes     []fit.Band       `json:"stripes"`
	EndsOf      []making.EndsOf  `json:"ends_of_each"`
	Sley        *sleyShape       `json:"sley"`
	Measure     []string         `json:"measure_first"`
	Notes       []string         `json:"notes"`
	Another     []Way            `json:"another,omitempty"`
	Largest     *LargestShape    `json:"largest,omitempty"`
	Cautions    []Caution        `json:"cautions"`
	Verdicts    verdict.Verdict  `json:"verdicts"`

	Outcome making.Outcome `json:"-"`
}

// Size is a length and a width.
type Size struct {
	Width  measure.Length `json:"width_mm"`
	Length measure.Length `json:"length_mm"`
}

// Allowance is one part of the warp, and why it is there.
type Allowance struct {
	Name string         `json:"name"`
	Mm   measure.Length `json:"mm"`
	Why  string         `json:"why"`
}

// Given is what a package gives to a plan.
type Given struct {
	ID   stash.PackageID `json:"id"`
	Tag  string          `json:"tag"`
	Ends int             `json:"ends"`
	Warp measure.Length  `json:"warp_mm"`
	// Weft is null where the yarn has no count: rags go by mass.
	Weft      *measure.Length `json:"weft_mm"`
	Hemstitch measure.Length  `json:"hemstitch_mm"`
	Mass      measure.Mass    `json:"mass_mg"`
	// Left is what then is left of the package; null where nobody weighed it.
	Left *measure.Mass `json:"left_mg"`
}

// Across is the yarn that goes across the warp, zero where its length is not
// known.
func (g Given) Across() measure.Length {
	if g.Weft == nil {
		return 0
	}
	return *g.Weft + g.Hemstitch
}

// PrintLoomFacts says what to wind, sley and weave, and of what.
func PrintLoomFacts(w io.Writer, p Planned, units measure.System) {
	n := p.Outcome.Needs
	warp, weft := takenOf(p.Packages, units)
	Fact(w, "Wind", fmt.Sprintf("%d ends of %s: %s%s%s", p.Ends, p.WarpEnd.Planned(units),
		yarnText(p.WarpTotal, units), warp, furtherWords(p.Further, stash.RoleWarp)))
	if p.Outcome.Needs.Spec.Loom.Margin > 0 {
		Fact(w, "", fmt.Sprintf("%s in the middle; %s is enough for 19 of 20 pieces",
			p.WarpMiddle.Planned(units), p.WarpLong.Planned(units)))
	}
	if each := endsOfWords(p.EndsOf); each != "" {
		Fact(w, "Gives", each)
	}
	if ends := endsTaken(p); ends != "" {
		Fact(w, "Ends", ends)
	}
	Fact(w, "Sley", sleyWords(p.ReedWidth, p.Outcome, units))
	Fact(w, "Weave", fmt.Sprintf("until the tape, under tension, reads %s (%d picks)%s",
		p.Tape.Planned(units), p.Picks, EachOf(p.Outcome.Project.Pieces, p.Tape, units)))
	across := yarnText(p.WeftTotal, units)
	if n.RagMass > 0 {
		across = n.RagMass.Format(units) + " of rags"
	}
	Fact(w, "Weft", across+weft+furtherWords(p.Further, stash.RoleWeft))
	if b := p.Outcome.Project; b.StripeRule != stash.StripesMixed {
		printBands(w, p.Outcome.Bands)
	} else if len(p.Outcome.Bands) > 1 { // of one yarn there is nothing to mix
		Fact(w, "Mix", mixWords(b.Stripes, p.Outcome.Bands))
	}
	printEdges(w, p.Outcome.Project, n, p.Outcome.Edges, p.Outcome.OtherEdges, units)
	if left := leftWords(p.Packages, units); left != "" {
		Fact(w, "Left", left)
	}
	if u := p.FinishedU; u.Width > 0 || u.Length > 0 {
		Fact(w, "Size", "± "+figureSize(u.Width.Within(u.Width, units),
			u.Length.Within(u.Length, units))+", as losses differ from piece to piece")
	}
}

// mostGives is of how many balls the plan says what they give; --sums says it of all.
const mostGives = 6

// endsOfWords says how many whole ends each ball gives.
func endsOfWords(all []making.EndsOf) string {
	var parts []string
	sum, low := 0, 0
	for _, one := range all {
		sum, low = sum+one.Ends, low+one.Low
		parts = append(parts, fmt.Sprintf("%s %d (%d)", one.Tag, one.Ends, one.Low))
	}
	if len(all) == 0 {
		return ""
	}
	if more := len(parts) - mostGives; more > 0 {
		parts = append(parts[:mostGives], fmt.Sprintf("%d more", more))
	}
	return fmt.Sprintf("whole ends, in brackets less its ±: %s; in all %d (%d)",
		strings.Join(parts, ", "), sum, low)
}

// endsTaken says how many ends of a warp each of several balls gives, to be striped or mixed.
func endsTaken(p Planned) string {
	var parts []string
	for _, g := range p.Packages {
		if g.Ends > 0 {
			parts = append(parts, fmt.Sprintf("%s %d", g.Tag, g.Ends))
		}
	}
	if len(parts) < fit.FewBalls || len(parts) > mostGives || len(p.Outcome.Bands) > 1 {
		return ""
	}
	return strings.Join(parts, ", ") + ": a stripe of each, or mixed"
}

// PrintEndsOf prints how many whole ends each ball of a warp gives.
func PrintEndsOf(w io.Writer, all []making.EndsOf) {
	if len(all) == 0 {
		return
	}
	t := NewTable("whole ends of", ">in the middle", ">less its ±")
	for _, one := range all {
		t.Add(one.Tag, fmt.Sprint(one.Ends), fmt.Sprint(one.Low))
	}
	fmt.Fprintln(w)
	t.Print(w)
}

// takenOf says what warp and weft take of which package.
func takenOf(packages []Given, units measure.System) (warp, weft string) {
	for _, g := range packages {
		part := float64(g.Mass)
		if all := g.Warp + g.Across(); all > 0 {
			part *= float64(g.Warp) / float64(all)
		}
		if g.Warp > 0 {
			warp += fmt.Sprintf(", %s %s", g.Tag, measure.Mass(part).Whole(units))
		}
		if g.Weft == nil || g.Across() > 0 {
			weft += fmt.Sprintf(", %s %s", g.Tag,
				(g.Mass - wherePositive(g.Warp, measure.Mass(part))).Whole(units))
		}
	}
	return warp, weft
}

func wherePositive(l measure.Length, m measure.Mass) measure.Mass {
	if l > 0 {
		return m
	}
	return 0
}

// furtherWords says what goes on in a role where its yarn runs out.
func furtherWords(all []making.Further, role stash.Role) string {
	var tags []string
	for _, f := range all {
		if f.Role == role {
			tags = append(tags, f.Tag)
		}
	}
	if len(tags) == 0 {
		return ""
	}
	return "; if it runs out, " + strings.Join(tags, ", ")
}

// leftWords says what then is left of each package.
func leftWords(packages []Given, units measure.System) string {
	var parts []string
	for _, g := range packages {
		if g.Left != nil {
			parts = append(parts, g.Tag+" "+g.Left.Whole(units))
		}
	}
	return strings.Join(parts, ", ")
}

// PrintAllowances prints each allowance on a line of its own, and their sum.
func PrintAllowances(w io.Writer, title string, lines []Allowance,
	column func(measure.System, ...measure.Length) []string, units measure.System) {
	t := NewTable(title, ">length", "why")
	var sum measure.Length
	parts := make([]measure.Length, 0, len(lines)+1)
	for _, l := range lines {
		parts, sum = append(parts, l.Mm), sum+l.Mm
	}
	said := column(units, append(parts, -sum)...)
	for i, l := range lines {
		t.AddWrapped(l.Name, said[i], l.Why)
	}
	t.Add("in all", measure.Opposite(said[len(lines)]), "")
	fmt.Fprintln(w)
	t.Print(w)
}

// PrintLosses prints the losses of a plan and where they come from.
func PrintLosses(w io.Writer, losses []making.Loss) {
	if len(losses) == 0 {
		return
	}
	t := NewTable("reckoned with", ">", "from")
	for _, l := range losses {
		t.AddWrapped(strings.ReplaceAll(l.Name, "_", " "), l.Text, l.Basis)
	}
	fmt.Fprintln(w)
	t.Print(w)
}

// PrintFrom says what to measure first, and what more yarn would do.
func PrintFrom(w io.Writer, p Planned) {
	o := p.Outcome
	for _, m := range p.Measure {
		Fact(w, "First", m)
	}
	if o.Worth != nil {
		Fact(w, "Surer", "what would help most: "+o.Worth.Measurement.Name)
	}
}

// CountOrBlank is a number, nothing for none.
func CountOrBlank(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

// YarnOrBlank is a length of yarn, nothing for none.
func YarnOrBlank(l measure.Length, units measure.System) string {
	if l == 0 {
		return ""
	}
	return yarnText(l, units)
}

// printBands prints the stripes from the left selvedge, floats apart.
func printBands(w io.Writer, bands []fit.Band) {
	if len(bands) < 2 {
		return
	}
	times, unit := repeats(bands)
	if times < 3 {
		Fact(w, "Stripes", bandWords(bands))
		return
	}
	text := fmt.Sprintf("%d times: %s", times, bandWords(bands[:unit]))
	if rest := bands[times*unit:]; len(rest) > 0 {
		text += "; then " + bandWords(rest)
	}
	Fact(w, "Stripes", text)
}

// repeats says how often the shortest unit of stripes is repeated in whole, and of how
// many stripes it is; what is left after it begins as the unit does.
func repeats(bands []fit.Band) (times, unit int) {
	for unit = 1; unit < len(bands); unit++ {
		if slices.Equal(bands[unit:], bands[:len(bands)-unit]) {
			break
		}
	}
	return len(bands) / unit, unit
}

// bandWords lists stripes as they are typed.
func bandWords(bands []fit.Band) string {
	var parts []string
	for _, b := range bands {
		parts = append(parts, fmt.Sprintf("%s %d", b.Colour, b.Ends))
	}
	return strings.Join(parts, ", ")
}
