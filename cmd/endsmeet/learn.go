package main

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// hemsOpen says whether a finished length was read with the cloth for the hems not turned
// in, which must be told where there are hems: they are a twentieth of a towel.
func (k *call) hemsOpen(piece stash.Piece, m stash.Measures) (bool, error) {
	if piece.Plan == nil || piece.Plan.Spec.Hems() == 0 || m.Length == 0 {
		return false, nil
	}
	if !k.IsSet("hems") {
		return false, stash.Refuse(stash.CodeUsage,
			"--hems yes, or --hems no if the cloth for the hems is in --length",
			"%s has hems of %s: was --length read with them turned in?", piece.Name,
			piece.Plan.Spec.Hems().Cloth(k.units))
	}
	turned, err := k.yesNo("hems")
	return !turned, err
}

// yesNo reads an option that takes yes or no.
func (k *call) yesNo(name string) (bool, error) {
	switch strings.ToLower(k.String(name)) {
	case "yes", "y":
		return true, nil
	case "no", "n":
		return false, nil
	}
	return false, stash.Refuse(stash.CodeUsage, "--"+name+" yes, or --"+name+" no",
		"--%s takes yes or no", name)
}

// learnLater records whether a finished piece is to be learned from; the finish stays.
func (k *call) learnLater(tx *sqlite.Tx, piece stash.Piece) error {
	yes, err := k.yesNo("learn")
	if err != nil {
		return err
	}
	at, err := k.when()
	if err != nil {
		return err
	}
	d := stash.Draft{Kind: stash.KindLoom, Of: stash.Subject(piece.ID), At: at,
		Body: stash.LoomReading{Learn: &yes}}
	if _, err := tx.Record(d); err != nil {
		return err
	}
	piece.Learn = &yes
	shape, err := show.PieceShape(piece)
	if err != nil {
		return err
	}
	return k.answer(shape, func(w io.Writer) {
		if yes {
			fmt.Fprintf(w, "%s is learned from.\n", stash.Clean(piece.Name))
			return
		}
		fmt.Fprintf(w, "%s is set aside: nothing is learned from it. Its yarn stays as it was recorded.\n", stash.Clean(piece.Name))
	})
}
