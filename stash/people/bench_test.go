package people

import (
	"testing"

	"endsmeet/stash"
)

// BenchmarkSuits holds one yarn against the longest preset.
func BenchmarkSuits(b *testing.B) {
	preset, err := PresetNamed("newborn unit")
	if err != nil {
		b.Fatal(err)
	}
	p := stash.Person{PersonFacts: stash.PersonFacts{Rules: preset.Rules}}
	y := yarn(b, "wool (merino, 18.5 um) 75, nylon 25")
	for b.Loop() {
		Suits(p, y)
	}
}
