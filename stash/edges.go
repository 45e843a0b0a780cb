package stash

import (
	"encoding/json"
	"slices"
	"strings"

	"endsmeet/stash/measure"
)

// EdgeFinish is how one end of a piece is finished.
type EdgeFinish string

// The finishes of an end beside the fringes. EdgeNone is one that is cut and finished in
// no way that takes length.
const (
	EdgeHem  EdgeFinish = "hem"
	EdgeNone EdgeFinish = "none"
)

// EdgeFinishes are the words for the finishes: those of the fringes, the plainest first,
// and the others.
func EdgeFinishes() []string {
	var out []string
	for _, f := range slices.Backward(Fringes) {
		out = append(out, string(f.Finish))
	}
	return append(out, string(EdgeHem), string(EdgeNone))
}

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
	if _, is := FringeOf(e.Finish); is {
		return e.Length
	}
	return 0
}

// parseEdge reads the finish of an end: "braided 10cm", "hem 4cm", "none".
func parseEdge(s string) (Edge, error) {
	word, rest, _ := strings.Cut(strings.TrimSpace(s), " ")
	e := Edge{Finish: EdgeFinish(strings.ToLower(word))}
	if !slices.Contains(EdgeFinishes(), string(e.Finish)) {
		return e, &ValueError{"other_end", s, "the finish of an end is wanted", OneOf(word, EdgeFinishes()) + `; with its length, such as "braided 10cm"`}
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

// Edges is how the two ends of a piece are finished, the one woven first before the
// other. Of several fringes the one that takes most work holds: it is cut from the raw one.
func (b ProjectFacts) Edges() (first, other Edge) {
	first = Edge{Finish: EdgeNone}
	if b.Hem > 0 {
		first = Edge{EdgeHem, b.Hem}
	}
	for _, f := range slices.Backward(Fringes) {
		if length := f.Length(b); length > 0 {
			first = Edge{f.Finish, length}
		}
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
	for _, f := range Fringes {
		if raw, set := fields[f.Field]; set && string(raw) != "null" {
			given = append(given, f.Field)
		}
	}
	if len(given) == 0 {
		return nil
	}
	if len(given) > 1 {
		return &ValueError{given[1], given[0], "a fringe cannot be both " + given[0] + " and " +
			given[1], `say how the second end differs with other_end, such as other_end="braided 10cm"`}
	}
	for _, f := range Fringes {
		if _, set := fields[f.Field]; !set {
			fields[f.Field] = json.RawMessage("null")
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
