package stash

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"

	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// SameFact says whether two values of a field state the same, however they are
// written: a count in any base, from a source that one of them does not name; a
// content or a list of words in any order.
func SameFact(name string, a, b json.RawMessage) bool {
	if bytes.Equal(a, b) {
		return true
	}
	switch name {
	case "count":
		return bothAs(a, b, CountFact.agrees)
	case "fibre":
		return bothAs(a, b, sameContent)
	case "construction", "hazards":
		return bothAs(a, b, func(x, y []string) bool { return slices.Equal(sorted(x), sorted(y)) })
	case "lot", "colour", "bin", "odour", "source", "note":
		return bothAs(a, b, func(x, y string) bool { return Fold(x) == Fold(y) })
	}
	return false
}

// bothAs compares two values of a type; what is not of it is not the same.
func bothAs[T any](a, b json.RawMessage, same func(T, T) bool) bool {
	var x, y T
	return json.Unmarshal(a, &x) == nil && json.Unmarshal(b, &y) == nil && same(x, y)
}

// agrees says whether two counts are of one thickness and neither says otherwise
// than the other where it comes from, or how sure it is. A count alone, with no
// word for where it comes from, says nothing of that.
func (c CountFact) agrees(d CountFact) bool {
	plain := func(f CountFact) bool {
		return f.Source == measure.SourceUnknown || f.Source == measure.KnownCount
	}
	return c.Count == d.Count && (c.Source == d.Source || plain(c) || plain(d)) &&
		(c.Doubt == d.Doubt || c.Doubt == 0 || d.Doubt == 0)
}

func sameContent(a, b fibre.Content) bool {
	return slices.Equal(sorted(parts(a)), sorted(parts(b)))
}

func parts(c fibre.Content) []string {
	out := make([]string, len(c))
	for i, p := range c {
		out[i] = p.String()
	}
	return out
}

func sorted(words []string) []string {
	out := slices.Clone(words)
	slices.Sort(out)
	return out
}

// Likeness is the same for two packages that may be one which was recorded twice:
// of one yarn, lot, form and colour, that came in with one weight.
func (f PackageFacts) Likeness(yarn string, received measure.Mass) string {
	return strings.Join([]string{Fold(yarn), Fold(f.Lot), string(f.Form), Fold(f.Colour),
		received.String()}, "\x00")
}
