package stash

import (
	"reflect"
	"strings"
	"testing"
)

// TestANewFactIsANewFold: a field more, one less, another type or another name in
// JSON, however deep, is another shape; what JSON does not hold is not.
func TestANewFactIsANewFold(t *testing.T) {
	type inner struct {
		A int `json:"a"`
	}
	shape := func(v any) string {
		var b strings.Builder
		writeShape(reflect.TypeOf(v), map[reflect.Type]bool{}, func(s string) { b.WriteString(s) })
		return b.String()
	}
	base := shape(struct{ In []inner }{})
	for rule, other := range map[string]any{
		"a field more": struct {
			In   []inner
			More string
		}{},
		"another name": struct {
			In []inner `json:"in"`
		}{},
		"another type": struct{ In []*inner }{},
		"a deep field more": struct {
			In []struct {
				A int `json:"a"`
				B int
			}
		}{},
	} {
		if shape(other) == base {
			t.Errorf("%s: the same shape %s", rule, base)
		}
	}
	if got := shape(struct {
		In     []inner
		hidden int
	}{}); got != base {
		t.Errorf("a field that JSON does not hold: %s, was %s", got, base)
	}
	for _, name := range []string{"Shedding", "Longest", "Allotments", "FinishEvent", "Rules"} {
		if !strings.Contains(shape(Yarn{})+shape(Package{})+shape(Piece{})+shape(Person{}),
			name+" ") {
			t.Errorf("%s is in no shape", name)
		}
	}
	if !strings.HasPrefix(FoldName(), foldVersion+"-") {
		t.Error(FoldName())
	}
}
