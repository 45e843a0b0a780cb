package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"

	"endsmeet/planner/making"
	"endsmeet/stash"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

// affected is the JSON shape of an open piece whose answer changed, because
// more became known of a yarn or of whom it is for. Reasons and Weaver hold
// what is new.
type affected struct {
	Piece   string           `json:"piece"`
	ID      stash.PieceID    `json:"id"`
	State   stash.PieceState `json:"state"`
	Answer  stash.Answer     `json:"answer"`
	Blocks  bool             `json:"blocks"`
	Reasons []people.Reason  `json:"reasons"`
	Weaver  []people.Caution `json:"weaver"`
}

// affectedBy makes a change and gives the open pieces that it concerns.
func affectedBy(tx *sqlite.Tx, change func() error) ([]affected, error) {
	before, err := standing(tx)
	if err != nil {
		return nil, err
	}
	if err := change(); err != nil {
		return nil, err
	}
	return before.affected(tx)
}

// standings are the answers of all open pieces at one moment.
type standings map[stash.PieceID]pieceStanding

type pieceStanding struct {
	piece  stash.Piece
	result people.Result
	weaver []people.Caution
}

// standing holds every open piece against the rules of the person that it is
// for, with all that it is to be made of or has taken already.
func standing(tx *sqlite.Tx) (standings, error) {
	pieces, err := tx.Pieces(true)
	if err != nil || len(pieces) == 0 {
		return nil, err
	}
	shelf, err := makingShelf(tx)
	if err != nil {
		return nil, err
	}
	out := standings{}
	for _, p := range pieces {
		if p.Plan == nil {
			continue
		}
		if out[p.ID], err = pieceStands(tx, shelf, p); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func pieceStands(tx *sqlite.Tx, s making.Shelf, p stash.Piece) (pieceStanding, error) {
	parts := partsOfPiece(s, p)
	out := pieceStanding{piece: p, result: people.Result{Answer: stash.Nothing}}
	for _, part := range parts {
		for _, c := range people.WeaverCautions(part.Yarn) {
			if !slices.Contains(out.weaver, c) {
				out.weaver = append(out.weaver, c)
			}
		}
	}
	whom, err := whomOf(tx, p)
	if whom.Person != nil {
		out.result = people.SuitsPiece(*whom.Person, parts, people.FormOf(p.Plan.Spec))
	}
	return out, err
}

// partsOfPiece lists every yarn that a piece names, was sharedOut or took.
func partsOfPiece(s making.Shelf, p stash.Piece) []people.Part {
	var parts []people.Part
	for _, y := range s.PieceYarns(p) {
		parts = append(parts, people.Part{Role: y.Role, Yarn: y.Yarn})
	}
	return parts
}

// affected gives the open pieces for which something was added since, in the
// order of their names.
func (before standings) affected(tx *sqlite.Tx) ([]affected, error) {
	after, err := standing(tx)
	var out []affected
	for id, now := range after {
		reasons := people.Added(before[id].result, now.result)
		weaver := slices.DeleteFunc(slices.Clone(now.weaver),
			func(c people.Caution) bool { return slices.Contains(before[id].weaver, c) })
		if len(reasons)+len(weaver) == 0 {
			continue
		}
		a := affected{now.piece.Name, id, now.piece.State, now.result.Answer, now.result.Blocks(),
			[]people.Reason{}, []people.Caution{}}
		a.Reasons, a.Weaver = append(a.Reasons, reasons...), append(a.Weaver, weaver...)
		out = append(out, a)
	}
	slices.SortFunc(out, func(a, b affected) int {
		return cmp.Or(cmp.Compare(a.Piece, b.Piece),
			cmp.Compare(a.ID, b.ID))
	})
	return out, err
}

// printAffected tells which open pieces a change concerns, and how.
func printAffected(w io.Writer, all []affected) {
	for _, a := range all {
		head := fmt.Sprintf("this concerns %s, %s", stash.Clean(a.Piece), a.State)
		if len(a.Reasons) > 0 {
			head += ": " + a.Answer.Words()
		}
		fmt.Fprint(w, wrap(head, "", roomOf(w)))
		for _, r := range a.Reasons {
			fmt.Fprint(w, wrap(reasonWords(r), "  ", roomOf(w)))
		}
		for _, c := range a.Weaver {
			fmt.Fprint(w, wrap("for the weaver: "+c.Text, "  ", roomOf(w)))
		}
		if a.Blocks && len(a.Reasons) > 0 {
			fmt.Fprint(w, wrap("choose another yarn, or ask them, before it goes on", "  ",
				roomOf(w)))
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
