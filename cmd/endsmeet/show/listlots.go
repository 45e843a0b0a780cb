package show

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"endsmeet/planner/making"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// lotShape is the JSON shape of a dye lot of a yarn in one colour.
type lotShape struct {
	Yarn   string   `json:"yarn"`
	Colour *string  `json:"colour"`
	DyeLot *string  `json:"dye_lot"`
	Items  []string `json:"items"`
	Bins   []string `json:"bins"`
	// Net and Length are of all its items; Length is null where one has no count.
	Net    measure.Mass    `json:"net_mg"`
	Length *measure.Length `json:"length_mm"`
	// Longest is the longest single strand, which no end can be longer than.
	Longest *measure.Length `json:"longest_item_mm"`
}

// LotsOf adds up items by yarn, colour and dye lot, in the order in which they come.
func LotsOf(items []ListLine) []lotShape {
	var out []lotShape
	at := map[stash.DyeLot]int{}
	for _, it := range items {
		if !it.known || it.Net <= 0 {
			continue
		}
		i, seen := at[it.of]
		if !seen {
			i = len(out)
			at[it.of] = i
			var none, longest measure.Length
			out = append(out, lotShape{Yarn: it.Yarn, Colour: stash.Known(it.of.Colour),
				DyeLot: stash.Known(it.of.Dye), Length: &none, Longest: &longest})
		}
		out[i].add(it)
	}
	slices.SortStableFunc(out, func(a, b lotShape) int {
		return strings.Compare(a.name(),
			b.name())
	})
	return out
}

func (l *lotShape) add(it ListLine) {
	l.Items = append(l.Items, it.Tag)
	if bin := it.Bin; bin != "" && !slices.Contains(l.Bins, bin) {
		l.Bins = append(l.Bins, bin)
	}
	l.Net += it.Net
	if !it.measured {
		l.Length, l.Longest = nil, nil
	}
	if l.Length != nil {
		*l.Length += it.Length
		one := it.Length
		if it.cut > 0 {
			one = min(one, it.cut)
		}
		*l.Longest = max(*l.Longest, one)
	}
}

func (l lotShape) name() string { return YarnColour(l.Yarn, l.Colour) }

func (l lotShape) lot() string {
	if l.DyeLot == nil {
		return "not recorded"
	}
	return *l.DyeLot
}

// PrintLots prints a line for each dye lot, and what may meet.
func PrintLots(w io.Writer, all []lotShape, units measure.System) {
	t := NewTable("yarn", "lot", "items", "bin", ">left", ">about", ">longest")
	t.most = map[int]int{0: 28, 1: 12, 2: 14}
	t.spare = []int{6, 3}
	meet := map[string]int{}
	for _, l := range all {
		meet[l.name()]++
		t.Add(l.name(), l.lot(), strings.Join(l.Items, ", "), strings.Join(l.Bins, ", "),
			l.Net.Whole(units), lengthOrNone(l.Length, units), lengthOrNone(l.Longest, units))
	}
	t.DropEmpty()
	t.Print(w)
	var several []string
	for _, l := range all {
		if meet[l.name()] > 1 && !slices.Contains(several, l.name()) {
			several = append(several, l.name())
		}
	}
	if len(several) > 0 {
		fmt.Fprint(w, "\n"+Wrap("In several lots: "+stash.Clean(strings.Join(several,
			"; "))+". "+lotAdvice+verdict.Capital(making.LotSample)+".", "", RoomOf(w)))
	}
}

// lotAdvice says where a change of lot hides best (common practice, no source).
const lotAdvice = "A change of lot hides best where the cloth changes anyway: one lot as warp and the other as weft; one piece of a set from each; at a hem or the end of a piece; " +
	"in a stripe of its own, the same at both selvedges. In one area alternate two picks of each all through. "
