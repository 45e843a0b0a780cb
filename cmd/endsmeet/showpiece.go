package main

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func (k *call) showPiece(tx *sqlite.Tx, p stash.Piece) error {
	past, err := tx.History(stash.Subject(p.ID))
	if err != nil {
		return err
	}
	events, err := k.pastItems(tx, past, "", 0)
	if err != nil {
		return err
	}
	shape, err := pieceShape(p)
	if err != nil {
		return err
	}
	shape["events"] = events
	yarn, err := k.pieceYarn(tx, p)
	if err != nil {
		return err
	}
	passed, err := passedLines(tx, p)
	if err != nil {
		return err
	}
	photo, err := photoWords(tx, stash.Subject(p.ID), p.Name)
	if err != nil {
		return err
	}
	var compared []learn.Row
	if k.Bool("sums") {
		if compared, err = compareLater(tx, p); err != nil {
			return err
		}
		shape["planned_vs_actual"] = compared
	}
	return k.answer(shape, func(w io.Writer) {
		fmt.Fprintf(w, "%s: %s\n", stash.Clean(p.Name), p.State)
		printPhotoRow(w, photo)
		printPieceSize(w, p, k.units)
		if yarn != nil {
			yarn.print(w)
		}
		for _, line := range passed {
			fmt.Fprint(w, wrap(line, "  ", pageWidth))
		}
		for _, q := range p.Question {
			fmt.Fprintf(w, "  question: %s\n", q)
		}
		for _, o := range p.Overrides {
			fmt.Fprint(w, wrap("set aside: "+o.Reason, "  ", roomOf(w)))
		}
		printPast(w, events)
		if compared != nil {
			fmt.Fprintln(w)
			printCompared(w, compared, k.units, k.drawn())
		}
	})
}

func printPieceSize(w io.Writer, p stash.Piece, units measure.System) {
	if p.Plan != nil {
		fmt.Fprintf(w, "  planned   %s x %s, %d ends of %s\n", p.Plan.Width.Cloth(units),
			p.Plan.Length.Cloth(units), p.Plan.Ends, p.Plan.WarpEnd.Cloth(units))
		if on := p.Plan.Shared; on != nil {
			fmt.Fprintf(w, "  warp      number %d of %d pieces on one warp, %d ends of %s\n",
				on.Place, on.Of, on.Ends, on.End.Cloth(units))
		}
		fmt.Fprintf(w, "  weave     until the tape, under tension, reads %s%s\n",
			p.Plan.Tape.Cloth(units), eachOf(p.Plan.Spec.Pieces, p.Plan.Tape, units))
	}
	for _, x := range p.Readings {
		printReading(w, x, units)
	}
	if p.Finish != nil {
		printMeasures(w, p.Finish.Measures, units)
	}
	if p.Finish != nil && !p.Taught() {
		fmt.Fprintf(w, "  nothing is learned from it; `%s` changes that\n",
			stash.Command("finish --learn yes", stash.Clean(p.Name)))
	}
}

// printReading prints what was read on the loom.
func printReading(w io.Writer, x stash.LoomReading, units measure.System) {
	var parts []string
	for _, l := range []struct {
		name string
		is   measure.Length
	}{{"tape", x.Tape}, {"tension off", x.Relaxed}, {"left to weave", x.Left}} {
		if l.is > 0 {
			parts = append(parts, l.name+" "+l.is.Cloth(units))
		}
	}
	if x.WeftLeft > 0 {
		parts = append(parts, "weft left "+x.WeftLeft.Format(units))
	}
	if x.Picks > 0 {
		parts = append(parts, fmt.Sprintf("%d picks in %s", x.Picks, x.Over.Cloth(units)))
	}
	if x.Broken > 0 {
		parts = append(parts, plural(x.Broken, "end")+" broke")
	}
	if x.Note != "" {
		parts = append(parts, stash.Clean(x.Note))
	}
	fmt.Fprint(w, wrap(x.At.Format("2006-01-02")+"  "+strings.Join(parts, ", "), "  ", roomOf(w)))
}

