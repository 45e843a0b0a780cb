package people

import (
	"slices"
	"strings"
	"testing"

	"endsmeet/stash"
)

func TestFlags(t *testing.T) {
	yarns := stash40(t)
	for id, want := range map[string]string{
		"Y01": "",
		"Y04": "bleeds",
		"Y08": "dust sheds 1",
		"Y13": "wool lanolin?",
		"Y15": "wool lanolin?",
		"Y16": "wool lanolin? sheds 1 smoke",
		"Y17": "wool coarse 34 um lanolin sheds 1",
		"Y19": "mohair silk sheds 3",
		"Y21": "alpaca sheds 2 mothball",
		"Y22": "wool lanolin? loops sheds 2",
		"Y27": "wool silk may bleed",
		"Y31": "unknown fibre sheds 1",
		"Y32": "unknown fibre",
		"Y33": "possible latex",
		"Y34": "latex",
		"Y37": "metal prickle",
		"Y38": "long ends sheds 2",
	} {
		t.Run(id, func(t *testing.T) {
			if got := strings.Join(Flags(yarns[id].YarnFacts), " "); got != want {
				t.Errorf("%q, want %q", got, want)
			}
		})
	}
	t.Run("Y35's elastane is not flagged latex", func(t *testing.T) {
		for _, f := range Flags(yarns["Y35"].YarnFacts) {
			if strings.Contains(f, "latex") {
				t.Error(f)
			}
		}
	})
}

// Only what smells of mothballs is said to: spinning oil smells too.
func TestAnotherSmellIsNoMothballs(t *testing.T) {
	for odour, want := range map[string]bool{"mothballs": true, "old mothballs": true, "oil": false, "smoke": false, "smells": false, "musty": false} {
		y := stash.Yarn{YarnFacts: stash.YarnFacts{Odour: odour, Name: "Skerrowin woollen, in oil, smells"}}
		got := slices.ContainsFunc(WeaverCautions(y), func(c Caution) bool { return strings.Contains(c.Text, "Mothball") })
		if got != want {
			t.Errorf("%q: mothballs %v", odour, got)
		}
	}
}
