package stash_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func back(t *rapid.T, what stash.What, name string, raw json.RawMessage) {
	text := stash.ValueText(what, name, raw)
	again, err := stash.ReadText(what, name, text)
	if err != nil || !bytes.Equal(again, raw) {
		t.Fatalf("%s %s: %s is written %q and read %s, %v", what, name, raw, text, again, err)
	}
}

func TestEveryExampleOfAFieldIsWrittenAndReadBack(t *testing.T) {
	cases := 0
	for _, what := range []stash.What{stash.WhatYarn, stash.WhatPackage, stash.WhatProject,
		stash.WhatSettings} {
		for _, f := range stash.FieldsOf(what) {
			if f.Refers != "" {
				continue
			}
			example := f.Help
			if first, ok := map[string]string{"shedding": "2", "floating_selvedges": "2",
				"any name": "x", "units": "imperial"}[f.Name]; ok {
				example = first
			}
			raw, err := stash.Value(what, f.Name, example)
			if err != nil {
				t.Errorf("the example of %s %s: %v", what, f.Name, err)
				continue
			}
			cases++
			text := stash.ValueText(what, f.Name, raw)
			again, err := stash.ReadText(what, f.Name, text)
			if err != nil || !bytes.Equal(again, raw) {
				t.Errorf("%s %s: %s is written %q and read %s, %v", what, f.Name, raw, text, again,
					err)
			}
			if bytes.HasPrefix([]byte(text), []byte("json:")) {
				t.Errorf("%s %s: %s cannot be written as it was typed: %s", what, f.Name, example,
					text)
			}
		}
	}
	if cases < 60 {
		t.Errorf("only %d fields were looked at", cases)
	}
}

func TestAnyValueIsWrittenAndReadBack(t *testing.T) {
	mass := rapid.Map(rapid.Int64Range(0, 5_000_000),
		func(n int64) measure.Mass { return measure.Mass(n) })
	word := rapid.OneOf(rapid.Map(rapid.String(), stash.Clean),
		rapid.SampledFrom([]string{"json:1", "-", "unknown", "none", "=1+1", "a for b", "'"}))
	rapid.Check(t, func(t *rapid.T) {
		values := map[string]any{
			"tare": stash.Tare{Mass: mass.Draw(t, "tare"), Source: stash.TareAssumed,
				Spread: mass.Draw(t, "spread")},
			"price": stash.Price{Milli: rapid.Int64Range(0, 1e9).Draw(t, "milli"),
				Per:      mass.Draw(t, "per"),
				Currency: rapid.SampledFrom([]string{"", "EUR", "$"}).Draw(t, "currency")},
			"reserve":    stash.Reserve{Mass: mass.Draw(t, "reserve"), For: word.Draw(t, "for")},
			"quarantine": stash.Quarantine{Since: "2026-01-30", Reason: word.Draw(t, "reason")},
			"note":       word.Draw(t, "note"),
			"lot":        word.Draw(t, "lot"),
			"longest":    rapid.Int64Range(0, 1e6).Draw(t, "longest"),
		}
		for name, value := range values {
			raw, err := json.Marshal(value)
			if err != nil {
				t.Fatal(err)
			}
			if string(raw) == `""` {
				continue // an empty text is not recorded
			}
			back(t, stash.WhatPackage, name, raw)
		}
		count := stash.CountFact{
			Count:   measure.Count(rapid.Int64Range(100, 1e7).Draw(t, "count")),
			Source:  rapid.SampledFrom(measure.Sources()).Draw(t, "source"),
			Written: word.Draw(t, "written"),
			Doubt:   measure.Ratio(rapid.Int64Range(0, 500_000).Draw(t, "doubt")),
		}
		raw, err := json.Marshal(count)
		if err != nil {
			t.Fatal(err)
		}
		back(t, stash.WhatYarn, "count", raw)
	})
}

func TestJSONThatFitsNoFieldIsRefused(t *testing.T) {
	for name, text := range map[string]string{"tare": `json:"heavy"`, "lot": `json:5`,
		"note": `json:{`, "price": `json:{"milli":1,"zorblax":2}`} {
		if raw, err := stash.ReadText(stash.WhatPackage, name, text); err == nil {
			t.Errorf("%s %s was read as %s", name, text, raw)
		}
	}
}
