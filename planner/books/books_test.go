package books_test

import (
	"fmt"
	"testing"

	"endsmeet/planner/books"
	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// A share is said as it was written, whatever binary fractions make of it.
func TestFibreNameSaysSharesAsWritten(t *testing.T) {
	for n := 1; n < 100; n++ {
		text := fmt.Sprintf("mohair %d, silk %d", n, 100-n)
		content, err := fibre.ParseContent(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := books.FibreName(stash.Yarn{YarnFacts: stash.YarnFacts{Fibre: content}}); got != text {
			t.Errorf("%s becomes %s", text, got)
		}
	}
	for text, want := range map[string]string{
		"wool (merino, 18.5 um) 100": "wool",
		"cotton 50, polyester? 50":   "cotton 50, polyester? 50", "": "not recorded",
	} {
		content, err := fibre.ParseContent(text)
		if text == "" {
			content, err = nil, nil
		}
		if got := books.FibreName(stash.Yarn{YarnFacts: stash.YarnFacts{Fibre: content}}); err != nil || got != want {
			t.Errorf("%q becomes %q, %v; want %q", text, got, err, want)
		}
	}
}
