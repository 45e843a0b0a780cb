package main

import (
	"encoding/json"
	"errors"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/people"
	"endsmeet/stash/sqlite"
)

func personAddCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "add", ArgsUsage: "NAME",
		Usage:       "Record a person, or a place such as a ward, with rules.",
		Description: ruleHelp + "\nThe rules of a preset are copied: a later change of the preset changes nobody.",
		Flags: recorded(
			presetFlag(), ruleFlag(),
			&cli.StringFlag{Name: "note", Usage: "a remark, as private as the rules: `TEXT`"}),
		Action: action(e, 1, 1, personAdd),
	}
}

func personSetCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "set", ArgsUsage: "PERSON [FIELD=VALUE ...]",
		Usage: "Change the rules or facts of a person.",
		Description: "The fields: " + fieldNames(stash.WhatPerson) +
			". gone=yes takes somebody out of the lists.\n" + ruleHelp,
		Flags: recorded(
			presetFlag(), ruleFlag(),
			&cli.StringSliceFlag{Name: "drop-rule", Usage: "remove this `RULE`; again for more"}),
		Action: action(e, 1, -1, personSet),
	}
}

func presetFlag() cli.Flag {
	return &cli.StringSliceFlag{Name: "preset",
		Usage: "add the rules of this `PRESET`; again for more"}
}

func ruleFlag() cli.Flag {
	return &cli.StringSliceFlag{Name: "rule", Usage: "add this `RULE`; again for more"}
}

func personAdd(k *call) error {
	return k.act(func(tx *sqlite.Tx) error {
		fields, err := k.newPerson(tx)
		if err != nil {
			return err
		}
		id := tx.NewID()
		_, err = tx.Record(stash.Draft{
			Kind: stash.KindPerson, Of: id, Private: true,
			Body: stash.Set{What: stash.WhatPerson, Fields: fields},
		})
		if err != nil {
			return err
		}
		p, _, err := tx.Person(stash.PersonID(id))
		if err != nil {
			return err
		}
		return k.answerPerson(tx, p, nil)
	})
}

// newPerson gives the fields of a person who is not recorded yet.
func (k *call) newPerson(tx *sqlite.Tx) (stash.Fields, error) {
	name := k.Args().First()
	if err := nameFree(tx, name, ""); err != nil {
		return nil, err
	}
	rules, err := k.rules(nil)
	if err != nil {
		return nil, err
	}
	fields := stash.Fields{}
	if fields["name"], err = stash.Value(stash.WhatPerson, "name", name); err != nil {
		return nil, err
	}
	if note := k.String("note"); note != "" {
		if fields["note"], err = stash.Value(stash.WhatPerson, "note", note); err != nil {
			return nil, err
		}
	}
	fields["rules"], err = json.Marshal(rules)
	return fields, err
}

// nameFree refuses a name that somebody else has.
func nameFree(tx *sqlite.Tx, name string, own stash.PersonID) error {
	all, err := tx.Everybody()
	for _, p := range all {
		if p.ID != own && strings.EqualFold(p.Name, stash.Clean(name)) {
			return stash.Refuse(stash.CodeRefused,
				"change them with `endsmeet person set`, or choose another name",
				"there is a person called %q already", stash.Clean(name))
		}
	}
	return err
}

// rules gives rules with what --drop-rule takes out, --preset and --rule add.
// Rules that contradict each other are refused, by their words.
func (k *call) rules(rules []stash.Rule) ([]stash.Rule, error) {
	var err error
	for _, text := range k.StringSlice("drop-rule") {
		if rules, err = typed(k, text, func(s string) ([]stash.Rule, error) { return people.Without(rules, s) }); err != nil {
			return nil, err
		}
	}
	sets := [][]stash.Rule{rules}
	for _, name := range k.StringSlice("preset") {
		preset, err := people.PresetNamed(name)
		if err != nil {
			return nil, err
		}
		sets = append(sets, preset.Rules)
	}
	rules = people.Combine(sets...)
	for _, text := range k.StringSlice("rule") {
		r, err := typed(k, text, people.ParseRule)
		if err != nil {
			return nil, err
		}
		if r.Test == "dust" {
			k.note("is lint meant as well? \"dust\" asks about stem fibres, raw fleece and glass, and about what sheds; for lint alone: --rule 'ask shedding 1'")
		}
		rules = people.With(rules, r)
	}
	return rules, contradictions(rules)
}

