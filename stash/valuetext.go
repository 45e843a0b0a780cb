package stash

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"

	"endsmeet/stash/measure"
)

// rawPrefix begins the text of a value that has no form to be typed in.
const rawPrefix = "json:"

// ValueText writes the JSON value of a field as it could be typed, exactly:
// ReadText makes the same value of it. What cannot be typed so is written as
// JSON behind "json:". A cleared value is empty.
func ValueText(what What, name string, raw json.RawMessage) string {
	if len(raw) == 0 || string(raw) == "null" {
		return ""
	}
	text := typed(what, name, raw)
	again, err := Value(what, name, text)
	if err != nil || !bytes.Equal(again, raw) || strings.HasPrefix(text, rawPrefix) {
		return rawPrefix + string(raw)
	}
	return text
}

// ReadText reads what ValueText wrote, or what a person typed. An empty text
// is no value, nil.
func ReadText(what What, name, text string) (json.RawMessage, error) {
	body, isRaw := strings.CutPrefix(text, rawPrefix)
	switch {
	case strings.TrimSpace(text) == "":
		return nil, nil
	case !isRaw:
		return Value(what, name, text)
	}
	var compact bytes.Buffer
	if err := json.Compact(&compact, []byte(body)); err != nil {
		return nil, &ValueError{name, text, "there is no JSON after json:",
			"write the value as it would be typed"}
	}
	if !fits(what, name, compact.Bytes()) {
		return nil, &ValueError{name, text, "not a value of this field",
			"write it as it would be typed"}
	}
	return compact.Bytes(), nil
}

// fits says whether a JSON value can stand in a field.
func fits(what What, name string, raw json.RawMessage) bool {
	one, err := json.Marshal(Fields{name: raw})
	if err != nil {
		return false
	}
	switch what {
	case WhatYarn:
		return strictly(one, new(YarnFacts)) == nil
	case WhatPackage:
		return strictly(one, new(PackageFacts)) == nil
	case WhatProject:
		return strictly(one, new(ProjectFacts)) == nil
	case WhatPerson:
		return strictly(one, new(PersonFacts)) == nil
	case WhatSettings:
		_, err := FieldOf(what, name)
		return err == nil
	}
	return false
}

// typed is the nearest form that a person could type, right or not.
func typed(what What, name string, raw json.RawMessage) string {
	if f, err := FieldOf(what, name); err == nil && f.Type != nil {
		return f.Type(raw)
	}
	return typedNumber(what, name, raw)
}

// typedWords writes a list of words.
var typedWords = typing(func(words []string) string { return orNone(strings.Join(words, ", ")) })

// typedNumber writes a text as it is, plain numbers, ratios and lengths, and else
// what an answer is.
func typedNumber(what What, name string, raw json.RawMessage) string {
	var text string
	if json.Unmarshal(raw, &text) == nil {
		return text
	}
	var n int64
	if json.Unmarshal(raw, &n) != nil {
		return otherWords(raw)
	}
	for _, text := range []string{strconv.FormatInt(n, 10), measure.Ratio(n).String(),
		measure.Length(n).Exact(), measure.Mass(n).Exact()} {
		if again, err := Value(what, name, text); err == nil && bytes.Equal(again, raw) {
			return text
		}
	}
	return string(raw)
}

// typing makes of a writer of a type one of its JSON form; of another it writes
// nothing.
func typing[T any](write func(T) string) func(json.RawMessage) string {
	return func(raw json.RawMessage) string {
		var value T
		if json.Unmarshal(raw, &value) != nil {
			return ""
		}
		return write(value)
	}
}

func orNone(text string) string {
	if text == "" {
		return "none"
	}
	return text
}

func (c CountFact) typed() string {
	text := c.Written
	if reading, err := measure.ParseCount(text); err != nil || reading.Count != c.Count {
		text = c.Count.String()
	}
	if c.Source != measure.SourceUnknown {
		text += ", " + c.Source.String()
	}
	if c.Doubt != 0 {
		text += ", " + c.Doubt.String()
	}
	return text
}

func (p Price) typed() string {
	amount := strings.TrimSpace(p.Amount() + " " + p.Currency)
	if p.Per == 0 {
		return amount + " each"
	}
	return amount + " per " + p.Per.Exact()
}

func (t Tare) typed() string {
	text := t.Mass.Exact() + " " + string(t.Source)
	if t.Spread != 0 {
		text += " " + t.Spread.Exact()
	}
	return text
}

func (q Quarantine) typed() string {
	text := q.Since
	if q.Until != "" {
		text += ".." + q.Until
	}
	return strings.TrimSpace(text + " " + q.Reason)
}

func (r Reserve) typed() string {
	if r.For == "" {
		return r.Mass.Exact()
	}
	return r.Mass.Exact() + " for " + r.For
}
