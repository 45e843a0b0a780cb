package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func setCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "set", Category: groupYarn, ArgsUsage: "ITEM|YARN FIELD=VALUE ...",
		Usage: "Change facts of a yarn, or of one ball or cone.",
		Description: "The fields of a ball, cone or other item: " + fieldNames(stash.WhatPackage) +
			"\nThe fields of a yarn: " + fieldNames(stash.WhatYarn) +
			"\nFIELD=unknown clears one. Setting a field on which two machines disagree settles it.\n" +
			"A promise, reserve=\"60g for NAME\", keeps to the rules of a recorded person.\n" +
			"`endsmeet help receive` tells what each field means. A weight is not set: `endsmeet weigh`.",
		Flags:  recorded(fromFlag(), overrideFlag()),
		Action: action(e, 0, -1, set),
	}
}

func fieldNames(what stash.What) string {
	var names []string
	for _, f := range stash.FieldsOf(what) {
		names = append(names, f.Name)
	}
	return strings.Join(names, ", ")
}

func set(k *call) error {
	if k.String("from") != "" {
		return k.setList()
	}
	if k.NArg() < 2 {
		return tooFew(k.Context)
	}
	return k.act(func(tx *sqlite.Tx) error {
		one, err := k.setOne(tx, k.Args().First(), k.Args().Tail())
		if err != nil {
			return err
		}
		return k.answerSet(tx, one)
	})
}

// wasSet is a target with what was set of it, and what that changed elsewhere.
type wasSet struct {
	target
	ofPackage, ofYarn stash.Fields
	concerned         []show.Affected
}

// setOne records values of a target.
func (k *call) setOne(tx *sqlite.Tx, name string, values []string) (one wasSet, err error) {
	if one.target, err = findTarget(tx, name); err != nil {
		return one, err
	}
	if one.ofPackage, one.ofYarn, err = one.divide(k, tx, values); err != nil {
		return one, err
	}
	change := func() error { return k.setTarget(tx, one.target, one.ofPackage, one.ofYarn) }
	if len(one.ofYarn) > 0 || one.ofPackage["yarn"] != nil {
		one.concerned, err = affectedBy(tx, change)
	} else {
		err = change()
	}
	return one, err
}

// setList records the same values of every item of a list: of all, or of none.
func (k *call) setList() error {
	if k.NArg() < 1 {
		return stash.Refuse(stash.CodeUsage, "Write endsmeet set --from FILE FIELD=VALUE",
			"Say what to set.")
	}
	lines, err := k.lines()
	if err != nil {
		return err
	}
	return k.act(func(tx *sqlite.Tx) error {
		var bad []lineError
		var all []wasSet
		var ids []stash.PackageID
		for _, l := range lines {
			one, err := k.setOne(tx, l.whole(), k.Args().Slice())
			if err != nil {
				bad = append(bad, lineError{l.place, err})
				continue
			}
			all = append(all, one)
			if one.pack != nil {
				ids = append(ids, one.pack.ID)
			}
		}
		if err := k.allBad(bad); err != nil {
			return err
		}
		return k.answerPackages(tx, ids, func(w io.Writer, items []show.Item) {
			for _, one := range all {
				one.print(w)
				show.PrintAffected(w, one.concerned)
			}
			for _, it := range items {
				fmt.Fprintf(w, "  %s\n", it.Line(k.units))
			}
		})
	})
}

// print says what was set.
func (s wasSet) print(w io.Writer) {
	for _, line := range s.setLines(s.ofPackage, s.ofYarn) {
		fmt.Fprintln(w, stash.Clean(line))
	}
}

// speaks says whether words were set, or the fibre that may answer them.
func (s wasSet) speaks() bool {
	return slices.ContainsFunc([]string{"fibre", "name", "note", "colour", "source", "odour"},
		func(name string) bool { return s.ofPackage[name] != nil || s.ofYarn[name] != nil })
}

// target is what a set speaks of: a yarn, or a package and through it its
// yarn.
type target struct {
	pack *stash.Package
	yarn stash.Yarn
	name string
}

