package making

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// weftLot is the weft that one lot of a yarn gives to several pieces.
type weftLot struct {
	of     stash.DyeLot
	labels []string
	length measure.Length
}

// weftLots are the lots that give weft, in the order in which the project names them.
func (s Shelf) weftLots(o Outcome) []weftLot {
	var out []weftLot
	for _, ref := range o.Project.Weft {
		for _, p := range s.Named([]stash.Ref{ref}) {
			i := slices.IndexFunc(o.Allotments,
				func(a stash.Allotment) bool { return a.Package == p.ID && a.Weft > 0 })
			if i < 0 || slices.ContainsFunc(out,
				func(l weftLot) bool { return slices.Contains(l.labels, p.Label()) }) {
				continue
			}
			at := slices.IndexFunc(out, func(l weftLot) bool { return l.of == p.InLot() })
			if at < 0 {
				at, out = len(out), append(out, weftLot{of: p.InLot()})
			}
			out[at].labels = append(out[at].labels, p.Label())
			out[at].length += o.Allotments[i].Weft
		}
	}
	return out
}

// nearWhole is how near to a whole number of pieces counts as one, as a share of a piece.
const nearWhole = 0.03

// weftOfPieces says which of several pieces gets its weft from which lot: whole pieces from
// one, as far as that goes.
func (s Shelf) weftOfPieces(o Outcome) []string {
	lots, n := s.weftLots(o), o.Project.Pieces
	if n < 2 || len(lots) < 2 || o.Project.Clasped {
		return nil
	}
	var all measure.Length
	for _, l := range lots {
		all += l.length
	}
	var parts []string
	at := 0.0
	for i, l := range lots {
		first := int(math.Ceil(at-nearWhole)) + 1
		at += float64(l.length) * float64(n) / float64(all)
		last := int(at + nearWhole)
		if first <= last {
			parts = append(parts, strings.Join(l.labels, " ")+" "+piecesWords(first, last))
		}
		if over := at - float64(last); over > nearWhole && i < len(lots)-1 &&
			(len(parts) == 0 || !strings.HasSuffix(parts[len(parts)-1], "together")) {
			parts = append(parts, fmt.Sprintf("%s and %s %s together", strings.Join(l.labels, " "),
				strings.Join(lots[i+1].labels, " "), piecesWords(last+1, last+1)))
		}
	}
	return []string{"weft of each piece: " + strings.Join(parts, ", ")}
}

func piecesWords(first, last int) string {
	if first == last {
		return fmt.Sprintf("piece %d", first)
	}
	return fmt.Sprintf("pieces %d to %d", first, last)
}
