package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/importers/intake"
	"endsmeet/importers/label"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

const labelHelp = "--label reads a line as it is on a ball band, such as " +
	"\"3 x 50 g / 125 m, 75% wool 25% nylon, superwash, lot F08\". What was understood is shown, and recorded when you say yes; " +
	"--yes says it beforehand, and is needed where there is no terminal to ask at. What you give as an option replaces what the label says.\n" +
	"The parts of a label may come in any order, divided by commas, semicolons or line ends: how many balls of which weight and length (3 x 50 g / 125 m), fibres (75% wool 25% nylon), lot F08, colour moss, " +
	"name: Moss sock, a form (2 skeins), a count (8/2 Ne), how it is made (superwash, 2-ply), care (wash 30 C). What was not understood is shown, and kept in the note."

func labelFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "label", Usage: "what the ball band says: `TEXT`"},
		&cli.BoolFlag{Name: "yes", Usage: "record what was read from the label without asking"},
	}
}

// labelled gives the name of the yarn, having read the label, if there is one,
// into the options that were not given.
func (k *call) labelled() (string, error) {
	name := k.Args().First()
	if !k.IsSet("label") {
		if name == "" {
			return "", tooFew(k.Context)
		}
		return name, nil
	}
	l, err := label.Parse(k.String("label"), k.decimals)
	if err != nil {
		return "", tableError(err)
	}
	if name == "" {
		name = l.Record.Name
	}
	if name == "" {
		return "", stash.Refuse(stash.CodeUsage,
			`give it as receive NAME --label ..., or put it into the label as name: moss wool`,
			"the label does not say what the yarn is called")
	}
	shown, err := k.applyLabel(name, l)
	if err != nil {
		return "", err
	}
	return name, k.confirm(shown)
}

// applyLabel puts what a label says into the options that were not given, and
// gives lines that show it.
func (k *call) applyLabel(name string, l label.Label) ([]string, error) {
	if l.Record.Packages.Number == 0 {
		l.Record.Packages.Number = 1 // a label is on a package
		if err := l.Record.Complete(); err != nil {
			return nil, tableError(err)
		}
	}
	e, err := new(intake.Maker).Of(&l.Record, name, l.Record.Colour)
	if err != nil {
		return nil, err
	}
	notes := []string{e.Yarn.Text("note"), e.Packages[0].Fields.Text("note")}
	lines := []string{"name: " + e.Name}
	for _, piece := range l.Unknown {
		lines = append(lines, fmt.Sprintf("not understood, kept in the note: %q, from character %d",
			piece.Text, piece.Column))
		notes = append(notes, piece.Text)
	}
	for _, q := range e.Questions {
		lines = append(lines, "asked: "+q.Text)
	}
	for _, part := range []func() ([]string, error){
		func() ([]string, error) {
			return k.factsFromLabel(stash.WhatYarn, e.Yarn, receiveYarnFacts, &notes)
		},
		func() ([]string, error) {
			return k.factsFromLabel(stash.WhatPackage, e.Packages[0].Fields, receivePackFacts, &notes)
		},
		func() ([]string, error) { return k.noteFromLabel(notes) },
		func() ([]string, error) { return k.weightsFromLabel(e.Packages) },
	} {
		more, err := part()
		if err != nil {
			return nil, err
		}
		lines = append(lines, more...)
	}
	return lines, nil
}

// factsFromLabel takes facts of a kind over, all but the note. What was given otherwise as
// an option is told, and what the label says of it is kept among the notes.
func (k *call) factsFromLabel(what stash.What, fields stash.Fields, names []string,
	notes *[]string) ([]string, error) {
	var lines []string
	for _, name := range names {
		if name == "note" || fields[name] == nil {
			continue
		}
		if says, differs := k.saidOtherwise(what, name, fields[name]); differs {
			lines = append(lines, fmt.Sprintf("%s: as you say; the label says %s, which is kept in the note",
				flagName(name), says))
			*notes = append(*notes, "label: "+name+" "+says)
			continue
		}
		more, err := k.fromLabel(flagName(name), stash.ValueText(what, name, fields[name]))
		if err != nil {
			return nil, err
		}
		lines = append(lines, more...)
	}
	return lines, nil
}

// saidOtherwise gives what a label says of a fact that was given, with other words, as an
// option.
func (k *call) saidOtherwise(what stash.What, name string, label []byte) (string, bool) {
	if !k.IsSet(flagName(name)) {
		return "", false
	}
	given, err := stash.Value(what, name, k.String(flagName(name)))
	if err != nil || stash.SameFact(name, given, label) {
		return "", false // what cannot be read is refused when it is recorded
	}
	return stash.ValueText(what, name, label), true
}

// noteFromLabel takes what is left of a label into the note, after what was given as one.
func (k *call) noteFromLabel(notes []string) ([]string, error) {
	note := strings.Join(slices.DeleteFunc(notes, func(s string) bool { return s == "" }), "; ")
	if given := k.String("note"); note != "" && given != "" {
		return []string{"note: " + given + "; " + note}, k.Set("note", given+"; "+note)
	}
	return k.fromLabel("note", note)
}

// fromLabel sets one option, unless it was given, and shows it.
func (k *call) fromLabel(option, text string) ([]string, error) {
	if text == "" || k.IsSet(option) {
		return nil, nil
	}
	return []string{option + ": " + text}, k.Set(option, text)
}

// weightsFromLabel takes the label's mass for each package, unless they were
// weighed.
func (k *call) weightsFromLabel(packages []intake.Package) ([]string, error) {
	if k.IsSet("gross") || k.IsSet("net") || packages[0].Net() == nil {
		return nil, nil
	}
	var masses []string
	for _, p := range packages {
		masses = append(masses, p.Net().Exact())
		if err := k.Set("net", p.Net().Exact()); err != nil {
			return nil, err
		}
	}
	return []string{fmt.Sprintf("%s, not weighed: %s by the label",
		measure.Counted(len(packages), "item"), strings.Join(masses, ", "))}, nil
}

// confirm shows what is to be recorded and asks whether it is right.
func (k *call) confirm(lines []string) error {
	k.note("the label reads")
	for _, line := range lines {
		k.note("  %s", stash.Clean(line))
	}
	if k.Bool("yes") {
		return nil
	}
	if !k.env.stdinTTY {
		return stash.Refuse(stash.CodeRefused, "give --yes if it is right",
			"nothing was recorded: there is no terminal to ask at whether this is right")
	}
	fmt.Fprint(k.env.stderr, "record it? [y/N] ")
	answer, err := bufio.NewReader(k.env.stdin).ReadString('\n')
	if word := strings.ToLower(strings.TrimSpace(answer)); word == "y" || word == "yes" {
		return nil
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	return stash.Refuse(stash.CodeRefused, "say it with options, such as --fibre and --count",
		"nothing was recorded")
}
