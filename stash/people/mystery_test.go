package people

import (
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// A name that says that nobody knows is answered by a content that is complete, and asks
// where it is not; what a note says of it is asked about all the same.
func TestANameThatAsksIsAnsweredByACompleteContent(t *testing.T) {
	t.Parallel()
	p := person(t, "against wool", "ask unknown fibre")
	for _, name := range []string{"Mystery cone", "Unknown cone, burgundy", "Moss mystery", "Mystery, moss"} {
		for content, want := range map[string]stash.Answer{"cotton": nothing, "cotton 60, linen 40": nothing,
			"cotton ?": unknown, "unknown": unknown, "": unknown} {
			y := stash.Yarn{YarnFacts: stash.YarnFacts{Name: name}}
			if content != "" {
				c, err := fibre.ParseContent(content)
				if err != nil {
					t.Fatal(err)
				}
				y.Fibre = c
			}
			if got := Suits(p, y); got.Answer != want {
				t.Errorf("%s of %q: %s, %+v", name, content, got.Answer, got.Reasons)
			}
			y.Note = "mystery fibre inside"
			if got := Suits(p, y); got.Answer == nothing {
				t.Errorf("%s of %q: its note is not asked about", name, content)
			}
		}
	}
}
