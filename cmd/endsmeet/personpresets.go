package main

import (
	"fmt"
	"io"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash/people"
)

func personPresets(k *call) error {
	if name := k.Args().First(); name != "" {
		p, err := people.PresetNamed(name)
		if err != nil {
			return err
		}
		it := presetItem(p)
		return k.told(k.answer(it, func(w io.Writer) { show.PrintPreset(w, it) }))
	}
	var items []show.PresetItem
	for _, p := range people.Presets() {
		items = append(items, presetItem(p))
	}
	return k.told(k.answer(items, func(w io.Writer) { show.PrintPresets(w, items) }))
}

func presetItem(p people.Preset) show.PresetItem {
	return show.PresetItem{Preset: p, Rules: shownRules(p.Rules)}
}

func personTests(k *call) error {
	tests := people.Tests()
	return k.told(k.answer(tests, func(w io.Writer) {
		fmt.Fprintln(w, ruleForm)
		t := show.NewTable("test", "what it finds")
		for _, it := range tests {
			t.AddWrapped(it.Name, it.About)
		}
		fmt.Fprintln(w)
		t.Print(w)
	}))
}
