package main

import (
	"strings"
	"testing"
)

// TestWhatIsAskedForIsReadAsWhatIsTyped: numbers, dates and prices that are typed at a
// question are read as those of the command line, in the habit of the person.
func TestWhatIsAskedForIsReadAsWhatIsTyped(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for _, c := range []string{"config decimal=comma",
		"receive 'Ossentarn cotton' --fibre cotton --count '8/2 Ne' --net 412g --tag Y01 --bin A1"} {
		inShell(t, dir, "endsmeet "+c)
	}
	for _, c := range []struct{ command, question, typed, shows, want string }{
		{"weigh Y01", "What does the scale show?", "398,5g", "show Y01", "398,5 g"},
		{"weigh Y01", "What does the scale show?", "0,3895 kg", "show Y01", "389,5 g"},
		{"use Y01", "How much?", "1,250g", "show Y01", "388 g"},
	} {
		said := atTerminal(t, dir, "endsmeet "+c.command, typing{c.question, c.typed + enter})
		if shown := inShell(t, dir, "endsmeet "+c.shows); !strings.Contains(shown, c.want) {
			t.Errorf("%s, %q: no %q in\n%s%s", c.command, c.typed, c.want, said, shown)
		}
	}
	for _, c := range []struct{ field, typed, want string }{
		{"acquired", "27.11.2024", "acquired     2024-11-27"},
		{"acquired", "March 2023", "acquired     2023-03"},
		{"price", "3,10 EUR per 100g", "price        3,10 EUR per 100 g"},
		{"price", "1.234,50", "price        1234,50 each"},
		{"tare", "1,5g", "tare         1,5 g, weighed"},
	} {
		said := atTerminal(t, dir, "endsmeet set Y01", typing{"What is to be set?", c.field + enter + enter},
			typing{"To what?", c.typed + enter})
		if shown := inShell(t, dir, "endsmeet show Y01"); !strings.Contains(shown, c.want) {
			t.Errorf("%s %q: no %q in\n%s%s", c.field, c.typed, c.want, said, shown)
		}
	}
	said := atTerminal(t, dir, "endsmeet stocktake A1", typing{"tag (", "Y01\n"}, typing{"Y01", "387,5\n"},
		typing{"tag (", "done\n"})
	if shown := inShell(t, dir, "endsmeet show Y01"); !strings.Contains(shown, "387,5 g") {
		t.Errorf("stocktake: %s%s", said, shown)
	}
}
