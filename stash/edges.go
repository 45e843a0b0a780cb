package stash

import (
	"encoding/json"
	"slices"
	"strings"

	"endsmeet/stash/measure"
)

// EdgeFinish is how one end of a piece is finished.
type EdgeFinish string

// The finishes of an end. EdgeNone is one that is cut and finished in no way that takes
// length.
const (
	edgeRaw     EdgeFinish = "raw"
	EdgeKnotted EdgeFinish = "knotted"
	EdgeTwisted EdgeFinish = "twisted"
	EdgeBraided EdgeFinish = "braided"
	EdgeHem     EdgeFinish = "hem"
	EdgeNone    EdgeFinish = "none"
)

// EdgeFinishes are the words for the finishes.
var EdgeFinishes = []string{string(edgeRaw), string(EdgeKnotted), string(EdgeTwisted),
	string(EdgeBraided), string(EdgeHem), string(EdgeNone)}

// Edge is the finish of one end of a piece. Length is that of a fringe as it hangs, of a
// raw one as it is cut, of a hem the cloth turned in.
type Edge struct {
	Finish EdgeFinish     `json:"finish"`
	Length measure.Length `json:"length_mm,omitempty"`
}

// Format is the finish as a person reads and types it.
func (e Edge) Format(units measure.System) string {
	if e.Length == 0 {
		return string(e.Finish)
	}
	return string(e.Finish) + " " + e.Length.Cloth(units)
}

// typed is what ParseEdge reads back to the same finish.
func (e Edge) typed() string {
	if e.Length == 0 {
		return string(e.Finish)
	}
	return string(e.Finish) + " " + e.Length.Exact()
}

// Fringe is the length of the fringe that hangs from the end, zero for none.
func (e Edge) Fringe() measure.Length {
	if e.Finish == EdgeHem || e.Finish == EdgeNone {
		return 0
	}
	return e.Length
}

// parseEdge reads the finish of an end: "braided 10cm", "hem 4cm", "none".
func parseEdge(s string) (Edge, error) {
	word, rest, _ := strings.Cut(strings.TrimSpace(s), " ")
	e := Edge{Finish: EdgeFinish(strings.ToLower(word))}
	if !slices.Contains(EdgeFinishes, string(e.Finish)) {
		return e, &ValueError{"other_end", s, "the finish of an end is wanted", OneOf(word, EdgeFinishes) + `; with its length, such as "braided 10cm"`}
	}
	rest = strings.TrimSpace(rest)
	if (rest == "") != (e.Finish == EdgeNone) {
		return e, &ValueError{"other_end", s, "a fringe or a hem has a length, none has no length",
			`such as "braided 10cm", "hem 4cm" or "none"`}
	}
	if rest == "" {
		return e, nil
	}
	var err error
	e.Length, err = measure.ParseLength(rest)
	if err == nil && e.Length <= 0 {
		err = &ValueError{"other_end", s, "the length must be more than nothing",
			`such as "braided 10cm"`}
	}
	return e, err
}

// fringeFields are the fields that say how the ends are finished, of which one holds.
var fringeFields = []string{"twisted", "braided", "knotted", "fringe"}

// Edges is how the two ends of a piece are finished, the one woven first before the
// other. Of several fringes the one that takes most work holds: it is cut from the raw one.
func (b ProjectFacts) Edges() (first, other Edge) {
	switch {
	case b.Twisted > 0:
		first = Edge{EdgeTwisted, b.Twisted}
	case b.Braided > 0:
		first = Edge{EdgeBraided, b.Braided}
	case b.Knotted > 0:
		first = Edge{EdgeKnotted, b.Knotted}
	case b.Fringe > 0:
		first = Edge{edgeRaw, b.Fringe}
	case b.Hem > 0:
		first = Edge{EdgeHem, b.Hem}
	default:
		first = Edge{Finish: EdgeNone}
	}
	if other = first; b.OtherEnd != nil {
		other = *b.OtherEnd
	}
	return first, other
}

// LongestFringe is the length of the longer fringe of a piece, zero where it has none.
func (b ProjectFacts) LongestFringe() measure.Length {
	first, other := b.Edges()
	return max(first.Fringe(), other.Fringe())
}

// Hems is the cloth turned in at both ends.
func (b ProjectFacts) Hems() measure.Length {
	if b.OtherEnd != nil && b.OtherEnd.Finish == EdgeHem {
		return b.Hem + b.OtherEnd.Length
	}
	return b.Hem
}

// OneFringe opens the other fringes of a project where fields give one: a fringe is
// twisted or braided or knotted. Fields that give two are refused.
func OneFringe(fields Fields) error {
	var given []string
	for _, name := range fringeFields {
		if raw, set := fields[name]; set && string(raw) != "null" {
			given = append(given, name)
		}
	}
	if len(given) == 0 {
		return nil
	}
	if len(given) > 1 {
		return &ValueError{given[1], given[0], "a fringe cannot be both " + given[0] + " and " +
			given[1], `say how the second end differs with other_end, such as other_end="braided 10cm"`}
	}
	for _, name := range fringeFields {
		if _, set := fields[name]; !set {
			fields[name] = json.RawMessage("null")
		}
	}
	return nil
}

// edgeWords shows the JSON form of an [Edge]; false where it is none.
func edgeWords(raw json.RawMessage, units measure.System) (string, bool) {
	var e Edge
	if json.Unmarshal(raw, &e) != nil || e.Finish == "" {
		return "", false
	}
	return e.Format(units), true
}
