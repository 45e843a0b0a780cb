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

// AnotherShape is the JSON shape of `another`.
type AnotherShape struct {
	making.Second
	Piece       string          `json:"piece"`
	Probability *float64        `json:"probability"`
	Recommended *PointShape     `json:"recommended"`
	Frontier    []PointShape    `json:"frontier"`
	Edges       *edges          `json:"edges"`
	Leftovers   []Leftover      `json:"leftovers"`
	Advice      *AdviceShape    `json:"would_help_most"`
	Cautions    []Caution       `json:"cautions"`
	Verdicts    verdict.Verdict `json:"verdicts"`
	// Pieces is how many pieces the answer is for, First how many the warp of the
	// first held.
	Pieces int `json:"pieces"`
	First  int `json:"pieces_of_first"`
	// OnWarp is what the warp still gives that the piece was or is woven on; null where it
	// is off the loom.
	OnWarp *making.OnWarp `json:"on_warp"`
	// Unwound is the project of a piece that is planned and not wound; empty elsewhere.
	Unwound string `json:"-"`
}

// AdviceShape is the measurement that would move the answer most.
type AdviceShape struct {
	Measure string         `json:"measure"`
	Now     measure.Length `json:"length95_mm"`
	Low     measure.Length `json:"length95_low_mm"`
	High    measure.Length `json:"length95_high_mm"`
}

// PointShape is a size of the frontier: the length, the width and what it takes.
type PointShape struct {
	Ends        int             `json:"ends"`
	Width       measure.Length  `json:"width_mm"`
	Length      measure.Length  `json:"length_mm"`
	Length95    *measure.Length `json:"length95_mm"`
	Probability *float64        `json:"probability,omitempty"`
	Binding     string          `json:"runs_out_first"`
}

// Leftover is what a package would have left.
type Leftover struct {
	ID     stash.PackageID `json:"id"`
	Tag    string          `json:"tag"`
	Net    *measure.Mass   `json:"net_mg"`
	Length *measure.Length `json:"length_mm"`
	// Wound is what of it is on a loom, Reserved what is promised besides.
	Wound    measure.Mass `json:"wound_mg"`
	Reserved measure.Mass `json:"reserved_mg"`
}

// PointOf is the shape of a size of the frontier.
func PointOf(p fit.Point) PointShape {
	shape := PointShape{Ends: p.Ends, Width: p.Width, Length: p.Length, Binding: p.Binding.String()}
	if p.HasLength95 {
		l := p.Length95
		shape.Length95 = &l
	}
	return shape
}

// frontierRows is how many sizes of the frontier are shown with the sums, and
// otherRows without.
const (
	frontierRows = 9
	otherRows    = 3
)

// PrintAnother answers within a screen; with sums it goes on with the frontier,
// its plot and all sources.
func PrintAnother(w io.Writer, s AnotherShape, r Recipient, units measure.System, sums bool) {
	b := s.Second.Project
	Titled(w, "Another like "+stash.Clean(s.Piece), ClothSize(b.Width, b.Length, units))
	PrintVerdict(w, s.shownVerdict())
	fmt.Fprintln(w)
	if s.First > 1 {
		Fact(w, "Pieces", fmt.Sprintf("this is for one piece; the warp of the first held %d, and endsmeet plan answers for as many", s.First))
	}
	for _, m := range s.UnknownLengths {
		Fact(w, "First", m)
	}
	if s.OnWarp != nil {
		Fact(w, "Warp", onWarpWords(*s.OnWarp, units))
		printOneMore(w, s.OnWarp.After, s.OnWarp.Pieces)
	}
	if s.Unwound != "" {
		Fact(w, "Warp", "is not wound yet; what a longer one gives: "+
			stash.Command("plan --another", stash.Clean(s.Unwound)))
	}
	if s.Recommended == nil {
		if s.Verdict != chance.Unknown {
			fmt.Fprintln(w, "No size within the project's range can be relied on with what is left.")
		}
	} else {
		printRecommended(w, s, units)
	}
	Fact(w, "Left", leftoverWords(s.Leftovers, units))
	if a := s.Second.Advice; a != nil {
		Fact(w, "Surer", fmt.Sprintf("%s%s: at this width you could then rely on %s to %s",
			a.Worth.Measurement.Name, s.firstThere(), a.Low.Planned(units), a.High.Planned(units)))
	}
	if sums {
		PrintUntold(w, s.Verdicts)
		printAnotherSums(w, s, units)
	} else if len(s.Frontier) > 1 {
		printOthers(w, s.Frontier, units)
	}
	PrintCautions(w, r, s.Verdicts)
	if !sums {
		fmt.Fprintln(w, "Sums and sources: "+stash.Command("another --sums", stash.Clean(s.Piece)))
	}
}

// firstThere says what runs out first at the size to rely on, where that is not what does at
// the size wanted; empty where it is.
func (s AnotherShape) firstThere() string {
	first := s.Second.Advice.First
	if s.Verdict == chance.Sure || first.String() == s.Second.Binding {
		return ""
	}
	return ", since there the " + first.String() + " runs out first"
}

