package stash

import (
	"encoding/json"
	"errors"
	"reflect"
	"testing"

	"endsmeet/stash/measure"
)

func aProject() Project {
	stretch := 3 * measure.Percent
	return Project{ID: "b", ProjectFacts: ProjectFacts{
		Name: "scarf", Width: 300, Stretch: &stretch, Warp: []Ref{{Package: "p1"}},
		Stripes: []Stripe{{"oat", 10}, {"moss", 4}},
	}}
}

func TestWithLaysFieldsOverAProject(t *testing.T) {
	cases := []struct {
		name   string
		fields Fields
		check  func(ProjectFacts) bool
	}{
		{"a list is replaced whole, never merged with what stood there",
			Fields{"warp": json.RawMessage(`[{"yarn":"y2"}]`)},
			func(f ProjectFacts) bool { return reflect.DeepEqual(f.Warp, []Ref{{Yarn: "y2"}}) }},
		{"a shorter list leaves nothing of the longer one",
			Fields{"stripes": json.RawMessage(`[{"colour":"slate","ends":3}]`)},
			func(f ProjectFacts) bool {
				return reflect.DeepEqual(f.Stripes, []Stripe{{"slate", 3}})
			}},
		{"null opens a field again", Fields{"stretch": json.RawMessage("null"),
			"width": json.RawMessage("null")},
			func(f ProjectFacts) bool { return f.Stretch == nil && f.Width == 0 }},
		{"what is not named stays", Fields{"width": json.RawMessage("250")},
			func(f ProjectFacts) bool {
				return f.Width == 250 && f.Name == "scarf" && *f.Stretch == 3*measure.Percent &&
					len(f.Stripes) == 2
			}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got, err := aProject().With(c.fields)
			if err != nil || !c.check(got) {
				t.Errorf("got %+v, %v", got, err)
			}
		})
	}
}

func TestWithLeavesTheProjectAsItWas(t *testing.T) {
	b := aProject()
	if _, err := b.With(Fields{"stretch": json.RawMessage("90000"),
		"warp": json.RawMessage(`[{"yarn":"y2"}]`)}); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(b, aProject()) {
		t.Errorf("the project is now %+v", b)
	}
}

func TestValueNamesTheFieldOnce(t *testing.T) {
	_, err := Value(WhatPackage, "tag", "a b")
	var value *ValueError
	if !errors.As(err, &value) || err.Error() != value.Error() {
		t.Errorf("got %v", err)
	}
}