// findTarget finds a yarn by its whole name, else a package by its tag or id, which
// wins over the beginning of a name.
func findTarget(tx *sqlite.Tx, query string) (t target, err error) {
	t.name = query
	var found bool
	if t.yarn, found, err = tx.YarnCalled(query); err != nil || found {
		return t, err
	}
	ids, err := tx.FindPackages(query)
	if len(ids) != 1 {
		if y, yarnErr := tx.FindYarn(query); yarnErr == nil {
			t.yarn = y
			return t, nil
		}
	}
	if err != nil {
		return t, err
	}
	return t, t.fromPackages(tx, ids)
}

// is says whether an id is that of the yarn, or of the one package.
func (t target) is(of stash.Subject) bool {
	return of == stash.Subject(t.yarn.ID) || t.pack != nil && of == stash.Subject(t.pack.ID)
}

// fromPackages takes the one package found, or the yarn that all of them are of.
func (t *target) fromPackages(tx *sqlite.Tx, ids []stash.PackageID) error {
	for i, id := range ids {
		p, _, err := tx.Package(id)
		if err != nil {
			return err
		}
		if i > 0 && p.Yarn != t.yarn.ID {
			_, err := tx.FindPackage(t.name)
			return err
		}
		if t.yarn, _, err = tx.Yarn(p.Yarn); err != nil {
			return err
		}
		if len(ids) == 1 {
			t.pack = &p
		}
	}
	return nil
}

// divide reads the assignments and says which are of the package and which of
// the yarn. A field that both have belongs to what was named.
func (t target) divide(k *call, tx *sqlite.Tx, words []string) (ofPackage, ofYarn stash.Fields,
	err error) {
	if err := paired(words, stash.WhatPackage, stash.WhatYarn); err != nil {
		return nil, nil, err
	}
	var packageWords, yarnWords []string
	for _, word := range words {
		name, _, _ := strings.Cut(word, "=")
		_, packErr := stash.FieldOf(stash.WhatPackage, fieldName(name))
		_, yarnErr := stash.FieldOf(stash.WhatYarn, fieldName(name))
		switch {
		case packErr == nil && (yarnErr != nil || t.pack != nil):
			packageWords = append(packageWords, word)
		case packErr != nil && yarnErr != nil && t.pack != nil:
			return nil, nil, noSuchFact(name, packErr)
		default:
			yarnWords = append(yarnWords, word)
		}
	}
	if ofPackage, err = k.assign(tx, stash.WhatPackage, packageWords, stash.YarnFacts{}); err != nil {
		return nil, nil, err
	}
	ofYarn, err = k.assign(tx, stash.WhatYarn, yarnWords, t.yarn.YarnFacts)
	return ofPackage, ofYarn, err
}

// factNames are the fields of packages and yarns.
func factNames() []string {
	var names []string
	for _, f := range slices.Concat(stash.FieldsOf(stash.WhatPackage),
		stash.FieldsOf(stash.WhatYarn)) {
		names = append(names, f.Name)
	}
	return names
}

// noSuchFact refuses a name that is no fact of a package or a yarn.
func noSuchFact(name string, err error) error {
	switch strings.ToLower(strings.TrimSpace(name)) {
	case "net", "gross", "held", "mass", "weight":
		return stash.Refuse(stash.CodeInput,
			"`endsmeet weigh ITEM WEIGHT`, with --net if that is of the yarn alone",
			"what an item holds is not set but weighed")
	}
	var field *stash.ValueError
	if errors.As(err, &field) {
		return stash.Refuse(stash.CodeInput,
			stash.DidYouMean(name, factNames())+"`endsmeet help set` lists them",
			"neither an item nor its yarn has a field %q", stash.Clean(name))
	}
	return err
}

func (k *call) setTarget(tx *sqlite.Tx, t target, ofPackage, ofYarn stash.Fields) error {
	if len(ofPackage) > 0 {
		p := t.pack
		if p == nil {
			found, err := tx.FindPackage(t.name)
			if err != nil {
				return err
			}
			p = &found
		}
		if err := tx.TagFree(ofPackage); err != nil {
			return err
		}
		if err := tx.SetFacts(stash.WhatPackage, stash.Subject(p.ID), ofPackage); err != nil {
			return err
		}
		if err := cmp.Or(k.bearable(tx, *p, ofPackage), k.promise(tx, *p, ofPackage)); err != nil {
			return err
		}
	}
	if len(ofYarn) == 0 {
		return nil
	}
	if err := k.renameYarn(tx, t.yarn, ofYarn); err != nil {
		return err
	}
	settings, err := tx.Settings()
	if err == nil {
		err = k.asRead(t.yarn.CountClash(ofYarn, settings.Doubts, k.units))
	}
	if err != nil {
		return err
	}
	if err := k.noteSystem(tx, t.yarn, ofYarn); err != nil {
		return err
	}
	return tx.SetFacts(stash.WhatYarn, stash.Subject(t.yarn.ID), ofYarn)
}

