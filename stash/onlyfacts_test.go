package stash_test

import (
	"encoding/json"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"endsmeet/stash"
)

// still is an Env in which nothing was undone.
type still struct{ undone bool }

func (still) Life(stash.PieceID) stash.Life { return stash.Life{} }
func (s still) Undone(stash.Act) bool       { return s.undone }

// A package whose facts one event states is folded in a step of its own. With an
// event beside it that states nothing, the long way must come to the same.
func TestTheShortWayToFoldAPackageIsTheLongWay(t *testing.T) {
	values := rapid.SampledFrom([]string{`"oat"`, `null`, `5`, `{"mg":25000,"source":"weighed"}`,
		`{"mg":1,"source":"weighed","new":2}`, `"cone"`, `[1]`, `{"key":"k","content":"c"}`})
	names := rapid.SampledFrom([]string{"yarn", "tag", "form", "lot", "colour", "tare", "knots",
		"row", "LOT", "zorblax"})
	rapid.Check(t, func(t *rapid.T) {
		fields := map[string]json.RawMessage{}
		for range rapid.IntRange(0, 5).Draw(t, "fields") {
			fields[names.Draw(t, "name")] = json.RawMessage(values.Draw(t, "value"))
		}
		body, err := json.Marshal(map[string]any{"fields": fields, "net_mg": 1000})
		if err != nil {
			t.Fatal(err)
		}
		e := stash.Event{Line: stash.Line{Version: rapid.IntRange(1, 2).Draw(t, "version"),
			Kind: stash.KindReceive, Of: "p", Body: body}}
		idle := stash.Event{Chain: stash.Chain{1},
			Line: stash.Line{Version: 1, Kind: stash.KindYarn, Of: "p",
				Body: json.RawMessage(`{"fields":{}}`)}}
		env := still{rapid.Bool().Draw(t, "undone")}
		short := stash.FoldPackage("p", []stash.Event{e}, []stash.Event{e}, env)
		long := stash.FoldPackage("p", []stash.Event{e, idle}, []stash.Event{e}, env)
		if !reflect.DeepEqual(short, long) {
			t.Fatalf("%s\nshort %+v\nlong  %+v", body, short, long)
		}
	})
}