// eachOf says that a reading of the tape is of each of several pieces on a warp,
// and what it comes to for all.
func eachOf(pieces int, tape measure.Length, units measure.System) string {
	if pieces <= 1 {
		return ""
	}
	return fmt.Sprintf(" for each of %d, together %s", pieces,
		clothText(measure.Length(pieces)*tape, units))
}

// printMeasures prints what was measured of a finished piece.
func printMeasures(w io.Writer, m stash.Measures, units measure.System) {
	if m.Length > 0 {
		fmt.Fprintf(w, "  finished  %s x %s\n", m.Width.Cloth(units), m.Length.Cloth(units))
	}
	var parts []string
	add := func(name, value string, told bool) {
		if told {
			parts = append(parts, name+" "+value)
		}
	}
	add("tape", m.Tape.Cloth(units), m.Tape > 0)
	add("off the loom", m.OffLoom.Cloth(units), m.OffLoom > 0)
	add("width off the loom", m.OffWidth.Cloth(units), m.OffWidth > 0)
	add("in the reed", m.Reed.Cloth(units), m.Reed > 0)
	add("ends", strconv.Itoa(m.Ends), m.Ends > 0)
	add("picks", strconv.Itoa(m.Picks), m.Picks > 0)
	add("waste", m.Waste.Cloth(units), m.Waste > 0)
	add("left under tension", m.WasteTaut.Cloth(units), m.WasteTaut > 0)
	add("wound", m.Wound.Cloth(units), m.Wound > 0)
	add("cloth", m.Cloth.Format(units), m.Cloth > 0)
	add("made in", hoursText(m.Minutes), m.Minutes > 0)
	if len(parts) > 0 {
		text := wrap(strings.Join(parts, ", "), "            ", pageWidth)
		fmt.Fprint(w, "  measured  "+strings.TrimLeft(text, " "))
	}
}

// pieceYarn is the table of the yarn of a piece: what was debited, else what
// is promised to it; nil where there is none.
func (k *call) pieceYarn(tx *sqlite.Tx, p stash.Piece) (*table, error) {
	t := newTable("package", "yarn", "as", ">debited", ">length", "how")
	row := func(id stash.PackageID, role string, mass measure.Mass, length, how string) error {
		pack, _, err := tx.Package(id)
		if err != nil {
			return err
		}
		y, _, err := tx.Yarn(pack.Yarn)
		t.add(pack.Label(), y.Name, role, mass.Format(k.units), length, how)
		return err
	}
	var err error
	switch {
	case p.Finish != nil:
		for _, d := range p.Finish.Debited() {
			how := "computed"
			if d.Measured {
				how = "weighed"
			}
			err = errors.Join(err, row(d.Package, string(d.Role), d.Mass, d.Length.Yarn(k.units),
				how))
		}
		for _, c := range p.Finish.Thrums {
			err = errors.Join(err, row(c.Package, "thrums cut", c.Mass, "", "weighed"))
		}
	case p.Plan != nil:
		t.head[3] = "promised"
		for _, a := range p.Plan.Allotments {
			err = errors.Join(err,
				row(a.Package, rolesOf(a), a.Mass, (a.Warp+a.Weft+a.Hem).Yarn(k.units), ""))
		}
	}
	if len(t.rows) == 0 {
		return nil, err
	}
	t.dropEmpty()
	t.whole = true
	return t, err
}

// rolesOf says what a package is promised for.
func rolesOf(a stash.Allotment) string {
	var roles []string
	for _, part := range []struct {
		role   stash.Role
		length measure.Length
	}{{stash.RoleWarp, a.Warp}, {stash.RoleWeft, a.Weft}, {stash.RoleHem, a.Hem}} {
		if part.length > 0 {
			roles = append(roles, string(part.role))
		}
	}
	return strings.Join(roles, ", ")
}