// shownVerdict is the verdict without the size to rely on, which has a line of its
// own where there is one.
func (s AnotherShape) shownVerdict() verdict.Verdict {
	v := s.Verdicts
	v.Answers = slices.Clone(v.Answers)
	for i, a := range v.Answers {
		if a.Question == verdict.Enough && s.Recommended != nil {
			v.Answers[i].Do = ""
		}
	}
	return v
}

func leftoverWords(all []Leftover, units measure.System) string {
	var parts []string
	for _, l := range all {
		if l.Net == nil {
			parts = append(parts, l.Tag+" "+MassWords(l.Net, units))
			continue
		}
		apart := stash.Apart{Wound: l.Wound, Reserved: l.Reserved}
		text := l.Tag + " " + (*l.Net - l.Wound - l.Reserved).Whole(units)
		if l.Length != nil && *l.Net > 0 {
			length := float64(*l.Length) * float64(*l.Net-l.Wound-l.Reserved) / float64(*l.Net)
			text += ", " + yarnText(measure.Length(length), units)
		}
		if words := apartWords(apart, units); words != "" {
			text += ", besides " + words
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "; ")
}

// apartWords say what of a package is on a loom and what is promised, empty for nothing.
func apartWords(a stash.Apart, units measure.System) string {
	var parts []string
	if a.Wound > 0 {
		parts = append(parts, a.Wound.Whole(units)+" wound on the loom")
	}
	if a.Reserved > 0 {
		parts = append(parts, a.Reserved.Whole(units)+" reserved")
	}
	return strings.Join(parts, " and ")
}

func printRecommended(w io.Writer, s AnotherShape, units measure.System) {
	rec := s.Recommended
	Fact(w, "Rely on", fmt.Sprintf("%s, %d ends (%s)", ClothSize(rec.Width, rec.Length, units),
		rec.Ends, verdict.Odds(*rec.Probability)))
	if s.Verdict != chance.Sure && s.Middle > rec.Length {
		Fact(w, "Even", ClothSize(rec.Width, s.Middle,
			units)+" has an even chance: do not warp for it")
	}
	for _, g := range s.Second.Recommended.Gains {
		Fact(w, "More", fmt.Sprintf("one more %s would add %s", g.PutUp.Name,
			g.Length.Planned(units)))
	}
	if e, other := s.Second.Edges, s.Second.OtherEdges; e != nil && (!e.Even || !other.Even) {
		printEdges(w, s.Second.Project, s.Second.Needs, *e, *other, units)
	}
}

// aLong is a length that could be woven, in whole centimetres or inches: nobody knows it
// better, and one column has one number of decimals.
func aLong(l measure.Length, units measure.System) string {
	return l.Within(25*measure.Millimetre, units)
}

// printOthers shows a few other sizes that can be relied on, with a bar for each
// length.
func printOthers(w io.Writer, frontier []PointShape, units measure.System) {
	var points []PointShape
	var longest measure.Length
	step := max(1, (len(frontier)+otherRows-1)/otherRows)
	for i := (len(frontier) - 1) % step; i < len(frontier); i += step {
		if p := frontier[i]; p.Length95 != nil && *p.Length95 > 0 {
			points, longest = append(points, p), max(longest, *p.Length95)
		}
	}
	if len(points) == 0 {
		return
	}
	most := min(40, max(1, columnsOf(w)-24))
	if columnsOf(w) == 0 {
		most = 40
	}
	t := NewTable(">width", ">length", "other sizes to rely on")
	for _, p := range points {
		if IsPlain(w) {
			most = 0
		}
		bar := strings.Repeat("#",
			max(min(1, most), int(int64(*p.Length95)*int64(most)/int64(longest))))
		t.Rows = append(t.Rows, []string{p.Width.ClothTenth(units), aLong(*p.Length95, units), bar})
	}
	fmt.Fprintln(w)
	if IsPlain(w) {
		fmt.Fprintln(w, "Other sizes to rely on")
	}
	t.Print(w)
}

// printAnotherSums shows the frontier, its plot and where figures are from.
func printAnotherSums(w io.Writer, s AnotherShape, units measure.System) {
	if len(s.Frontier) > 1 {
		printFrontier(w, s, units)
		PrintDrawing(w, SizesOf(s.Second, units).Text())
	}
	PrintLosses(w, s.Losses)
}

func printFrontier(w io.Writer, s AnotherShape, units measure.System) {
	t := NewTable(">width", ">ends", ">longest", ">rely on", "runs out first")
	step := max(1, (len(s.Frontier)+frontierRows-1)/frontierRows)
	for i := (len(s.Frontier) - 1) % step; i < len(s.Frontier); i += step {
		p := s.Frontier[i]
		sure := ""
		if p.Length95 != nil {
			sure = aLong(*p.Length95, units)
		}
		t.Rows = append(t.Rows, []string{p.Width.ClothTenth(units), fmt.Sprint(p.Ends),
			aLong(p.Length, units), sure, p.Binding})
	}
	fmt.Fprintln(w)
	t.Print(w)
}