func contradictions(rules []stash.Rule) error {
	var all []error
	for _, c := range people.Check(rules) {
		all = append(all, c)
	}
	if len(all) == 0 {
		return nil
	}
	return stash.Refuse(stash.CodeRefused,
		"leave one out, or take one out with `endsmeet person set NAME --drop-rule RULE`", "%v",
		errors.Join(all...))
}

func personSet(k *call) error {
	return k.act(func(tx *sqlite.Tx) error {
		p, err := findPerson(tx, k.Args().First())
		if err != nil {
			return err
		}
		fields, err := k.personFields(tx, p)
		if err != nil {
			return err
		}
		changed, err := affectedBy(tx,
			func() error { return tx.SetFacts(stash.WhatPerson, stash.Subject(p.ID), fields) })
		if err != nil {
			return err
		}
		if p, _, err = tx.Person(p.ID); err != nil {
			return err
		}
		return k.answerPerson(tx, p, changed)
	})
}

// personFields gives what is to be set of a person.
func (k *call) personFields(tx *sqlite.Tx, p stash.Person) (stash.Fields, error) {
	for _, word := range k.Args().Tail() {
		if name, rule, _ := strings.Cut(word, "="); name == "rule" || name == "rules" {
			return nil, stash.Refuse(stash.CodeUsage,
				"--rule "+stash.Quote(stash.Clean(rule))+" adds one, --drop-rule takes one out",
				"rules are not a field")
		}
	}
	fields, err := k.assign(tx, stash.WhatPerson, k.Args().Tail(), stash.YarnFacts{})
	if err != nil {
		return nil, err
	}
	if len(k.StringSlice("rule"))+len(k.StringSlice("drop-rule"))+len(k.StringSlice("preset")) > 0 {
		rules, err := k.rules(p.Rules)
		if err != nil {
			return nil, err
		}
		if fields["rules"], err = json.Marshal(rules); err != nil {
			return nil, err
		}
	}
	if len(fields) == 0 {
		return nil, stash.Refuse(stash.CodeUsage,
			"give --rule, --drop-rule, --preset or FIELD=VALUE", "nothing is to be set")
	}
	return fields, settable(tx, p, fields)
}

// settable refuses to lose somebody's name, to take another's, and to mark
// gone whom an open piece is for.
func settable(tx *sqlite.Tx, p stash.Person, fields stash.Fields) error {
	if raw, given := fields["name"]; given {
		var name string
		if json.Unmarshal(raw, &name) != nil || name == "" {
			return stash.Refuse(stash.CodeInput, "to take them out of the lists set gone=yes",
				"a person has a name")
		}
		if err := nameFree(tx, name, p.ID); err != nil {
			return err
		}
	}
	if string(fields["gone"]) != "true" {
		return nil
	}
	open, err := openPiecesFor(tx, p.ID)
	if err == nil && len(open) > 0 {
		return stash.Refuse(stash.CodeRefused, "finish or abandon that first",
			"%s is for this person and still open", strings.Join(open, ", "))
	}
	return err
}

// unnamed refuses to undo the recording of somebody whom a project names: their
// rules would be gone without a word.
func unnamed(tx *sqlite.Tx, id stash.PersonID, but map[stash.Subject]bool) error {
	projects, err := tx.Projects()
	for _, b := range projects {
		if b.For == id && !but[stash.Subject(b.ID)] {
			return stash.Refuse(stash.CodeRefused, "first `"+stash.Command("project set", b.Name,
				"for=-")+"`", "the project %s is for this person", b.Name)
		}
	}
	if err != nil {
		return err
	}
	open, err := openPiecesFor(tx, id)
	if err == nil && len(open) > 0 {
		return stash.Refuse(stash.CodeRefused, "finish or abandon that first",
			"%s is for this person and still open", strings.Join(open, ", "))
	}
	return err
}
