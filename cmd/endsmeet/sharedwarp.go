package main

import (
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// withFlags put other projects on the warp of the one that is named.
func withFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringSliceFlag{Name: "with",
			Usage: "another `PROJECT` woven after it on the same warp; again for more"},
		&cli.StringFlag{Name: "separator",
			Usage: "`LENGTH` of warp between two of them beside their fringes, woven in waste yarn or left; none for a cutting line"},
	}
}

// warpOf plans the projects of one warp: the one named, with what the options say over
// it, and those of --with.
func (k *call) warpOf(tx *sqlite.Tx, b stash.Project) (making.WarpPlan, making.Shelf,
	[]stash.Project, error) {
	shelf, err := makingShelf(tx)
	if err != nil {
		return making.WarpPlan{}, shelf, nil, err
	}
	if k.IsSet("ends") || k.Bool("largest") || k.Bool("another") {
		return making.WarpPlan{}, shelf, nil,
			stash.Refuse(stash.CodeUsage,
				"give it a width and a length, or plan it on a warp of its own",
				"--ends, --largest and --another do not go together with --with")
	}
	over, err := k.projectFields(tx)
	if err != nil {
		return making.WarpPlan{}, shelf, nil, err
	}
	facts, err := b.With(over)
	if err != nil {
		return making.WarpPlan{}, shelf, nil, err
	}
	all, projects := []stash.ProjectFacts{facts}, []stash.Project{b}
	for _, name := range k.StringSlice("with") {
		other, err := tx.FindProject(name)
		if err != nil {
			return making.WarpPlan{}, shelf, nil, err
		}
		all, projects = append(all, other.ProjectFacts), append(projects, other)
	}
	var separator measure.Length
	if text := k.String("separator"); text != "" {
		if separator, err = measure.ParseLength(text); err != nil {
			return making.WarpPlan{}, shelf, nil, fmt.Errorf("--separator: %w", err)
		}
	}
	w, err := making.PlanWarp(shelf, all, separator)
	return w, shelf, projects, projectProblem(err)
}

// warpShape is the JSON shape of several projects planned on one warp.
type warpShape struct {
	Ends      int            `json:"ends"`
	End       measure.Length `json:"warp_end_mm"`
	Total     measure.Length `json:"warp_total_mm"`
	Reed      measure.Length `json:"reed_width_mm"`
	Separator measure.Length `json:"separator_mm"`
	Waste     measure.Length `json:"waste_mm"`
	Pieces    []planned      `json:"pieces"`

	whom []recipient
	name []string
}

// planWarp plans several projects on one warp, and with --reserve a piece of each.
func (k *call) planWarp(tx *sqlite.Tx, b stash.Project) error {
	w, shelf, projects, err := k.warpOf(tx, b)
	if err != nil {
		return err
	}
	shape := warpShape{Ends: w.Ends, End: w.End, Reed: w.Reed, Separator: w.Separator,
		Waste: w.Waste}
	var verdicts []verdict.Verdict
	for i, o := range w.Outcomes {
		r, err := recipientOf(tx, shelf, o.Project)
		if err != nil {
			return err
		}
		one := k.plannedShape(shelf, o, r)
		one.Verdicts = verdict.OfPlan(shelf, o, r.whom)
		k.answerStatus(one.Verdicts)
		shape.Total += measure.Length(w.Ends*max(1, o.Project.EndStrands)) * one.WarpEnd
		shape.Pieces, shape.whom, shape.name = append(shape.Pieces, one), append(shape.whom, r),
			append(shape.name, projects[i].Name)
		verdicts = append(verdicts, one.Verdicts)
	}
	if k.Bool("reserve") {
		pieces, err := k.newPieces(tx, w, projects, verdicts)
		if err != nil {
			return err
		}
		for i, p := range pieces {
			m := stash.Making{Project: projects[i].ID, Name: p.Name, Plan: p.Plan}
			if err := k.recordMaking(tx, stash.Draft{Kind: stash.KindPlan, Of: stash.Subject(p.ID),
				Body: m}, verdicts[i], shape.whom[i].whom); err != nil {
				return err
			}
			shape.Pieces[i].Piece = &p.Name
		}
	}
	return k.answer(shape, func(out io.Writer) { printWarp(out, shape, k.units) })
}

