package show

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// PrintPieceSize prints how large a piece was planned and became.
func PrintPieceSize(w io.Writer, p stash.Piece, units measure.System) {
	if p.Plan != nil {
		fmt.Fprintf(w, "  planned   %s, %d ends of %s\n",
			ClothSize(p.Plan.Width, p.Plan.Length, units), p.Plan.Ends, p.Plan.WarpEnd.Planned(units))
		if on := p.Plan.Shared; on != nil {
			fmt.Fprintf(w, "  warp      number %d of %d pieces on one warp, %d ends of %s\n",
				on.Place, on.Of, on.Ends, on.End.Cloth(units))
		}
		fmt.Fprintf(w, "  weave     until the tape, under tension, reads %s%s\n",
			p.Plan.Tape.Planned(units), EachOf(p.Plan.Spec.Pieces, p.Plan.Tape, units))
	}
	for _, x := range p.Readings {
		printReading(w, x, units)
	}
	if p.Finish != nil {
		printMeasures(w, p, units)
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
		parts = append(parts, measure.Counted(x.Broken, "end")+" broke")
	}
	if x.Note != "" {
		parts = append(parts, stash.Clean(x.Note))
	}
	fmt.Fprint(w, Wrap(x.At.Format("2006-01-02")+"  "+strings.Join(parts, ", "), "  ", RoomOf(w)))
}

// EachOf says that a reading of the tape is of each of several pieces on a warp,
// and what it comes to for all.
func EachOf(pieces int, tape measure.Length, units measure.System) string {
	if pieces <= 1 {
		return ""
	}
	return fmt.Sprintf(" for each of %d, together %s", pieces,
		(measure.Length(pieces) * tape).Planned(units))
}

// printMeasures prints what was measured of a finished piece.
func printMeasures(w io.Writer, p stash.Piece, units measure.System) {
	m, length, hems := p.Finish.Measures, p.FinishedLength(), ""
	if m.HemsOpen && length < m.Length {
		hems = ", its hems turned in"
	}
	switch {
	case length > 0 && m.Width > 0:
		fmt.Fprintf(w, "  finished  %s%s\n", figureSize(m.Width.Cloth(units), length.Cloth(units)), hems)
	case length > 0:
		fmt.Fprintf(w, "  finished  %s long%s, width not measured\n", length.Cloth(units), hems)
	case m.Width > 0:
		fmt.Fprintf(w, "  finished  %s wide, length not measured\n", m.Width.Cloth(units))
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
		text := Wrap(strings.Join(parts, ", "), "            ", RoomOf(w))
		fmt.Fprint(w, "  measured  "+strings.TrimLeft(text, " "))
	}
}
