package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/chance"
	"endsmeet/planner/fit"
	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func anotherCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "another", Category: groupMaking, ArgsUsage: "PIECE",
		Usage: "Check whether the leftover yarn is enough for another piece, and how big.",
		Description: "Works with the figures of the first piece. The size you can rely on has 19 chances in 20.\n" +
			"Other sizes you can rely on are shown too: a narrower piece can be longer.",
		Flags:  append(drawingFlags(), sumsFlag(), exitFlag()),
		Action: action(e, 1, 1, another),
	}
}

// anotherShape is the JSON shape of `another`.
type anotherShape struct {
	Piece       string           `json:"piece"`
	Verdict     chance.Verdict   `json:"verdict"`
	Probability *float64         `json:"probability"`
	Recommended *pointShape      `json:"recommended"`
	Frontier    []pointShape     `json:"frontier"`
	Binding     string           `json:"binding"`
	Low         measure.Length   `json:"length_low_mm"`
	Middle      measure.Length   `json:"length_middle_mm"`
	High        measure.Length   `json:"length_high_mm"`
	Edges       *edges           `json:"edges"`
	Losses      []making.Loss    `json:"losses"`
	Leftovers   []leftover       `json:"leftovers"`
	LeftOut     []making.LeftOut `json:"left_out"`
	Measure     []string         `json:"measure_first"`
	Advice      *adviceShape     `json:"would_help_most"`
	Cautions    []caution        `json:"cautions"`
	Verdicts    verdict.Verdict  `json:"verdicts"`
	// Pieces is how many pieces the answer is for, First how many the warp of the
	// first held.
	Pieces int `json:"pieces"`
	First  int `json:"pieces_of_first"`
	// OnWarp is what the warp still gives that the piece was or is woven on; null where it
	// is off the loom.
	OnWarp *onWarpShape `json:"on_warp"`

	answer making.Second
}

// adviceShape is the measurement that would move the answer most.
type adviceShape struct {
	Measure string         `json:"measure"`
	Now     measure.Length `json:"length95_mm"`
	Low     measure.Length `json:"length95_low_mm"`
	High    measure.Length `json:"length95_high_mm"`
}

type pointShape struct {
	Ends        int             `json:"ends"`
	Width       measure.Length  `json:"width_mm"`
	Length      measure.Length  `json:"length_mm"`
	Length95    *measure.Length `json:"length95_mm"`
	Probability *float64        `json:"probability,omitempty"`
	Binding     string          `json:"binding"`
}

type leftover struct {
	ID     stash.PackageID `json:"id"`
	Tag    string          `json:"tag"`
	Net    *measure.Mass   `json:"net_mg"`
	Length *measure.Length `json:"length_mm"`
}

func another(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		piece, shelf, err := pieceAndShelf(tx, k.Args().First())
		if err != nil {
			return err
		}
		answer, err := making.Again(shelf, piece)
		if err != nil {
			return projectProblem(err)
		}
		r, err := recipientOf(tx, shelf, answer.Project)
		if err != nil {
			return err
		}
		shape := anotherAnswer(piece, answer, r)
		shape.Verdicts = verdict.OfAnother(shelf, answer, r.whom)
		k.answerStatus(shape.Verdicts)
		if err := fillLeftovers(tx, shelf, &shape); err != nil {
			return err
		}
		if shape.OnWarp, err = stillOnWarp(tx, shelf, piece); err != nil {
			return err
		}
		if err := k.answer(shape,
			func(w io.Writer) { printAnother(w, shape, r, k.units, k.Bool("sums")) }); err != nil {
			return err
		}
		return k.saveDrawing(secondCloth(piece.Name, answer, k.units), sizesOf(answer, k.units))
	})
}

func anotherAnswer(piece stash.Piece, a making.Second, r recipient) anotherShape {
	s := anotherShape{
		Piece: piece.Name, Verdict: a.Verdict, Binding: a.Binding, Low: a.Low, Middle: a.Middle,
		High: a.High, Losses: a.Losses,
		Frontier: []pointShape{}, Leftovers: []leftover{}, LeftOut: a.LeftOut,
		Measure: orEmpty(a.UnknownLengths), Cautions: r.cautionsJSON(), answer: a,
		Pieces: 1, First: 1,
	}
	if piece.Plan != nil {
		s.First = max(1, piece.Plan.Spec.Pieces)
	}
	if a.LeftOut == nil {
		s.LeftOut = []making.LeftOut{}
	}
	if a.Verdict != chance.Unknown {
		p := math.Round(a.Probability*1e4) / 1e4
		s.Probability = &p
	}
	for _, p := range a.Frontier {
		s.Frontier = append(s.Frontier, pointOf(p))
	}
	if rec := a.Recommended; rec != nil {
		p := pointOf(rec.Point)
		sure := math.Round(rec.Chance.Probability*1e4) / 1e4
		p.Length, p.Probability, p.Binding = rec.Length, &sure, rec.Binding.String()
		s.Recommended = &p
	}
	if a.Edges != nil {
		e := edgesShape(*a.Edges)
		s.Edges = &e
	}
	if a.Advice != nil {
		s.Advice = &adviceShape{a.Advice.Worth.Measurement.Name, a.Advice.Now, a.Advice.Low,
			a.Advice.High}
	}
	return s
}

func pointOf(p fit.Point) pointShape {
	shape := pointShape{Ends: p.Ends, Width: p.Width, Length: p.Length, Binding: p.Binding.String()}
	if p.HasLength95 {
		l := p.Length95
		shape.Length95 = &l
	}
	return shape
}

