package stash

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"endsmeet/stash/measure"
)

// parseReeds reads the dents of reeds: "40/10, 12/in" are 40 in 10 cm and 12 in an inch.
func parseReeds(s string) ([]measure.Sett, error) {
	out := []measure.Sett{}
	for word := range strings.SplitSeq(s, ",") {
		word = strings.TrimSpace(word)
		text := word
		if strings.HasSuffix(text, "/10") {
			text += "cm"
		}
		reed, err := measure.ParseSett(strings.Replace(text, "dpi", "epi", 1))
		if err != nil {
			return nil, &ValueError{"loom.reeds", word, "the dents of a reed are wanted",
				"such as 40/10 for 40 in 10 cm, or 12/in"}
		}
		out = append(out, reed)
	}
	return out, nil
}

// ReedName is a reed as weavers call it: by its dents in 10 cm where those are whole, else
// by those in an inch.
func ReedName(reed measure.Sett) string {
	if ten := float64(reed) / float64(measure.PerCentimetre) * 10; ten == math.Trunc(ten) {
		return fmt.Sprintf("%.0f/10", ten)
	}
	return fmt.Sprintf("%g/in", math.Round(float64(reed)/float64(measure.PerCentimetre)*254)/100)
}

// reedsWords shows a setting that is a list of reeds, or what else it is.
func reedsWords(value json.RawMessage) string {
	var reeds []measure.Sett
	if json.Unmarshal(value, &reeds) != nil || len(reeds) == 0 {
		return wordsOf(value)
	}
	var names []string
	for _, r := range reeds {
		names = append(names, ReedName(r))
	}
	return strings.Join(names, ", ")
}
