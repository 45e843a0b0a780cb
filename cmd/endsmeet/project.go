package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/planner/kinds"
	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

func projectCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "project", Category: groupMaking, ArgsUsage: "add|list|show|set ...",
		Usage: "Describe what you want to make: size, sett, yarns, who it is for.",
		Subcommands: []*cli.Command{
			{
				Name: "add", ArgsUsage: "NAME", Usage: "Describe a new project.",
				Description: "Sizes are of the finished cloth, without fringe. A loss you leave out is taken\n" +
					"from your own finished pieces, or from a handbook, and shown.",
				Flags:  recorded(append(projectFlags(), draftFlags()...)...),
				Action: action(e, 1, 1, projectAdd),
			},
			{Name: "list", Usage: "List the projects.", Action: action(e, 0, 0, projectList)},
			{Name: "show", ArgsUsage: "PROJECT", Usage: "Show a project.",
				Action: action(e, 1, 1, projectShow)},
			{
				Name: "set", ArgsUsage: "PROJECT FIELD=VALUE ...",
				Usage:       "Change facts of a project.",
				Description: "The fields: " + fieldNames(stash.WhatProject) + ". `endsmeet help project add` tells what each means.", Flags: recorded(),
				Action: action(e, 2, -1, projectSet),
			},
		},
	}
}

// plainProjectFacts are the facts of a project that refer to nothing else.
func plainProjectFacts() []string {
	var names []string
	for _, f := range stash.FieldsOf(stash.WhatProject) {
		if f.Refers == "" && f.Name != "name" {
			names = append(names, f.Name)
		}
	}
	return names
}

// projectFlags are the options for a project: one for each field, --size WxL, and
// the yarns and the person.
func projectFlags() []cli.Flag {
	return append(factFlags(stash.WhatProject, plainProjectFacts()...),
		&cli.StringSliceFlag{Name: "warp", Usage: "a `YARN` or item for the warp; again for more"},
		&cli.StringSliceFlag{Name: "weft", Usage: "a `YARN` or item for the weft; again for more"},
		&cli.StringSliceFlag{Name: "hemstitch-yarn",
			Usage: "the `YARN` for hemstitching, if not the weft"},
		&cli.StringFlag{Name: "for", Usage: "the `PERSON` it is for"})
}

// changesProject says whether an option of projectFlags was given.
func (k *call) changesProject() bool {
	for _, f := range append(append(projectFlags(), withFlags()...), largestFlag()) {
		if k.IsSet(f.Names()[0]) {
			return true
		}
	}
	return false
}

// projectFields reads the options of projectFlags.
func (k *call) projectFields(tx *sqlite.Tx) (stash.Fields, error) {
	fields, err := k.facts(stash.WhatProject, plainProjectFacts()...)
	if err != nil {
		return nil, err
	}
	for _, name := range []string{"warp", "weft", "hemstitch_yarn"} {
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
		fields["for"], err = k.fieldValue(tx, stash.WhatProject, "for", name)
	}
	return fields, err
}

func projectAdd(k *call) error {
	draft, err := k.draft()
	if err != nil {
		return err
	}
	return k.act(func(tx *sqlite.Tx) error {
		name := k.Args().First()
		projects, err := tx.Projects()
		if err != nil {
			return err
		}
		for _, b := range projects {
			if strings.EqualFold(b.Name, stash.Clean(name)) {
				return stash.Refuse(stash.CodeRefused,
					"change it with `endsmeet project set`, or choose another name",
					"there is a project called %q already", b.Name)
			}
		}
		fields, err := k.projectFields(tx)
		if err == nil {
			err = k.draftFields(tx, draft, fields)
		}
		if err != nil {
			return err
		}
		if fields["name"], err = stash.Value(stash.WhatProject, "name", name); err != nil {
			return err
		}
		id := tx.NewID()
		if _, err := tx.Record(stash.Draft{Kind: stash.KindProject, Of: id,
			Body: stash.Set{What: stash.WhatProject, Fields: fields}}); err != nil {
			return err
		}
		b, _, err := tx.Project(stash.ProjectID(id))
		if err != nil {
			return err
		}
		k.noteKind(b)
		return k.showProject(tx, b)
	})
}

