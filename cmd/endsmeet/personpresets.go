package main

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/stash/people"
)

// presetItem is the JSON shape of a preset.
type presetItem struct {
	Name   string      `json:"name"`
	Also   []string    `json:"also"`
	About  string      `json:"about"`
	Grade  string      `json:"grade"`
	Source string      `json:"source"`
	Dated  string      `json:"dated"`
	Rules  []shownRule `json:"rules"`
}

func personPresets(k *call) error {
	if name := k.Args().First(); name != "" {
		it, err := presetNamed(name)
		if err != nil {
			return err
		}
		return k.told(k.answer(it, func(w io.Writer) { printPreset(w, it) }))
	}
	items := []presetItem{}
	for _, p := range people.Presets() {
		it, err := presetNamed(p.Name)
		if err != nil {
			return err
		}
		items = append(items, it)
	}
	return k.told(k.answer(items, func(w io.Writer) { printPresets(w, items) }))
}

func presetNamed(name string) (presetItem, error) {
	p, rules, err := people.PresetNamed(name)
	if err != nil {
		return presetItem{}, err
	}
	it := presetItem{p.Name, orEmpty(p.Also), p.About, p.Grade, p.Source, p.Dated, []shownRule{}}
	for _, r := range rules {
		it.Rules = append(it.Rules, shownOf(r))
	}
	return it, nil
}

func printPresets(w io.Writer, items []presetItem) {
	t := newTable("preset", ">rules", "for")
	for _, it := range items {
		t.addWrapped(46, it.Name, fmt.Sprint(len(it.Rules)), it.About)
	}
	t.print(w)
	fmt.Fprint(w, wrap("Houses, wards and people differ and contradict each other: a preset is where a talk begins. "+
		"`endsmeet person presets NAME` shows its rules and where they are from.", "", 80))
}

func printPreset(w io.Writer, it presetItem) {
	fmt.Fprint(w, wrap(it.Name+": "+it.About, "", roomOf(w)))
	if len(it.Also) > 0 {
		fmt.Fprint(w, wrap("also found as: "+strings.Join(it.Also, ", "), "  ", roomOf(w)))
	}
	printRules(w, it.Rules)
	fmt.Fprint(w, wrap("grade "+it.Grade+" (C donor rules of charities and hospitals, M medical or textile science, P makers' own records, T teaching)", "  ", roomOf(w)))
	fmt.Fprint(w, wrap(people.AskFirst.Text, "  ", roomOf(w)))
}

// testItem is the JSON shape of what a rule can ask about.
type testItem struct {
	Name  string `json:"name"`
	About string `json:"about"`
	Need  bool   `json:"need"`
}

func personTests(k *call) error {
	items := []testItem{}
	for _, d := range people.Tests() {
		items = append(items, testItem{d.Name, d.About, d.Need})
	}
	return k.told(k.answer(items, func(w io.Writer) {
		fmt.Fprintln(w, ruleForm)
		t := newTable("test", "what it finds")
		for _, it := range items {
			t.addWrapped(60, it.Name, it.About)
		}
		fmt.Fprintln(w)
		t.print(w)
	}))
}
