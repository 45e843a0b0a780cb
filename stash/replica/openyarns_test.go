package replica

import (
	"strings"
	"testing"
)

// Two machines that recorded yarns of names that differ by a slip ask whether they are one;
// one machine on which both were recorded has asked already. Digits are no slip.
func TestYarnsOfNearlyOneNameFromTwoMachinesAreAskedAbout(t *testing.T) {
	a, b, _ := pair(t)
	a.receive(a.yarn("Pippenfold wool"), "P1", 100)
	a.receive(a.yarn("Pippenfeld wool"), "P2", 90)
	b.receive(b.yarn("Pipenfold wool"), "P3", 80)
	b.receive(b.yarn("Yarn 12"), "P4", 70)
	a.receive(a.yarn("Yarn 13"), "P5", 60)
	meet(a, b)
	for _, m := range []*machine{a, b} {
		var asked []string
		for _, o := range m.open1() {
			if o.Code == "duplicate" {
				asked = append(asked, o.Name+": "+o.Message+" / "+o.Settle)
			}
		}
		if len(asked) != 1 || !strings.Contains(asked[0], "nearly the name of") ||
			!strings.Contains(asked[0], "Pipenfold wool") || !strings.Contains(asked[0], "yarn=") {
			t.Errorf("%s asks %q", m.name, asked)
		}
	}
	same(t, a, b)
}