// newPieces are the pieces of a warp, each let through by its own verdict or by the
// reason given.
func (k *call) newPieces(tx *sqlite.Tx, w making.WarpPlan, projects []stash.Project,
	verdicts []verdict.Verdict) ([]stash.Piece, error) {
	var out []stash.Piece
	for i, plan := range w.Records(string(tx.NewID())) {
		if err := k.refused(verdicts[i], nil); err != nil {
			return nil, fmt.Errorf("%s: %w", projects[i].Name, err)
		}
		id, name, err := newPiece(tx, projects[i])
		if err != nil {
			return nil, err
		}
		name = unlike(name, out, projects[i])
		out = append(out, stash.Piece{ID: id, Name: name, Project: projects[i].ID, Plan: plan})
	}
	return out, nil
}

// unlike counts on where a warp has several pieces of one project.
func unlike(name string, others []stash.Piece, b stash.Project) string {
	n := 0
	for _, p := range others {
		if p.Project == b.ID {
			n++
		}
	}
	if n == 0 {
		return name
	}
	var first int
	_, _ = fmt.Sscanf(strings.TrimPrefix(name, b.Name+" "), "%d", &first)
	return fmt.Sprintf("%s %d", b.Name, first+n)
}

func printWarp(w io.Writer, s warpShape, units measure.System) {
	titled(w, fmt.Sprintf("One warp for %d pieces", len(s.Pieces)), fmt.Sprintf("%d ends", s.Ends))
	warp, _ := takenOf(warpOnly(s.Pieces), units)
	fact(w, "Wind", fmt.Sprintf("%d ends of %s: %s%s", s.Ends, clothText(s.End, units),
		yarnText(s.Total, units), warp))
	fact(w, "Sley", sleyWords(s.Reed, s.widest(), units))
	fact(w, "Waste", fmt.Sprintf("%s of every end, shared by the length of warp that each takes",
		clothText(s.Waste, units)))
	for i, p := range s.Pieces {
		fmt.Fprintln(w)
		title := fmt.Sprintf("%d %s", i+1, stash.Clean(s.name[i]))
		if who := s.whom[i].whom.Person; who != nil {
			title += " for " + stash.Clean(who.Name)
		}
		titled(w, title, clothSize(p.Finished.Width, p.Finished.Length, units)+" finished")
		printVerdict(w, p.Verdicts)
		printSection(w, s, p, units)
		printFrom(w, p)
		printCautions(w, s.whom[i], p.Verdicts)
		if p.Piece != nil {
			fact(w, "Piece", "reserved for "+stash.Clean(*p.Piece))
		}
	}
	if s.Separator > 0 {
		fmt.Fprintf(w, "\nBetween two pieces: %s beside their fringes, woven in waste yarn or left.\n", s.Separator.Cloth(units))
	} else {
		fmt.Fprintln(w, "\nBetween two pieces: two picks of another colour as a cutting line.")
	}
}

// widest is the outcome of the project that takes most ends, which are sleyed.
func (s warpShape) widest() making.Outcome {
	return slices.MaxFunc(s.Pieces, func(a, b planned) int { return a.Ends - b.Ends }).outcome
}

// printSection says what to weave of one project of a warp.
func printSection(w io.Writer, s warpShape, p planned, units measure.System) {
	part := fmt.Sprintf("%s of every end", clothText(p.WarpEnd, units))
	if idle := s.Ends - p.Ends; idle > 0 {
		part += fmt.Sprintf("; %d at each side idle, or striped in: they are its yarn too",
			(idle+1)/2)
	}
	fact(w, "Warp", part)
	fact(w, "Weave", fmt.Sprintf("until the tape, under tension, reads %s from its own beginning%s (%d picks)", clothText(p.Tape, units), eachOf(p.outcome.Project.Pieces, p.Tape, units), p.Picks))
	across := yarnText(p.WeftTotal, units)
	if p.outcome.Needs.RagMass > 0 {
		across = p.outcome.Needs.RagMass.Format(units) + " of rags"
	}
	_, weft := takenOf(p.Packages, units)
	fact(w, "Weft", across+weft)
	printEdges(w, p.outcome.Project, p.outcome.Needs, p.outcome.Edges, p.outcome.OtherEdges, units)
}

