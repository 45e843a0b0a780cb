package stash

import (
	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash/measure"
)

// UnawareWords say what machines that did not know of each other did to one item on
// one day, each with its figures, in the order of the events given. Where nobody can
// name the machines, machine is nil.
func UnawareWords(moves []Event, machine func(Lane) string, units measure.System) string {
	if machine == nil {
		machine = func(lane Lane) string {
			if lane == moves[0].Lane {
				return "one machine"
			}
			return "another"
		}
	}
	did := make([]string, len(moves))
	for i, e := range moves {
		did[i] = machine(e.Lane) + " " + doneWords(e, units)
	}
	known := "; neither knew of the other"
	if len(moves) > 2 {
		known = "; not all knew of the others"
	}
	return "on one day " + AndMore(did, len(did)) + known
}

// done is what is said of a movement that is done.
var done = map[Kind]string{KindReceive: "received it", KindWeigh: "weighed it",
	KindUse: "used", KindDiscard: "discarded", KindGive: "gave away", KindWind: "wound off",
	KindLend: "lent it", KindReturn: "took it back", KindRetire: "retired it",
	KindFinish: "finished a piece of it"}

// doneWords tell a movement with what was read or taken.
func doneWords(e Event, units measure.System) string {
	var m Movement
	_ = jsonv2.Unmarshal(e.Body, &m)
	words, known := done[e.Kind]
	if !known {
		words = string(e.Kind)
	}
	if m.Mass != 0 {
		return words + " " + m.Mass.Format(units)
	}
	if m.Given() {
		return words + " (" + m.Words(units) + ")"
	}
	return words
}
