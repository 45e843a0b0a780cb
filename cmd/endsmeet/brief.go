package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func briefCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "brief", Category: groupMaking, ArgsUsage: "add|list|show|set ...",
		Usage: "what you want to make: kind, size, sett, yarns, recipient",
		Subcommands: []*cli.Command{
			{
				Name: "add", ArgsUsage: "NAME", Usage: "write a brief",
				Description: "Sizes are of the finished cloth, without fringe. A loss that you leave out is\ntaken from your own finished pieces, else from a handbook value, and shown.",
				Flags:       append(briefFlags(), draftFlags()...), Action: action(e, 1, 1, briefAdd),
			},
			{Name: "list", Usage: "list the briefs", Action: action(e, 0, 0, briefList)},
			{Name: "show", ArgsUsage: "NAME", Usage: "show a brief", Action: action(e, 1, 1, briefShow)},
			{
				Name: "set", ArgsUsage: "NAME FIELD=VALUE ...", Usage: "state or correct facts of a brief",
				Description: "The fields: " + fieldNames(stash.WhatBrief), Action: action(e, 2, -1, briefSet),
			},
		},
	}
}

// plainBriefFacts are the facts of a brief that refer to nothing else.
func plainBriefFacts() []string {
	var names []string
	for _, f := range stash.FieldsOf(stash.WhatBrief) {
		if f.Refers == "" && f.Name != "name" {
			names = append(names, f.Name)
		}
	}
	return names
}

// briefFlags are the options for a brief: one for each field, --size WxL, and
// the yarns and the person.
func briefFlags() []cli.Flag {
	return append(factFlags(stash.WhatBrief, plainBriefFacts()...),
		&cli.StringSliceFlag{Name: "warp", Usage: "a `YARN` or package for the warp; again for more"},
		&cli.StringSliceFlag{Name: "weft", Usage: "a `YARN` or package for the weft; again for more"},
		&cli.StringSliceFlag{Name: "hem-yarn", Usage: "the `YARN` that stitches the edges, if not the weft"},
		&cli.StringFlag{Name: "for", Usage: "the `PERSON` it is for"})
}

// changesBrief says whether an option of briefFlags was given.
func (k *call) changesBrief() bool {
	for _, f := range append(briefFlags(), endsFlag()) {
		if k.IsSet(f.Names()[0]) {
			return true
		}
	}
	return false
}

// briefFields reads the options of briefFlags.
func (k *call) briefFields(tx *sqlite.Tx) (stash.Fields, error) {
	fields, err := k.facts(stash.WhatBrief, plainBriefFacts()...)
	if err != nil {
		return nil, err
	}
	for _, name := range []string{"warp", "weft", "hem_yarn"} {
		words := k.StringSlice(flagName(name))
		if len(words) == 0 {
			continue
		}
		refs, err := findRefs(tx, words)
		if err != nil {
			return nil, err
		}
		if fields[name], err = json.Marshal(refs); err != nil {
			return nil, err
		}
	}
	if name := k.String("for"); name != "" {
		fields["for"], err = fieldValue(tx, stash.WhatBrief, "for", name)
	}
	return fields, err
}

func briefAdd(k *call) error {
	draft, err := k.draft()
	if err != nil {
		return err
	}
	return k.act(func(tx *sqlite.Tx) error {
		name := k.Args().First()
		briefs, err := tx.Briefs()
		if err != nil {
			return err
		}
		for _, b := range briefs {
			if strings.EqualFold(b.Name, stash.Clean(name)) {
				return stash.Refuse(stash.CodeRefused, "change it with `endsmeet brief set`, or choose another name", "there is a brief called %q already", b.Name)
			}
		}
		fields, err := k.briefFields(tx)
		if err == nil {
			err = k.draftFields(tx, draft, fields)
		}
		if err != nil {
			return err
		}
		if fields["name"], err = stash.Value(stash.WhatBrief, "name", name); err != nil {
			return err
		}
		id := tx.NewID()
		if _, err := tx.Record(stash.Draft{Kind: stash.KindBrief, Of: id, Body: stash.Set{What: stash.WhatBrief, Fields: fields}}); err != nil {
			return err
		}
		b, _, err := tx.Brief(stash.BriefID(id))
		if err != nil {
			return err
		}
		return k.showBrief(tx, b)
	})
}

func briefSet(k *call) error {
	return k.act(func(tx *sqlite.Tx) error {
		b, err := tx.FindBrief(k.Args().First())
		if err != nil {
			return err
		}
		fields, err := assign(tx, stash.WhatBrief, k.Args().Tail(), "")
		if err != nil {
			return err
		}
		if err := k.setFacts(tx, stash.WhatBrief, stash.Subject(b.ID), fields); err != nil {
			return err
		}
		if b, _, err = tx.Brief(b.ID); err != nil {
			return err
		}
		return k.showBrief(tx, b)
	})
}