// warpOnly adds up what each item gives to the warp of all pieces.
func warpOnly(pieces []planned) []given {
	var out []given
	for _, p := range pieces {
		for _, g := range p.Packages {
			if g.Warp == 0 {
				continue
			}
			all := g.Warp + g.across()
			g.Mass = measure.Part(g.Mass, int64(g.Warp), int64(all))
			g.Weft, g.Hem = new(measure.Length), 0
			if i := slices.IndexFunc(out,
				func(have given) bool { return have.ID == g.ID }); i >= 0 {
				out[i].Warp += g.Warp
				out[i].Mass += g.Mass
				continue
			}
			out = append(out, g)
		}
	}
	return out
}

// startWarp puts a piece of each project of a warp on the loom, all or none.
func (k *call) startWarp(tx *sqlite.Tx, b stash.Project, at time.Time) error {
	w, shelf, projects, err := k.warpOf(tx, b)
	if err != nil {
		return err
	}
	var verdicts []verdict.Verdict
	for _, o := range w.Outcomes {
		whom, err := whomFor(tx, o.Project.For)
		if err != nil {
			return err
		}
		verdicts = append(verdicts, verdict.OfPlan(shelf, o, whom))
	}
	pieces, err := k.newPieces(tx, w, projects, verdicts)
	if err != nil {
		return err
	}
	return k.startAll(tx, pieces, verdicts, at)
}

// startPlanned puts all pieces of the warp of a planned piece on the loom.
func (k *call) startPlanned(tx *sqlite.Tx, piece stash.Piece, at time.Time) error {
	open, err := tx.Pieces(true)
	if err != nil {
		return err
	}
	pieces := []stash.Piece{piece}
	for _, p := range open {
		if p.SharesWarp(piece) && p.State == stash.Planned {
			pieces = append(pieces, p)
		}
	}
	slices.SortFunc(pieces, func(a,
		b stash.Piece) int {
		return a.Plan.Shared.Place - b.Plan.Shared.Place
	})
	shelf, err := makingShelf(tx)
	if err != nil {
		return err
	}
	var verdicts []verdict.Verdict
	for _, p := range pieces {
		whom, err := whomOf(tx, p)
		if err != nil {
			return err
		}
		v, err := verdict.OfPlanned(shelf, p, whom)
		if err != nil {
			return projectProblem(err)
		}
		verdicts = append(verdicts, v)
	}
	return k.startAll(tx, pieces, verdicts, at)
}

// startAll records the start of the pieces of a warp.
func (k *call) startAll(tx *sqlite.Tx, pieces []stash.Piece, verdicts []verdict.Verdict,
	at time.Time) error {
	var shapes []started
	var whom []recipient
	for i, p := range pieces {
		shelf, err := makingShelf(tx) // anew, since the one before has moved the warp's yarn
		if err != nil {
			return err
		}
		r, err := k.putOnLoom(tx, shelf, p, verdicts[i], at)
		if err != nil {
			return fmt.Errorf("%s: %w", p.Name, err)
		}
		shape, err := k.startedShape(tx, p.ID, r, verdicts[i])
		if err != nil {
			return err
		}
		shapes, whom = append(shapes, shape), append(whom, r)
	}
	warp := pieces[0].Plan.Shared
	return k.answer(shapes, func(w io.Writer) {
		fmt.Fprintf(w, "%d pieces are on the loom, on one warp.\n", len(shapes))
		fact(w, "Wind", fmt.Sprintf("%d ends of %s, %s in the reed", warp.Ends,
			clothText(warp.End, k.units), clothText(warp.Reed, k.units)))
		for i, s := range shapes {
			fmt.Fprintf(w, "\n%s\n", stash.Clean(s.Piece))
			printVerdict(w, s.Verdicts)
			fact(w, "Weave", fmt.Sprintf("until the tape, under tension, reads %s from its own beginning%s", clothText(s.plan.Tape, k.units), eachOf(s.plan.Spec.Pieces, s.plan.Tape, k.units)))
			fact(w, "Gives", clothSize(s.plan.Width, s.plan.Length, k.units)+" finished")
			printCautions(w, whom[i], s.Verdicts)
		}
		fmt.Fprintln(w, "\nFinish each by itself: "+stash.Command("finish --weighed ITEM=WEIGHT",
			stash.Clean(shapes[0].Piece)))
	})
}

