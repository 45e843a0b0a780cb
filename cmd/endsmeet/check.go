package main

import (
	"fmt"
	"io"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func checkCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "check", Category: groupLooking,
		Usage: "Check that every gram is accounted for and the file is whole.",
		Description: "Verifies the file, the chain of everything that was recorded, and that\n" +
			"received = held + used + discarded + given + unexplained;\n" +
			"then names items that should be weighed or looked at.",
		Action: action(e, 0, 0, check),
	}
}

// checked is the JSON shape of a check.
type checked struct {
	OK            bool             `json:"ok"`
	Findings      []sqlite.Finding `json:"findings"`
	ReceivedMg    measure.Mass     `json:"received_mg"`
	HeldMg        measure.Mass     `json:"held_mg"`
	UsedMg        measure.Mass     `json:"used_mg"`
	DiscardedMg   measure.Mass     `json:"discarded_mg"`
	GivenMg       measure.Mass     `json:"given_mg"`
	UnexplainedMg measure.Mass     `json:"unexplained_mg"`
	// LooseMg is the part of what was used that went into no piece, and BeforeMg the part
	// of what was received that had left its item when that was first weighed.
	LooseMg  measure.Mass `json:"used_loose_mg"`
	BeforeMg measure.Mass `json:"received_before_mg"`
	// OverdrawnMg is what was taken of items beyond what they held: what is held is that
	// much less than what the items show that hold something.
	OverdrawnMg measure.Mass `json:"overdrawn_mg"`
}

func check(k *call) error {
	defer keepWithin(streamMemory)()
	var fault error
	err := k.view(func(tx *sqlite.Tx) error {
		r, err := tx.Check()
		if err != nil {
			return err
		}
		if !r.OK() {
			fault = stash.Refuse(stash.CodeDamaged,
				"keep the file as it is and restore a backup next to it",
				"the stash is not as it should be")
		}
		shape := checked{r.OK(), r.Findings, r.Received, r.Held, r.Used, r.Discarded, r.Given,
			r.Unexplained, r.Loose, r.Before, r.Overdrawn}
		if shape.Findings == nil {
			shape.Findings = []sqlite.Finding{}
		}
		return k.answer(shape, func(w io.Writer) { printCheck(w, r, k.units) })
	})
	if err != nil {
		return err
	}
	return fault
}

// beyond names what was taken of items that held less: the rest of the table lacks it.
const beyond = "taken beyond what was there"

func printCheck(w io.Writer, r sqlite.Report, units measure.System) {
	if r.OK() {
		fmt.Fprintln(w, "The stash is whole: every gram is accounted for.")
	}
	t := show.NewTable("where the yarn went", ">weight")
	said := measure.Balanced(units, r.Received, -r.Held-r.Overdrawn, r.Overdrawn, r.Loose-r.Used,
		-r.Loose, -r.Discarded, -r.Given, -r.Unexplained)
	t.Add("received", said[0])
	for i, name := range []string{"held, at home or lent", beyond, "used in pieces", "used otherwise",
		"discarded", "given away", "unexplained"} {
		if name != beyond || r.Overdrawn > 0 {
			t.Add(name, measure.Opposite(said[i+1]))
		}
	}
	t.Print(w)
	if r.Before > 0 {
		fmt.Fprint(w, show.Wrap(fmt.Sprintf("%s of what was received had left its item when that was first weighed.",
			r.Before.Format(units)), "  ", show.RoomOf(w)))
	}
	for _, f := range r.Findings {
		fmt.Fprint(w, show.Wrap(f.Message, "  ", show.RoomOf(w)))
	}
}
