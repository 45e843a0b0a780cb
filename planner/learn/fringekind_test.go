package learn

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"endsmeet/planner"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

func TestEveryFringeIsAskedForPlannedAndHasItsLoss(t *testing.T) {
	if len(stash.Fringes) != int(planner.FringeKinds) {
		t.Errorf("a project can ask for %d fringes, the planner knows %d", len(stash.Fringes), planner.FringeKinds)
	}
	for _, f := range stash.Fringes {
		kind := planner.FringeCalled(string(f.Finish))
		if kind.String() != string(f.Finish) || kind.Groups() < 1 || (kind.To() == "") != (f.Setting == "") {
			t.Errorf("%s is planned as %s, which loses by %q", f.Finish, kind, f.Setting)
		}
		var b stash.ProjectFacts
		fill(t, &b, stash.WhatProject, f.Field, "10cm")
		first, other := b.Edges()
		if want := (stash.Edge{Finish: f.Finish, Length: 100}); first != want || other != want {
			t.Errorf("%s gives the edges %v and %v", f.Field, first, other)
		}
		if bare := b.Unfringed(); bare.LongestFringe() != 0 {
			t.Errorf("%s is left of a project without a fringe", f.Field)
		}
		var turned stash.ProjectFacts
		fill(t, &turned, stash.WhatProject, "other_end", string(f.Finish)+" 10cm")
		if _, other := turned.Edges(); other != first {
			t.Errorf("the second end is %v, want %v", other, first)
		}
		losing(t, f, b)
	}
}

// losing sets what a fringe loses, and looks for it in what is planned.
func losing(t *testing.T, f stash.Fringe, b stash.ProjectFacts) {
	set := stash.DefaultSettings()
	if f.Setting == "" {
		if raw := EdgesOf(b, set).Start().Raw(); raw != f.Length(b) {
			t.Errorf("%s is cut at %d mm", f.Field, raw)
		}
		return
	}
	fill(t, &set, stash.WhatSettings, f.Setting, "37%")
	twist := EdgesOf(b, set).Twist
	if twist.Loss != 37*measure.Percent || f.Loss(set) != twist.Loss || twist.Finished != f.Length(b) {
		t.Errorf("%s at a %s of 37%% is planned as %+v", f.Field, f.Setting, twist)
	}
}

// fill states a fact as it is typed.
func fill(t *testing.T, facts any, what stash.What, name, text string) {
	t.Helper()
	raw, err := stash.Value(what, name, text)
	if err == nil {
		err = json.Unmarshal(fmt.Appendf(nil, "{%q:%s}", name, raw), facts)
	}
	if err != nil || strings.Contains(string(raw), "null") {
		t.Fatalf("%s=%s: %s, %v", name, text, raw, err)
	}
}