// noteSystem says of a count that was measured in which system the number that stands with
// the yarn, without its base, agrees with it.
func (k *call) noteSystem(tx *sqlite.Tx, y stash.Yarn, fields stash.Fields) error {
	var count stash.CountFact
	if json.Unmarshal(fields["count"], &count) != nil || !count.Measured() {
		return nil
	}
	settings, err := tx.Settings()
	for _, r := range count.Named(y.Name+" "+y.Note, settings.Doubts) {
		k.note("that agrees with %s, %s", r.Written, r.Count.Format(k.units))
	}
	return err
}

// renameYarn refuses the name of another yarn, and tells of one that is nearly it.
func (k *call) renameYarn(tx *sqlite.Tx, y stash.Yarn, fields stash.Fields) error {
	if fields["name"] == nil {
		return nil
	}
	yarns, err := tx.Yarns()
	if err != nil {
		return err
	}
	name := fields.Text("name")
	var known stash.Names
	for _, other := range yarns {
		if other.ID == y.ID {
			continue
		}
		if stash.Fold(other.Name) == stash.Fold(name) {
			return stash.Refuse(stash.CodeRefused,
				"if they are one, for each item of it: "+stash.Command("set", "ITEM",
					"yarn="+other.Name), "%s is the name of another yarn", other.Name)
		}
		known.Add(other.Name)
	}
	if near, ok := known.Near(name); ok {
		k.note("%s is nearly the name of %s, which stays another yarn", stash.Clean(name), near)
	}
	return nil
}

// bearable refuses a tare above the gross that was weighed, and asks about one that
// leaves next to nothing.
func (k *call) bearable(tx *sqlite.Tx, before stash.Package, fields stash.Fields) error {
	if fields["tare"] == nil {
		return nil
	}
	after, _, err := tx.Package(before.ID)
	if err != nil || after.Tare == nil || before.Held < 0 || after.Held >= before.Held {
		return err
	}
	if after.Held >= 0 {
		return k.credible(before, stash.Move{At: before.Moved, Reading: stash.Reading{Net: &after.Held}})
	}
	return stash.Refuse(stash.CodeInput, "weigh the empty cone again, or the full one",
		"a tare of that much is above what %s weighed with it", before.Label())
}

// answerSet tells what was set, and which open pieces that concerns: with
// JSON on standard error, for the answer is the list of packages.
func (k *call) answerSet(tx *sqlite.Tx, t wasSet) error {
	ids, err := tx.FindPackages(t.name)
	if err != nil || t.pack != nil {
		ids = nil
	}
	if t.pack != nil {
		ids = []stash.PackageID{t.pack.ID}
	}
	err = k.answerPackages(tx, ids, func(w io.Writer, items []show.Item) {
		t.print(w)
		for _, it := range items {
			fmt.Fprintf(w, "  %s\n", it.Line(k.units))
		}
		if len(items) > 0 && t.speaks() {
			show.PrintStillAsked(w, items[0], t.ofPackage)
		}
		show.PrintAffected(w, t.concerned)
	})
	if tell := k.tell; k.asJSON() && tell != nil {
		k.tell = func() error {
			show.PrintAffected(k.env.stderr, t.concerned)
			return tell()
		}
	}
	return err
}

// setLines tell what was set of the package and what of its yarn, which all
// its packages share.
func (t target) setLines(ofPackage, ofYarn stash.Fields) []string {
	names := func(f stash.Fields) string { return strings.Join(slices.Sorted(maps.Keys(f)), ", ") }
	var lines []string
	if len(ofPackage) > 0 {
		label := t.name
		if t.pack != nil {
			label = t.pack.Label()
		}
		lines = append(lines, fmt.Sprintf("set %s of %s %s", names(ofPackage), label, t.yarn.Name))
	}
	if len(ofYarn) > 0 {
		lines = append(lines, fmt.Sprintf("set %s of %s, for all its items", names(ofYarn),
			t.yarn.Name))
	}
	return lines
}
