package intake

import (
	"encoding/json"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func jsonText(text string) json.RawMessage {
	raw, _ := json.Marshal(text)
	return raw
}

func countFactOf(f stash.Fields) stash.CountFact {
	var c stash.CountFact
	_ = json.Unmarshal(f["count"], &c)
	return c
}

func countOf(f stash.Fields) measure.Count { return countFactOf(f).Count }
