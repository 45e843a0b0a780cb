package show

import (
	"fmt"
	"io"
	"math"
	"strings"

	"endsmeet/stash/measure"
)

// LikeShape is the JSON shape of a near match.
type LikeShape struct {
	Item
	// InCommon is the part of the fibre that both have, Finer how much longer a gram
	// is, Colour the distance ΔE*ab; null where it is not known.
	InCommon *float64 `json:"fibre_in_common"`
	Finer    *float64 `json:"finer"`
	Colours  *float64 `json:"colour_distance"`
	SameYarn bool     `json:"same_yarn"`
	SameLot  bool     `json:"same_lot"`

	// Beware says that it may be taken for the item, and must not meet it in one cloth.
	Beware bool `json:"beware"`

	Felts bool `json:"-"`
}

// PrintLike prints what is like a package, or a yarn of several; more are not among them.
func PrintLike(w io.Writer, of Item, all []LikeShape, more int, units measure.System) {
	fmt.Fprintln(w, of.Line(units))
	if len(all) == 0 {
		fmt.Fprintln(w, "Nothing on the shelf is like it, as far as fibre, count and colour are recorded.")
		return
	}
	warned := false
	for _, m := range all {
		if m.Beware && !warned {
			printMoreLike(w, len(all), more)
			fmt.Fprint(w, "\nDo not take it for:\n")
			warned = true
		}
		parts := []string{YarnColour(m.Yarn, m.Item.Colour)}
		if m.Pack.Lot != "" {
			parts = append(parts, "lot "+m.Pack.Lot)
		}
		if m.Pack.Bin != "" {
			parts = append(parts, m.Pack.Bin)
		}
		fmt.Fprintf(w, "\n%s", Wrap(m.Tag+" "+strings.Join(parts,
			", ")+": "+strings.TrimSuffix(MassWords(m.NetMg, units)+", "+lengthOrNone(m.LengthMm,
			units), ", "), "", RoomOf(w)))
		fmt.Fprint(w, Wrap(m.words(of), "  ", RoomOf(w)))
	}
	if !warned {
		printMoreLike(w, len(all), more)
	}
}

// printMoreLike says how many more are like it, and what shows them.
func printMoreLike(w io.Writer, shown, more int) {
	if more > 0 {
		fmt.Fprintf(w, "\nand %d more: --top %d shows all\n", more, shown+more)
	}
}

func lengthOrNone(l *measure.Length, units measure.System) string {
	if l == nil {
		return ""
	}
	return yarnText(*l, units)
}

// words say in what a match is like the item.
func (m LikeShape) words(of Item) string {
	if m.SameLot {
		return "the same lot"
	}
	var parts []string
	switch {
	case m.SameYarn && m.Pack.Lot == "":
		parts = append(parts, "the same yarn, lot not recorded")
	case m.SameYarn:
		parts = append(parts, "the same yarn, not the same lot")
	case m.InCommon == nil:
		parts = append(parts, "fibre not recorded")
	case *m.InCommon > 0.995:
		parts = append(parts, "the same fibre")
	default:
		parts = append(parts, fmt.Sprintf("%.0f%% of the fibre", 100**m.InCommon))
	}
	if !m.SameYarn {
		parts = append(parts, countWordsOf(m.Finer))
	}
	if m.Felts {
		parts = append(parts, "they must not meet in one cloth: endsmeet together says why")
	}
	switch {
	case m.Pack.ColourOf(m.Yarn) == "" || of.Pack.ColourOf(of.Yarn) == "" && m.Colours == nil:
		parts = append(parts, "colour not recorded")
	case m.Colours == nil:
		parts = append(parts, "another colour by its name")
	case *m.Colours == 0:
		parts = append(parts, "the same colour by its name")
	default:
		parts = append(parts, fmt.Sprintf("colour ΔE %.0f", *m.Colours))
	}
	return strings.Join(parts, ", ")
}

func countWordsOf(finer *float64) string {
	switch {
	case finer == nil:
		return "count not recorded"
	case math.Abs(*finer) < 0.02:
		return "as thick"
	case *finer > 0:
		return fmt.Sprintf("%.0f%% more length a gram", 100**finer)
	}
	return fmt.Sprintf("%.0f%% less length a gram", -100**finer)
}
