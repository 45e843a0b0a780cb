package main

import (
	"fmt"
	"io"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash/people"
)

func personPresets(k *call) error {
	if name := k.Args().First(); name != "" {
		it, err := presetNamed(name)
		if err != nil {
			return err
		}
		return k.told(k.answer(it, func(w io.Writer) { show.PrintPreset(w, it) }))
	}
	items := []show.PresetItem{}
	for _, p := range people.Presets() {
		it, err := presetNamed(p.Name)
		if err != nil {
			return err
		}
		items = append(items, it)
	}
	return k.told(k.answer(items, func(w io.Writer) { show.PrintPresets(w, items) }))
}

func presetNamed(name string) (show.PresetItem, error) {
	p, rules, err := people.PresetNamed(name)
	if err != nil {
		return show.PresetItem{}, err
	}
	it := show.PresetItem{Name: p.Name, Also: show.OrEmpty(p.Also), About: p.About, Grade: p.Grade,
		Source: p.Source, Dated: p.Dated, Rules: []show.Rule{}}
	for _, r := range rules {
		it.Rules = append(it.Rules, shownOf(r))
	}
	return it, nil
}

func personTests(k *call) error {
	items := []show.RuleTried{}
	for _, d := range people.Tests() {
		items = append(items, show.RuleTried{Name: d.Name, About: d.About, Need: d.Need})
	}
	return k.told(k.answer(items, func(w io.Writer) {
		fmt.Fprintln(w, ruleForm)
		t := show.NewTable("test", "what it finds")
		for _, it := range items {
			t.AddWrapped(it.Name, it.About)
		}
		fmt.Fprintln(w)
		t.Print(w)
	}))
}