func fillLeftovers(tx *sqlite.Tx, s making.Shelf, shape *anotherShape) error {
	items, err := newShelf(tx)
	if err != nil {
		return err
	}
	b := shape.answer.Project
	for _, p := range s.Named(append(append([]stash.Ref(nil), b.Warp...), b.Weft...)) {
		if p.Retired {
			continue
		}
		it := items.item(p)
		shape.Leftovers = append(shape.Leftovers, leftover{p.ID, it.Tag, it.NetMg, it.LengthMm})
	}
	return nil
}

// frontierRows is how many sizes of the frontier are shown with the sums, and
// otherRows without.
const (
	frontierRows = 9
	otherRows    = 3
)

// printAnother answers within a screen; with sums it goes on with the frontier,
// its plot and all sources.
func printAnother(w io.Writer, s anotherShape, r recipient, units measure.System, sums bool) {
	b := s.answer.Project
	titled(w, "Another like "+stash.Clean(s.Piece), clothSize(b.Width, b.Length, units))
	printVerdict(w, s.shownVerdict())
	fmt.Fprintln(w)
	if s.First > 1 {
		fact(w, "Pieces", fmt.Sprintf("this is for one piece; the warp of the first held %d, and endsmeet plan answers for as many", s.First))
	}
	for _, m := range s.Measure {
		fact(w, "First", m)
	}
	if s.OnWarp != nil {
		fact(w, "Warp", s.OnWarp.words(units))
	}
	if s.Recommended == nil {
		if s.Verdict != chance.Unknown {
			fmt.Fprintln(w, "No size within the project's range can be relied on with what is left.")
		}
	} else {
		printRecommended(w, s, units)
	}
	fact(w, "Left", leftoverWords(s.Leftovers, units))
	if a := s.answer.Advice; a != nil {
		fact(w, "Surer", fmt.Sprintf("%s: at this width you could then rely on %s to %s",
			a.Worth.Measurement.Name, clothText(a.Low, units), clothText(a.High, units)))
	}
	if sums {
		printAnotherSums(w, s, units)
	} else if len(s.Frontier) > 1 {
		printOthers(w, s.Frontier, units)
	}
	printCautions(w, r, s.Verdicts)
	if !sums {
		fmt.Fprintln(w, "\nSums and sources: "+stash.Command("another --sums",
			stash.Clean(s.Piece)))
	}
}

// shownVerdict is the verdict without the size to rely on, which has a line of its
// own where there is one.
func (s anotherShape) shownVerdict() verdict.Verdict {
	v := s.Verdicts
	v.Answers = slices.Clone(v.Answers)
	for i, a := range v.Answers {
		if a.Question == verdict.Enough && s.Recommended != nil {
			v.Answers[i].Do = ""
		}
	}
	return v
}

func leftoverWords(all []leftover, units measure.System) string {
	var parts []string
	for _, l := range all {
		text := l.Tag + " " + massWords(l.Net, units)
		if l.Net != nil {
			text = l.Tag + " " + roundMass(*l.Net, units)
		}
		if l.Length != nil {
			text += ", " + yarnText(*l.Length, units)
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, "; ")
}

func printRecommended(w io.Writer, s anotherShape, units measure.System) {
	rec := s.Recommended
	fact(w, "Rely on", fmt.Sprintf("%s, %d ends (%s)", clothSize(rec.Width, rec.Length, units),
		rec.Ends, verdict.Odds(*rec.Probability)))
	if s.Verdict != chance.Sure && s.Middle > rec.Length {
		fact(w, "Even", clothSize(rec.Width, s.Middle,
			units)+" has an even chance: do not warp for it")
	}
	for _, g := range s.answer.Recommended.Gains {
		fact(w, "More", fmt.Sprintf("one more %s would add %s", g.PutUp.Name,
			clothText(g.Length, units)))
	}
	if e, other := s.answer.Edges, s.answer.OtherEdges; e != nil && (!e.Even || !other.Even) {
		printEdges(w, s.answer.Project, s.answer.Needs, *e, *other, units)
	}
}

// printOthers shows a few other sizes that can be relied on, with a bar for each
// length.
func printOthers(w io.Writer, frontier []pointShape, units measure.System) {
	var points []pointShape
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
	t := newTable(">width", ">length", "other sizes to rely on")
	for _, p := range points {
		if isPlain(w) {
			most = 0
		}
		bar := strings.Repeat("#",
			max(min(1, most), int(int64(*p.Length95)*int64(most)/int64(longest))))
		t.rows = append(t.rows, []string{clothText(p.Width, units), clothText(*p.Length95, units),
			bar})
	}
	fmt.Fprintln(w)
	t.print(w)
}

// printAnotherSums shows the frontier, its plot and where figures are from.
func printAnotherSums(w io.Writer, s anotherShape, units measure.System) {
	if len(s.Frontier) > 1 {
		printFrontier(w, s, units)
		printDrawing(w, sizesOf(s.answer, units).Text())
	}
	printLosses(w, s.Losses)
}

func printFrontier(w io.Writer, s anotherShape, units measure.System) {
	t := newTable(">width", ">ends", ">longest", ">rely on", "runs out first")
	step := max(1, (len(s.Frontier)+frontierRows-1)/frontierRows)
	for i := (len(s.Frontier) - 1) % step; i < len(s.Frontier); i += step {
		p := s.Frontier[i]
		sure := ""
		if p.Length95 != nil {
			sure = p.Length95.Cloth(units)
		}
		t.rows = append(t.rows, []string{p.Width.Cloth(units), fmt.Sprint(p.Ends),
			p.Length.Cloth(units), sure, p.Binding})
	}
	fmt.Fprintln(w)
	t.print(w)
}
