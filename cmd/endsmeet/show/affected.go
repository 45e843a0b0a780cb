package show

import (
	"fmt"
	"io"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/people"
)

// Affected is the JSON shape of an open piece whose answer changed, because
// more became known of a yarn or of whom it is for. Reasons and Weaver hold
// what is new.
type Affected struct {
	Piece   string           `json:"piece"`
	ID      stash.PieceID    `json:"id"`
	State   stash.PieceState `json:"state"`
	Answer  stash.Answer     `json:"answer"`
	Blocks  bool             `json:"blocks"`
	Reasons []people.Reason  `json:"reasons"`
	Weaver  []people.Caution `json:"weaver"`
}

// PartsOfPiece lists every yarn that a piece names, was sharedOut or took.
func PartsOfPiece(s making.Shelf, p stash.Piece) []people.Part {
	var parts []people.Part
	for _, y := range s.PieceYarns(p) {
		parts = append(parts, people.Part{Role: y.Role, Yarn: y.Yarn})
	}
	return parts
}

// PrintAffected tells which open pieces a change concerns, and how.
func PrintAffected(w io.Writer, all []Affected) {
	for _, a := range all {
		head := fmt.Sprintf("this concerns %s, %s", stash.Clean(a.Piece), a.State)
		if len(a.Reasons) > 0 {
			head += ": " + a.Answer.Words()
		}
		fmt.Fprint(w, Wrap(head, "", RoomOf(w)))
		for _, r := range a.Reasons {
			fmt.Fprint(w, Wrap(reasonWords(r), "  ", RoomOf(w)))
		}
		for _, c := range a.Weaver {
			fmt.Fprint(w, Wrap("for the weaver: "+c.Text, "  ", RoomOf(w)))
		}
		if a.Blocks && len(a.Reasons) > 0 {
			fmt.Fprint(w, Wrap("choose another yarn, or ask them, before it goes on", "  ",
				RoomOf(w)))
		}
	}
}

// reasonWords says one reason in a line.
func reasonWords(r people.Reason) string {
	text := fmt.Sprintf("%s (%s): %s", r.Answer.Words(), r.Rule, r.Why)
	if r.Of != "" {
		text = r.Of + ": " + text
	}
	return text
}
