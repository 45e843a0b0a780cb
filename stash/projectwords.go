package stash

import (
	"encoding/json"
	"fmt"
	"strings"

	"endsmeet/stash/measure"
)

// ProjectWords shows the JSON value of a project's field as a person reads it.
// Fields that refer to other records are the caller's to show.
func ProjectWords(name string, raw json.RawMessage, units measure.System) string {
	var n int64
	if json.Unmarshal(raw, &n) != nil {
		if words, ok := edgeWords(raw, units); ok {
			return words
		}
		return otherWords(raw)
	}
	switch name {
	case "sett", "picks":
		return measure.Sett(n).Format(units)
	case "take_up", "weft_take_up", "shrink_length", "shrink_width", "stretch", "strain", "draw_in",
		"beat":
		return measure.Ratio(n).String()
	case "pieces", "bunch", "bunch_groups", "hemstitch_picks", "floating_selvedges", "repeat",
		"balance", "hemstitched_edges", "bound_edges", "end_strands", "pick_strands",
		"least_stripe", "most_stripe":
		return fmt.Sprint(n)
	case "rag_per_m2":
		return measure.Mass(n).Format(units) + " per square metre"
	}
	return measure.Length(n).Cloth(units)
}

func otherWords(raw json.RawMessage) string {
	var stripes []Stripe
	if json.Unmarshal(raw, &stripes) != nil {
		return wordsOf(raw)
	}
	var parts []string
	for _, s := range stripes {
		parts = append(parts, fmt.Sprintf("%s %d", s.Colour, s.Ends))
	}
	return strings.Join(parts, ", ")
}