// onTheWarp are the other pieces of a warp that are on the loom.
func onTheWarp(tx *sqlite.Tx, piece stash.Piece) ([]stash.Piece, error) {
	open, err := tx.Pieces(true)
	return slices.DeleteFunc(open, func(p stash.Piece) bool {
		return !p.SharesWarp(piece) ||
			p.State != stash.OnLoom
	}), err
}

// ofSharedWarp turns what was measured of a whole warp into the part of one of its pieces.
// What is left over is known when the last of them is off.
func (k *call) ofSharedWarp(tx *sqlite.Tx, piece stash.Piece, m *stash.Measures) error {
	if piece.Plan == nil || piece.Plan.Shared == nil {
		return nil
	}
	m.Wound = piece.Plan.OfPart(m.Wound)
	if m.Waste == 0 && m.WasteTaut == 0 {
		return nil
	}
	others, err := onTheWarp(tx, piece)
	if err != nil {
		return err
	}
	if len(others) > 0 {
		return stash.Refuse(stash.CodeInput,
			"leave it out now, and give it when the last piece of the warp is finished",
			"what is left of the warp is not known while %s is on it", others[0].Name)
	}
	m.Waste, m.WasteTaut = piece.Plan.OfPart(m.Waste), piece.Plan.OfPart(m.WasteTaut)
	return nil
}

// onWarpShape is what a warp on the loom gives beyond the pieces on it.
type onWarpShape struct {
	After  string         `json:"after"`
	Width  measure.Length `json:"width_mm"`
	Length measure.Length `json:"length_mm"`
	// Weft is how much of that the weft of the last piece allows; null is not known.
	Weft *measure.Length `json:"weft_allows_mm"`
}

// stillOnWarp is what the warp of a piece still gives when all pieces on it are woven, by
// what was read last; nil where it is off the loom.
func stillOnWarp(tx *sqlite.Tx, s making.Shelf, piece stash.Piece) (*onWarpShape, error) {
	others, err := onTheWarp(tx, piece)
	if err != nil {
		return nil, err
	}
	if piece.State == stash.OnLoom {
		others = append(others, piece)
	}
	others = slices.DeleteFunc(others, func(p stash.Piece) bool { return p.Plan == nil })
	if len(others) == 0 {
		return nil, nil
	}
	last := slices.MaxFunc(others, func(a, b stash.Piece) int { return placeOf(a) - placeOf(b) })
	r, err := making.Remaining(s, last, lastWoven(last))
	if err != nil {
		return nil, err
	}
	shape := &onWarpShape{After: last.Name, Length: r.AfterPiece}
	shape.Width = measure.Length(int64(last.Plan.Width) * int64(last.Plan.WarpEnds()) / int64(max(1,
		last.Plan.Ends)))
	if r.WeftKnown {
		toCome := r.Finished - r.AfterPiece // of the piece itself, and what lies between
		allows := max(0, min(r.AfterPiece, r.Weft-toCome))
		shape.Weft = &allows
	}
	return shape, nil
}

func placeOf(p stash.Piece) int {
	if p.Plan.Shared == nil {
		return 0
	}
	return p.Plan.Shared.Place
}

func (s onWarpShape) words(units measure.System) string {
	if s.Length == 0 {
		return "nothing more can be woven on this warp after " + stash.Clean(s.After)
	}
	text := fmt.Sprintf("after %s %s more can be finished on the same warp, up to %s wide",
		stash.Clean(s.After), clothText(s.Length, units), clothText(s.Width, units))
	if s.Weft != nil && *s.Weft < s.Length {
		text += fmt.Sprintf("; its weft allows %s of it", clothText(*s.Weft, units))
	}
	return text
}
