package stash_test

import (
	"encoding/json"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"endsmeet/stash"
)

// A package that only its receipt tells of is read out of the line itself. Where that
// goes, the fold comes to the same; it goes for what our own commands write.
func TestAReceiptReadByItselfIsWhatTheFoldMakesOfIt(t *testing.T) {
	values := rapid.SampledFrom([]string{`"oat"`, `null`, `5`, `{"mg":25000,"source":"weighed"}`,
		`{"mg":1,"source":"weighed","new":2}`, `"cone"`, `[1]`, `{"key":"k","content":"c"}`})
	names := rapid.SampledFrom([]string{"yarn", "tag", "form", "lot", "colour", "tare", "knots",
		"row", "LOT", "zorblax"})
	bodies := rapid.SampledFrom([]string{`,"net_mg":1000`, `,"gross_mg":90000,"step_mg":1000`,
		`,"gross_mg":90000,"tare_mg":5000`, ``, `,"net_mg":"much"`, `,"zorblax":1`})
	read := 0
	rapid.Check(t, func(t *rapid.T) {
		fields := map[string]json.RawMessage{}
		for range rapid.IntRange(0, 3).Draw(t, "fields") {
			fields[names.Draw(t, "name")] = json.RawMessage(values.Draw(t, "value"))
		}
		raw, err := json.Marshal(fields)
		if err != nil {
			t.Fatal(err)
		}
		l := stash.Line{Version: rapid.IntRange(1, 2).Draw(t, "version"), Of: "p",
			Clock: 7, At: time.UnixMilli(1_790_000_000_123).In(time.FixedZone("", 3600)),
			Kind: rapid.SampledFrom([]stash.Kind{stash.KindReceive, stash.KindReceive,
				stash.KindWeigh}).Draw(t, "kind"),
			Body: json.RawMessage(`{"fields":` + string(raw) + bodies.Draw(t, "body") + `}`)}
		e := stash.Event{Lane: "l", Seq: 3, Chain: stash.Chain{1}}
		if e.Raw, err = stash.EncodeLine(l); err != nil {
			t.Fatal(err)
		}
		got, ok := stash.OfReceipt(e)
		if e.Line, err = stash.DecodeLine(e.Raw); err != nil {
			t.Fatal(err)
		}
		if !ok {
			return
		}
		read++
		want := stash.FoldPackage("p", []stash.Event{e}, []stash.Event{e}, still{})
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("%s\nread   %+v\nfolded %+v", e.Raw, got, want)
		}
	})
	if read == 0 {
		t.Error("none was read")
	}
}

// What a newer version says within a fact keeps the receipt from being read by itself.
func TestAReceiptWithMoreThanThisVersionKnowsIsFolded(t *testing.T) {
	for fields, want := range map[string]bool{
		`{"tare":{"mg":1,"source":"weighed"}}`:         true,
		`{"tare":{"mg":1,"source":"weighed","new":2}}`: false,
		`{"zorblax":1}`: false,
	} {
		raw, err := stash.EncodeLine(stash.Line{Version: 1, Kind: stash.KindReceive, Of: "p",
			Body: json.RawMessage(`{"fields":` + fields + `,"net_mg":5}`)})
		if err != nil {
			t.Fatal(err)
		}
		if _, ok := stash.OfReceipt(stash.Event{Raw: raw}); ok != want {
			t.Errorf("%s: %t", fields, ok)
		}
	}
}