// noteKind says of a kind that is no usual one and much like it which is probably meant: a
// weaver may have kinds of their own.
func (k *call) noteKind(b stash.Project) {
	usual := kinds.Usual()
	if _, known := kinds.Named(usual, b.Kind); known || b.Kind == "" {
		return
	}
	var names []string
	for _, one := range usual {
		names = append(names, one.Name)
	}
	if near, found := stash.Nearest(b.Kind, names); found {
		k.note("%q is no usual kind. If it is a %s: %s", stash.Clean(b.Kind), near,
			stash.Command("project set", b.Name, "kind="+near))
	}
}

func projectSet(k *call) error {
	return k.act(func(tx *sqlite.Tx) error {
		b, err := tx.FindProject(k.Args().First())
		if err != nil {
			return err
		}
		fields, err := k.assign(tx, stash.WhatProject, k.Args().Tail(), stash.YarnFacts{})
		if err == nil {
			err = stash.OneFringe(fields)
		}
		if err != nil {
			return err
		}
		fields = b.ByWidth(fields)
		if err := tx.SetFacts(stash.WhatProject, stash.Subject(b.ID), fields); err != nil {
			return err
		}
		if b, _, err = tx.Project(b.ID); err != nil {
			return err
		}
		return k.showProject(tx, b)
	})
}

func projectShow(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		b, err := tx.FindProject(k.Args().First())
		if err != nil {
			return err
		}
		return k.showProject(tx, b)
	})
}

func projectList(k *call) error {
	return k.view(func(tx *sqlite.Tx) error {
		projects, err := tx.Projects()
		if err != nil {
			return err
		}
		pieces, err := tx.Pieces(false)
		if err != nil {
			return err
		}
		var items []show.ProjectItem
		for _, b := range projects {
			it := show.ProjectItem{ID: b.ID, Name: b.Name, Kind: stash.Known(b.Kind),
				WidthMm: knownLength(b.Width), LengthMm: knownLength(b.Length)}
			for _, p := range pieces {
				if p.Project == b.ID && p.State != "" {
					it.Pieces = append(it.Pieces, p.Name+" ("+string(p.State)+")")
				}
			}
			items = append(items, it)
		}
		return k.answer(items, func(w io.Writer) { show.PrintProjects(w, items, k.units) })
	})
}

func knownLength(l measure.Length) *measure.Length {
	if l == 0 {
		return nil
	}
	return &l
}

func (k *call) showProject(tx *sqlite.Tx, b stash.Project) error {
	facts, err := tx.Facts(stash.Subject(b.ID))
	if err != nil {
		return err
	}
	shown := facts.Shown()
	lines, err := k.projectLines(tx, b, shown)
	if err != nil {
		return err
	}
	shape, err := show.ProjectShape(b.ProjectFacts)
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

// projectLines shows every fact of a project in the order of its fields.
func (k *call) projectLines(tx *sqlite.Tx, b stash.Project, shown stash.Fields) ([]string, error) {
	var names, texts []string
	widest := 14
	for _, f := range stash.FieldsOf(stash.WhatProject) {
		raw, stated := shown[f.Name]
		if !stated || f.Name == "name" || string(raw) == "null" {
			continue
		}
		text, err := k.factWords(tx, f, raw)
		if err != nil {
			return nil, err
		}
		names = append(names, strings.ReplaceAll(f.Name, "_", " "))
		texts = append(texts, stash.Clean(text))
		widest = max(widest, len(f.Name))
	}
	for i, text := range texts {
		names[i] = fmt.Sprintf("%-*s %s", widest, names[i], text)
	}
	return names, nil
}

// FactWords shows the JSON value of a project's field as a person reads it.
func (k *call) factWords(tx *sqlite.Tx, f stash.Field, raw json.RawMessage) (string, error) {
	switch f.Refers {
	case stash.WhatPackage:
		return k.refWords(tx, raw)
	case stash.WhatPerson:
		p, found, err := tx.Person(stash.PersonID(stash.Fields{f.Name: raw}.Text(f.Name)))
		if !found {
			return "somebody recorded on another machine", err
		}
		return p.Name, err
	}
	return stash.ProjectWords(f.Name, raw, k.units), nil
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
