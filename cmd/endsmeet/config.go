package main

import (
	"encoding/json"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"endsmeet/cmd/endsmeet/show"
	"endsmeet/stash"
	"endsmeet/stash/sqlite"
)

func configCommand(e *environment) *cli.Command {
	return &cli.Command{
		Name: "config", Category: groupHouse, ArgsUsage: "[SETTING[=VALUE] ...]",
		Usage: "Show or change your settings.",
		Description: "On its own, shows every setting with its value. SETTING=unknown puts one back.\n" +
			"Settings are part of the stash and are synced with it. `endsmeet help settings` tells what each means.",
		Flags:  recorded(),
		Action: action(e, 0, -1, config),
	}
}

func config(k *call) error {
	var assignments []string
	for _, word := range k.Args().Slice() {
		if strings.Contains(word, "=") {
			assignments = append(assignments, word)
		}
	}
	if len(assignments) == 0 {
		if words := k.Args().Slice(); len(words) == 2 && !isSetting(words[1]) {
			return paired(words, stash.WhatSettings)
		}
		return k.view(k.showSettings)
	}
	assignments = withScaleUnit(assignments)
	return k.act(func(tx *sqlite.Tx) error {
		fields, err := k.assign(tx, stash.WhatSettings, assignments, stash.YarnFacts{})
		if err != nil {
			return err
		}
		if err := tx.SetFacts(stash.WhatSettings, stash.SettingsSubject, fields); err != nil {
			return err
		}
		return k.showSettings(tx)
	})
}

func isSetting(name string) bool {
	_, err := stash.FieldOf(stash.WhatSettings, name)
	return err == nil
}

// withScaleUnit says with the step of a scale in which unit it shows, unless that
// is said too.
func withScaleUnit(assignments []string) []string {
	unit, said := "", false
	for _, a := range assignments {
		name, value, _ := strings.Cut(a, "=")
		if name == "scale.step" {
			unit = stash.ScaleUnit(value)
		}
		said = said || name == "scale.unit"
	}
	if unit == "" || said {
		return assignments
	}
	return append(assignments, "scale.unit="+unit)
}

func (k *call) showSettings(tx *sqlite.Tx) error {
	facts, err := tx.Facts(stash.SettingsSubject)
	if err != nil {
		return err
	}
	settings, err := k.settingsAsked(facts.Shown())
	if err != nil {
		return err
	}
	return k.answer(settings, func(w io.Writer) {
		t := show.NewTable("setting", "value", "")
		for _, s := range settings {
			mark := "as at first"
			if s.Set {
				mark = "yours"
			}
			t.Add(s.Name, s.Words(), mark)
		}
		t.Print(w)
	})
}

// settingsAsked lists the settings named on the command line, or all.
func (k *call) settingsAsked(stated stash.Fields) ([]show.Setting, error) {
	effective, err := stash.SettingValues(stash.SettingsOf(stated))
	if err != nil {
		return nil, err
	}
	asked := map[string]bool{}
	for _, word := range k.Args().Slice() {
		name, _, _ := strings.Cut(word, "=")
		if _, err := stash.FieldOf(stash.WhatSettings, name); err != nil {
			return nil, err
		}
		asked[name] = true
	}
	var out []show.Setting
	for _, f := range stash.FieldsOf(stash.WhatSettings) {
		if len(asked) == 0 || asked[f.Name] {
			own := stated[f.Name] != nil && string(stated[f.Name]) != "null"
			out = append(out, show.Setting{Name: f.Name, Value: orNull(f.Name, effective[f.Name]),
				Unit: stash.Known(unitOf(f.Name)), Set: own, Help: f.Help})
		}
	}
	return out, nil
}

// orNull makes a limit of zero, which is none, an unknown.
func orNull(name string, value json.RawMessage) json.RawMessage {
	if (name == "loom.width" || name == "loom.heddles" || name == "loom.longest_warp" ||
		name == "loom.reed_width") && string(value) == "0" || string(value) == `""` ||
		string(value) == "[]" {
		return json.RawMessage("null")
	}
	return value
}

// unitOf is the unit of a setting that is a figure.
func unitOf(name string) string {
	switch {
	case name == "scale.step":
		return "mg"
	case name == "stale.days":
		return "days"
	case stash.RatioSetting(name):
		return "ppm"
	case strings.HasPrefix(name, "loom.") && name != "loom.heddles" && name != "loom.reeds",
		strings.HasPrefix(name, "fringe."), name == "weft.join", name == "fits.leftover":
		return "mm"
	}
	return ""
}
