package show

import (
	"fmt"
	"io"
	"strings"

	"endsmeet/stash/people"
)

// PresetItem is the JSON shape of a preset.
type PresetItem struct {
	people.Preset
	Rules []Rule `json:"rules"`
}

// PrintPresets prints the presets of rules, one a line.
func PrintPresets(w io.Writer, items []PresetItem) {
	t := NewTable("preset", ">rules", "for")
	for _, it := range items {
		t.AddWrapped(it.Name, fmt.Sprint(len(it.Rules)), it.About)
	}
	t.Print(w)
	fmt.Fprint(w, Wrap("Houses, wards and people differ and contradict each other: a preset is where a talk begins. "+
		"`endsmeet person presets NAME` shows its rules and where they are from.", "", RoomOf(w)))
}

// PrintPreset prints one preset with what it tests.
func PrintPreset(w io.Writer, it PresetItem) {
	fmt.Fprint(w, Wrap(it.Name+": "+it.About, "", RoomOf(w)))
	if len(it.Also) > 0 {
		fmt.Fprint(w, Wrap("also found as: "+strings.Join(it.Also, ", "), "  ", RoomOf(w)))
	}
	printRules(w, it.Rules)
	fmt.Fprint(w, Wrap("grade "+it.Grade+" (C donor rules of charities and hospitals, M medical or textile science, P makers' own records, T teaching)", "  ", RoomOf(w)))
	fmt.Fprint(w, Wrap(people.AskFirst.Text, "  ", RoomOf(w)))
}
