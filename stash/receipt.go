package stash

import (
	"encoding/json"
	"time"

	jsonv2 "github.com/go-json-experiment/json"
)

// receiptLine is the line of a receipt, read in one go with what the scale said.
type receiptLine struct {
	Version int       `json:"v"`
	Clock   Clock     `json:"hlc"`
	At      time.Time `json:"at"`
	Kind    Kind      `json:"kind"`
	Of      PackageID `json:"of"`
	Body    struct {
		Fields json.RawMessage `json:"fields"`
		Reading
	} `json:"body"`
}

// OfReceipt is the package that a receipt alone makes, out of the raw line and where
// it stands: what FoldPackage gives of it, in one step, where it stands as it was
// written. It is false where there is more to the line than facts and a reading that
// this version knows.
func OfReceipt(e Event) (Package, bool) {
	var l receiptLine
	var facts PackageFacts
	if jsonv2.Unmarshal(e.Raw, &l) != nil || l.Kind != KindReceive || l.Version != LineVersion ||
		l.Body.Fields == nil || strictly(l.Body.Fields, &facts) != nil {
		return Package{}, false
	}
	e.Clock, e.At = l.Clock, l.At
	p := Package{ID: l.Of, PackageFacts: facts, Account: Account{
		Arrived: e.At, Heads: []EventID{e.ID()}, Last: PlaceOf(e)}}
	if l.Body.Given() {
		p.weigh(e, l.Body.Reading)
	}
	return p, true
}
