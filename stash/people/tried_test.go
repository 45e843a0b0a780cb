package people

import (
	"strings"
	"testing"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// What a strand smelt of in a flame is no smell of the yarn, wherever it is noted; what the
// ball itself smells of is, also next to a test and to colours.
func TestTheSmellOfAFlameIsNoneOfTheYarn(t *testing.T) {
	t.Parallel()
	for text, smells := range map[string]bool{
		"burn test: hair smell and a hard bead":             false,
		"probably cotton, burn test: paper smell, grey ash": false,
		"burnt: it smells of hair":                          false,
		"burned a strand, smell of hair":                    false,
		"smells of hair when burnt":                         false,
		"smell of paper in the flame":                       false,
		"burning smells of feathers, crumbly ash":           false,
		"burnt orange, smells of mothballs":                 true,
		"smells of smoke":                                   true,
		"smells of burnt wood":                              true,
		"burn test: hair smell; smells of mothballs":        true,
	} {
		for where, y := range map[string]stash.YarnFacts{
			"note": {Note: text},
			"fibre": {Fibre: fibre.Content{{Fibre: fibre.Unknown, Share: measure.Whole,
				Note: text}}},
			"beside": {Beside: []stash.Beside{{Where: stash.BesideNote, Text: text}}},
		} {
			got := testOdour(y, "")
			if (got.state == doubt) != smells {
				t.Errorf("%q in the %s: %v %q", text, where, got.state, got.why)
			}
		}
	}
}

// A figure on a screen has no more digits than its doubt leaves.
func TestTheThicknessIsSaidWithinItsDoubt(t *testing.T) {
	t.Parallel()
	y := stash.YarnFacts{Count: &stash.CountFact{Count: 551_268, Source: measure.Wraps}}
	if got := testThick(y, "500 tex").why; got != "it is 550 tex" {
		t.Error(got)
	}
	y.Count.Source = measure.KnownCount
	if got := testThick(y, "500 tex").why; got != "it is 551 tex" {
		t.Error(got)
	}
}

// The role of a yarn in a piece stands after its name, which may have a colon itself.
func TestTheRoleOfAPartIsNoPartOfItsName(t *testing.T) {
	t.Parallel()
	p := Part{Role: stash.RoleWeft, Yarn: stash.Yarn{YarnFacts: stash.YarnFacts{Name: "Moss: sock"}}}
	if got := p.label(); got != "Moss: sock (weft)" {
		t.Error(got)
	}
	for _, mention := range []string{"weft:", "warp:"} {
		if strings.Contains(p.label(), mention) {
			t.Error(p.label())
		}
	}
}
