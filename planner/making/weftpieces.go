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
	// pieces is how many of them it weaves, whole unless lots meet in one; sample says that
	// it weaves what is woven once, too.
	pieces float64
	sample bool
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

// nearWhole is how near to a whole number of pieces counts as one, as a share of a piece:
// lots have different joins.
const nearWhole = 0.01

// weftParts are the lots that weave several pieces, with how many of them each weaves; whole
// says that no piece is of two.
func (s Shelf) weftParts(o Outcome) (lots []weftLot, whole bool) {
	lots = s.weftLots(o)
	if o.Project.Pieces < 2 || len(lots) == 0 || o.Project.Clasped {
		return nil, false
	}
	once := float64(s.onceOf(o))
	least, with := math.Inf(1), 0
	for n := range lots {
		if off := divide(lots, n, once, o.Project.Pieces); off < least-1e-9 {
			least, with = off, n
		}
	}
	divide(lots, with, once, o.Project.Pieces)
	lots[with].sample = once > 0
	return lots, least < nearWhole
}

// onceOf is the weft of a plan that is woven once.
func (s Shelf) onceOf(o Outcome) measure.Length {
	if o.Project.RagPerM2 > 0 {
		return 0
	}
	line, err := s.specOf(o.Project).WeftLine(o.Needs.Ends - o.Project.FloatingSelvedges)
	if err != nil {
		return 0
	}
	return line.Once()
}

// divide says how many pieces each lot weaves where lot with weaves what is woven once, and
// how far that is from whole pieces.
func divide(lots []weftLot, with int, once float64, pieces int) (off float64) {
	all := -once
	for _, l := range lots {
		all += float64(l.length)
	}
	for n := range lots {
		own := float64(lots[n].length)
		if n == with {
			own -= once
		}
		lots[n].pieces = own * float64(pieces) / all
		off = max(off, math.Abs(lots[n].pieces-math.Round(lots[n].pieces)))
	}
	return off
}

// weftOfPieces says which of several pieces gets its weft from which lot: whole pieces from
// one, as far as that goes, and which of them weaves the sample.
func (s Shelf) weftOfPieces(o Outcome) []string {
	lots, whole := s.weftParts(o)
	if len(lots) < 2 {
		return nil
	}
	var parts []string
	at := 0.0
	for i, l := range lots {
		of := strings.Join(l.labels, " ")
		first := int(math.Ceil(at-nearWhole)) + 1
		at += l.pieces
		last := int(at + nearWhole)
		part := of
		if first <= last {
			part += " " + piecesWords(first, last)
		}
		if l.sample {
			part += map[bool]string{true: " and", false: ""}[part != of] + " the sample"
		}
		if part != of {
			parts = append(parts, part)
		}
		if over := at - float64(last); over > nearWhole && i < len(lots)-1 &&
			(len(parts) == 0 || !strings.HasSuffix(parts[len(parts)-1], "together")) {
			parts = append(parts, fmt.Sprintf("%s and %s %s together", of,
				strings.Join(lots[i+1].labels, " "), piecesWords(last+1, last+1)))
		}
	}
	note := "weft of each piece: " + strings.Join(parts, ", ")
	if whole {
		note += "; so that each is as sure as can be"
	}
	return []string{note}
}

func piecesWords(first, last int) string {
	if first == last {
		return fmt.Sprintf("piece %d", first)
	}
	return fmt.Sprintf("pieces %d to %d", first, last)
}
