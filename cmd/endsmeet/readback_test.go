package main

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash/stashtest"
)

// strange are texts that a table could take for something else.
var strange = []string{"oat", "=1+1", "a, \"b\"; c", "'quoted", "007", "1.500", "é ñ 毛糸", "-3",
	"yes", "2-Aug", "|x|"}

// random receives some yarn of a random kind, uses and weighs some of it.
func random(t *rapid.T, d *desk) {
	text := rapid.SampledFrom(strange)
	for i := range rapid.IntRange(1, 4).Draw(t, "yarns") {
		tag := fmt.Sprintf("T%d", i)
		name := rapid.SampledFrom([]string{"Ossentarn cotton", "Marrow wool", "Quillbeck, fine",
			"=Sorrelby"}).Draw(t, "name")
		args := []string{"receive", name, "--new", "--tag", tag, "--net",
			fmt.Sprintf("%d.%d g", rapid.IntRange(20, 900).Draw(t, "g"),
				rapid.IntRange(0, 9).Draw(t, "tenths"))}
		for option, value := range map[string]string{
			"--colour": text.Draw(t, "colour"), "--lot": text.Draw(t, "lot"),
			"--bin": text.Draw(t, "bin"), "--note": text.Draw(t, "note"),
			"--form": rapid.SampledFrom([]string{"ball", "cone", "skein"}).Draw(t, "form"),
			"--price": rapid.SampledFrom([]string{"24 EUR", "3.10 per 100g",
				"1.5050 per oz"}).Draw(t, "price"),
			"--acquired": rapid.SampledFrom([]string{"2024", "March 2024", "27.11.2023"}).Draw(t,
				"day"),
			"--aired": "2025-01", "--frozen": "2025-02", "--washed": "2024-06-07",
			"--quarantine": rapid.SampledFrom([]string{"2026-01-30..2026-05-01 webbing found",
				"2026-02-01 seen", "2025-01-30..2025-03-01"}).Draw(t, "quarantine"),
			"--reserve": rapid.SampledFrom([]string{"6g for Jon's cap", "0.5 oz", "3.5 g for é"}).Draw(t, "reserve"),
			"--longest": "75.5cm", "--knots": "2", "--swatch": "#8a7a55", "--source": text.Draw(t, "source"),
		} {
			if rapid.Bool().Draw(t, option) {
				args = append(args, option+"="+value)
			}
		}
		d.run(args...)
		if rapid.Bool().Draw(t, "used") {
			d.run("use", tag, "7.5 g")
		}
		if rapid.Bool().Draw(t, "weighed") {
			d.run("weigh", tag, "12 g", "--net", "--as-read")
		}
		if rapid.Bool().Draw(t, "told") {
			d.try(context.Background(), "set", tag,
				"count="+rapid.SampledFrom([]string{"8/2 Ne", "2400 m/kg, weighed sample",
					"34 tex, 4 %"}).Draw(t, "count"), "fibre="+rapid.SampledFrom([]string{
					"wool 60, silk 40", "unknown (burn test: hair smell and a hard bead)",
					"cotton 95, nylon (elastic core) 5", "wool (mystery halo) 100"}).Draw(t, "fibre"),
				"twist=z", "odour="+rapid.SampledFrom([]string{"smoke", "unknown", "none"}).Draw(t,
					"odour"), "hazards="+rapid.SampledFrom([]string{"oil", "unknown"}).Draw(t, "hazard"))
		}
		if rapid.Bool().Draw(t, "lent") {
			d.try(context.Background(), "lend", tag, "--to", "Jon", "--until", "2026-09-01")
		}
	}
}

// dispute has another machine say different things of an item.
func dispute(d *desk, tag string) {
	other := newDesk(d.t)
	other.env.ids, other.env.machine = stashtest.CountingIDs(1_000_000), "other"
	d.run("export", "--events", d.path("here.jsonl"))
	other.run("import", d.path("here.jsonl"))
	for desk, word := range map[*desk]string{d: "here", other: "there"} {
		desk.run("set", tag, "bin="+word, "note=as it is "+word, "frozen=2024-0"+fmt.Sprint(len(word)-3),
			"odour=smells "+word, "price="+fmt.Sprint(len(word))+" EUR",
			"quarantine=2026-01-30..2026-03-0"+fmt.Sprint(len(word))+" "+word)
	}
	other.run("export", "--events", other.path("there.jsonl"))
	d.run("import", other.path("there.jsonl"))
}

// What was exported and read back adds nothing and changes nothing, in every
// format; and makes of an empty stash one that holds the same.
func TestWhatWasExportedAndReadBackChangesNothing(t *testing.T) {
	t.Parallel()
	gen := rapid.Custom(func(rt *rapid.T) *desk {
		d := newDesk(t)
		random(rt, d)
		if rapid.Bool().Draw(rt, "disputed") {
			dispute(d, "T0")
		}
		return d
	})
	for seed := range 12 {
		d := gen.Example(seed)
		held := d.checked().HeldMg
		d.run("export", "--xlsx", d.path("book.xlsx"), "--csv", d.path("tables"), "--events",
			d.path("all.jsonl"))
		before := d.run("--json", "list") + d.run("--json", "show", "T0")
		for _, args := range [][]string{
			{"import", d.path("tables")}, {"import", d.path("book.xlsx")},
			{"import", d.path("book.xlsx"), "--sheet", "items"}, {"import", d.path("all.jsonl")},
			{"import", d.path("tables/items.csv")}, {"import", d.path("book.xlsx"), "--sheet",
				"stash", "--correct", "--weights", "now"},
		} {
			nothingNew(t, d, args)
			if after := d.run("--json", "list") + d.run("--json", "show", "T0"); after != before {
				t.Fatalf("%q changed the stash:\n%s\n%s", args, before, after)
			}
		}
		for _, from := range []string{"tables", "book.xlsx", "all.jsonl"} {
			d.stash = "new-" + from + ".db"
			d.run("import", d.path(from))
			if got := d.checked().HeldMg; got != held {
				t.Errorf("%s: %d mg, not %d", from, got, held)
			}
		}
	}
}

// nothingNew runs an import that must find nothing new, and nothing changed.
func nothingNew(t *testing.T, d *desk, args []string) {
	t.Helper()
	var r struct {
		Packages int               `json:"items"`
		NewYarns int               `json:"new_yarns"`
		Events   int               `json:"new"`
		Changed  []json.RawMessage `json:"changed"`
	}
	answer := d.run(append([]string{"--json"}, args...)...)
	if err := json.Unmarshal([]byte(answer), &r); err != nil ||
		r.Packages+r.NewYarns+r.Events+len(r.Changed) > 0 {
		t.Fatalf("%q: %v\n%s", args[1:], err, strings.TrimSpace(answer))
	}
}
