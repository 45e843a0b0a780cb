package stashtest

import (
	"encoding/json"
	"time"

	"pgregory.net/rapid"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Masses of yarn up to two kilograms, whole grams more often than not.
var Masses = rapid.OneOf(
	rapid.Map(rapid.Int64Range(0, 2000),
		func(g int64) measure.Mass { return measure.Mass(g) * measure.Gram }),
	rapid.Map(rapid.Int64Range(1, 2_000_000),
		func(mg int64) measure.Mass { return measure.Mass(mg) }),
)

// Texts that a person, or somebody with bad intentions, may write.
var Texts = rapid.OneOf(
	rapid.SampledFrom([]string{"oat", "slate", "Ossentarn cotton", "A1", "<b>&\"",
		"\x1b[31mred\x1b[0m", "\u202egnp.exe", "null", "-", "", "naïve 毛糸", "a\u2028b"}),
	rapid.StringN(0, 12, 40),
)

// Readings of a scale: gross, gross with its own tare, or net.
var Readings = rapid.Custom(func(t *rapid.T) stash.Reading {
	mass := Masses.Draw(t, "reading")
	r := stash.Reading{Step: rapid.SampledFrom([]measure.Mass{0, 100, measure.Gram,
		5 * measure.Gram}).Draw(t, "step")}
	switch rapid.SampledFrom([]string{"gross", "gross and tare", "net"}).Draw(t, "of") {
	case "gross":
		mass += 60 * measure.Gram // above any tare drawn here
		r.Gross = &mass
	case "gross and tare":
		tare := rapid.Map(rapid.Int64Range(0, 50_000),
			func(n int64) measure.Mass { return measure.Mass(n) }).Draw(t, "tare")
		gross := mass + tare
		r.Gross, r.Tare = &gross, &tare
	default:
		r.Net = &mass
	}
	return r
})

// Tares as they are stated of a package.
var Tares = rapid.Custom(func(t *rapid.T) stash.Tare {
	return stash.Tare{
		Mass: measure.Mass(rapid.Int64Range(0, 60_000).Draw(t, "tare")),
		Source: rapid.SampledFrom([]stash.TareSource{stash.TareWeighed, stash.TareAssumed,
			stash.TareUnknown}).Draw(t, "source"),
		Spread: measure.Mass(rapid.Int64Range(0, 10_000).Draw(t, "spread")),
	}
})

// fieldOf draws one fact of a kind of subject.
func fieldOf(t *rapid.T, what stash.What) (string, json.RawMessage) {
	text := func(t *rapid.T) any { return stash.Clean(Texts.Draw(t, "text")) }
	draws := map[stash.What]map[string]func(*rapid.T) any{
		stash.WhatYarn: {
			"name": text, "note": text, "odour": text,
			"shedding": func(t *rapid.T) any { return rapid.IntRange(0, 3).Draw(t, "grade") },
			"hazards":  func(t *rapid.T) any { return []string{rapid.SampledFrom(stash.Hazards).Draw(t, "hazard")} },
			"putup":    func(t *rapid.T) any { return Masses.Draw(t, "putup") },
		},
		stash.WhatPackage: {
			"colour": text, "lot": text, "bin": text,
			"tare": func(t *rapid.T) any { return Tares.Draw(t, "tare") },
			"form": func(t *rapid.T) any {
				return rapid.SampledFrom(stash.Forms).Draw(t, "form").Form
			},
			"knots": func(t *rapid.T) any { return rapid.IntRange(0, 3).Draw(t, "knots") },
		},
		stash.WhatProject: {"name": text,
			"width": func(t *rapid.T) any { return rapid.IntRange(100, 1000).Draw(t, "width") }},
		stash.WhatPerson: {"name": text, "rules": func(t *rapid.T) any { return rulesOf(t) }},
		stash.WhatSettings: {
			"maker": text, "stale.days": func(t *rapid.T) any {
				return rapid.IntRange(1, 900).Draw(t, "days")
			},
		},
	}
	names := make([]string, 0, len(draws[what]))
	for _, f := range stash.FieldsOf(what) {
		if f.Headings != nil && draws[what][f.Name] == nil {
			draws[what][f.Name] = exampleOf(what, f)
		}
		if draws[what][f.Name] != nil {
			names = append(names, f.Name)
		}
	}
	if what == stash.WhatPerson {
		names = append(names, "rules")
	}
	name := rapid.SampledFrom(names).Draw(t, "field")
	if rapid.IntRange(0, 9).Draw(t, "clear") == 0 {
		return name, json.RawMessage("null")
	}
	return name, JSON(draws[what][name](t))
}

// exampleOf draws the example of a field.
func exampleOf(what stash.What, f stash.Field) func(*rapid.T) any {
	return func(t *rapid.T) any {
		value, err := stash.Value(what, f.Name, f.Help)
		if err != nil {
			t.Fatalf("the example of %s: %v", f.Name, err)
		}
		return value
	}
}

func rulesOf(t *rapid.T) []stash.Rule {
	return []stash.Rule{{Test: "fibre",
		Value:  rapid.SampledFrom([]string{"wool", "silk", "linen"}).Draw(t, "fibre"),
		Answer: stash.Against}}
}

// Facts draws one to three facts of a kind of subject.
func Facts(t *rapid.T, what stash.What) stash.Fields {
	fields := stash.Fields{}
	for range rapid.IntRange(1, 3).Draw(t, "facts") {
		name, value := fieldOf(t, what)
		fields[name] = value
	}
	return fields
}

// Moments draws when something happened: mostly now, at times up to a month
// before, typed in late.
func Moments(t *rapid.T, now time.Time) time.Time {
	if rapid.IntRange(0, 3).Draw(t, "late") > 0 {
		return now
	}
	return now.Add(-time.Duration(rapid.IntRange(1, 30*24*60).Draw(t,
		"minutes before")) * time.Minute)
}
