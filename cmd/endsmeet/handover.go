package main

import (
	"errors"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

// handOverFlags say who gets yarn: a recorded person is one, whichever of the
// options names them.
func handOverFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "for",
			Usage: "the recorded `PERSON` it is for, whose rules are kept, where somebody else takes it along"},
		&cli.StringFlag{Name: "to",
			Usage: "`WHO` has it now: any name; if it is a recorded person, their rules are kept"},
		&cli.BoolFlag{Name: "new",
			Usage: "the name after --to is not that of a recorded person, however alike"},
		overrideFlag(),
	}
}

// receiver finds who gets yarn: the person of --for, else the recorded one whom
// --to names.
func (k *call) receiver(tx *sqlite.Tx) (verdict.Whom, error) {
	if name := k.String("for"); name != "" {
		person, err := findPerson(tx, name)
		return verdict.Whom{Person: &person}, err
	}
	name := k.String("to")
	if name == "" || k.Bool("new") {
		return verdict.Whom{}, nil
	}
	person, err := findPerson(tx, name)
	var refusal *stash.Error
	switch {
	case err == nil:
		return verdict.Whom{Person: &person}, nil
	case errors.As(err, &refusal) && refusal.Code == stash.CodeAmbiguous:
		return verdict.Whom{}, err
	}
	return verdict.Whom{}, nearPerson(tx, name)
}

// nearPerson asks about a name that is none of a recorded person and may be meant for one:
// nobody's rules are to be passed by for a slip, a title or a nickname. It gives the
// recorded name away to nobody.
func nearPerson(tx *sqlite.Tx, name string) error {
	meant, err := whoMayBe(tx, name)
	if err != nil || len(meant) == 0 {
		return err
	}
	return stash.Refuse(stash.CodeAmbiguous,
		"Type the name as `endsmeet person list` has it; if it is somebody else add --new.",
		"%q may be a recorded person", stash.Clean(name))
}

// whoMayBe lists everybody recorded whom some words may name.
func whoMayBe(tx *sqlite.Tx, words string) ([]stash.Person, error) {
	all, err := tx.Everybody()
	return slices.DeleteFunc(all, func(p stash.Person) bool { return !stash.MayBePerson(words, p.Name) }), err
}

// handOver asks the gate whether a package may reach whom it is handed to, and
// keeps the reason for handing it on in spite of the answer: with the person,
// where it stays private, else in the remark of the movement.
func (k *call) handOver(tx *sqlite.Tx, p stash.Package, m *stash.Move) (verdict.Verdict, error) {
	whom, err := k.receiver(tx)
	if err != nil {
		return verdict.Verdict{}, err
	}
	if whom.Person == nil && !whom.Elsewhere && k.String("to") == "" {
		k.note("nobody is named, so nobody's rules were looked at: --to WHO says who has it")
	}
	m.Person = whom.ID()
	s, err := namedShelf(tx, []stash.Ref{{Package: p.ID}})
	if err != nil {
		return verdict.Verdict{}, err
	}
	v := verdict.OfYarn(s, s.Yarns[p.Yarn], []stash.Package{p}, whom)
	reason := stash.Clean(k.String("override"))
	if err := k.refused(v, nil); err != nil {
		return v, err
	}
	o, private, any := v.Aside(reason, whom.ID())
	switch {
	case private:
		m.Note = strings.TrimPrefix(m.Note+"; handed on in spite of a rule", "; ")
		err = recordAsideOf(tx, o, p.ID, m.At)
	case any:
		m.Note = strings.TrimPrefix(m.Note+"; in spite of "+strings.Join(o.Rules, ", ")+": "+reason,
			"; ")
	}
	return v, err
}

// recordAsideOf keeps, with the person and as private as their rules, why these were set
// aside for a package.
func recordAsideOf(tx *sqlite.Tx, o stash.Override, p stash.PackageID, at time.Time) error {
	o.Package = p
	_, err := tx.Record(stash.Draft{Kind: stash.KindOverride, Of: stash.Subject(o.Person),
		At: at, Private: true, Body: o})
	return err
}