func briefShow(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		b, err := tx.FindBrief(k.Args().First())
		if err != nil {
			return err
		}
		return k.showBrief(tx, b)
	})
}

// briefItem is the JSON shape of a brief in a list.
type briefItem struct {
	ID       stash.BriefID   `json:"id"`
	Name     string          `json:"name"`
	Kind     *string         `json:"kind"`
	WidthMm  *measure.Length `json:"width_mm"`
	LengthMm *measure.Length `json:"length_mm"`
	Pieces   []string        `json:"pieces"`
}

func briefList(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		briefs, err := tx.Briefs()
		if err != nil {
			return err
		}
		pieces, err := tx.Pieces(false)
		if err != nil {
			return err
		}
		items := []briefItem{}
		for _, b := range briefs {
			it := briefItem{ID: b.ID, Name: b.Name, Kind: known(b.Kind), WidthMm: knownLength(b.Width), LengthMm: knownLength(b.Length), Pieces: []string{}}
			for _, p := range pieces {
				if p.Brief == b.ID && p.State != "" {
					it.Pieces = append(it.Pieces, p.Name+" ("+string(p.State)+")")
				}
			}
			items = append(items, it)
		}
		return k.answer(items, func(w io.Writer) { printBriefs(w, items, k.units) })
	})
}

func knownLength(l measure.Length) *measure.Length {
	if l == 0 {
		return nil
	}
	return &l
}

func printBriefs(w io.Writer, items []briefItem, units measure.System) {
	if len(items) == 0 {
		fmt.Fprintln(w, "no brief yet; `endsmeet brief add NAME` writes one")
		return
	}
	t := newTable("brief", "kind", "finished size", "pieces")
	for _, it := range items {
		kind, size := "", ""
		if it.Kind != nil {
			kind = *it.Kind
		}
		if it.WidthMm != nil && it.LengthMm != nil {
			size = it.WidthMm.Cloth(units) + " x " + it.LengthMm.Cloth(units)
		}
		t.add(it.Name, kind, size, strings.Join(it.Pieces, ", "))
	}
	t.print(w)
}

func (k *call) showBrief(tx *sqlite.Tx, b stash.Brief) error {
	facts, err := tx.Facts(stash.Subject(b.ID))
	if err != nil {
		return err
	}
	shown := facts.Shown()
	lines, err := k.briefLines(tx, b, shown)
	if err != nil {
		return err
	}
	shape, err := briefShape(b.BriefFacts)
	if err != nil {
		return err
	}
	shape["id"], shape["disputed"] = b.ID, b.Disputed
	return k.answer(shape, func(w io.Writer) {
		fmt.Fprintln(w, stash.Clean(b.Name))
		for _, line := range lines {
			fmt.Fprintln(w, "  "+line)
		}
	})
}

// briefLines shows every fact of a brief in the order of its fields.
func (k *call) briefLines(tx *sqlite.Tx, b stash.Brief, shown stash.Fields) ([]string, error) {
	var lines []string
	for _, f := range stash.FieldsOf(stash.WhatBrief) {
		raw, stated := shown[f.Name]
		if !stated || f.Name == "name" || string(raw) == "null" {
			continue
		}
		text, err := k.factWords(tx, f, raw)
		if err != nil {
			return nil, err
		}
		lines = append(lines, fmt.Sprintf("%-14s %s", strings.ReplaceAll(f.Name, "_", " "), stash.Clean(text)))
	}
	return lines, nil
}

// factWords shows the JSON value of a brief's field as a person reads it.
func (k *call) factWords(tx *sqlite.Tx, f stash.Field, raw json.RawMessage) (string, error) {
	switch f.Refers {
	case stash.WhatPackage:
		return k.refWords(tx, raw)
	case stash.WhatPerson:
		p, found, err := tx.Person(stash.PersonID(unquoted(raw)))
		if !found {
			return "somebody recorded on another machine", err
		}
		return p.Name, err
	}
	return stash.BriefWords(f.Name, raw, k.units), nil
}

func (k *call) refWords(tx *sqlite.Tx, raw json.RawMessage) (string, error) {
	var refs []stash.Ref
	if err := json.Unmarshal(raw, &refs); err != nil {
		return "", err
	}
	var words []string
	for _, r := range refs {
		id := stash.Subject(r.Yarn)
		if r.Package != "" {
			id = stash.Subject(r.Package)
		}
		name, err := k.nameOf(tx, id)
		if err != nil {
			return "", err
		}
		words = append(words, name)
	}
	return strings.Join(words, ", "), nil
}
