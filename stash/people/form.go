package people

import (
	"fmt"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// PieceForm is what a finished piece has beyond its yarns.
type PieceForm struct {
	// Fringe is the longest loose end left on it, zero for none.
	Fringe measure.Length
	// Ties is the length of cords and ties sewn to it, zero for none.
	Ties measure.Length
	// Hemmed says that its edges are turned in and sewn.
	Hemmed bool
	// Loops says that its surface has loops.
	Loops bool
	// Openwork says whether it has holes that a finger goes through; empty is
	// not recorded.
	Openwork stash.Answered
}

// FormOf reads the form that a project will give a piece. Ties and openwork are
// not part of a project.
func FormOf(b stash.ProjectFacts) PieceForm {
	return PieceForm{Fringe: b.LongestFringe(), Hemmed: b.Hems() > 0, Loops: looped(b.Structure)}
}

// looped says whether a structure leaves loops on the cloth, by its name (common
// practice, no source).
func looped(structure string) bool {
	return slices.ContainsFunc(strings.Fields(strings.ToLower(structure)), func(word string) bool {
		return strings.HasPrefix(word, "terry") || strings.HasPrefix(word, "loop") ||
			word == "pile" || word == "boutonné"
	})
}

var formTests = []test{
	{name: "fringe", about: "a loose fringe, or one longer than a length", argument: lengthArgument,
		form: func(f PieceForm, argument string) finding {
			return longer("fringe", f.Fringe, argument)
		}},
	{name: "ties", about: "cords and ties, or those longer than a length", argument: lengthArgument,
		form: func(f PieceForm, argument string) finding {
			return longer("ties", f.Ties, argument)
		}},
	{name: "holes", about: "openwork that fingers and tubing go through", argument: noArgument,
		form: testHoles},
}

func longer(what string, has measure.Length, argument string) finding {
	if has <= millimetres(argument) {
		return finding{}
	}
	return finding{hit, fmt.Sprintf("%s of %s", what, has.Cloth(measure.Metric))}
}

func testHoles(f PieceForm, _ string) finding {
	switch f.Openwork {
	case stash.Yes:
		return finding{hit, "the cloth is open"}
	case stash.May:
		return finding{maybe, "the cloth may be open"}
	case stash.No:
		return finding{}
	}
	return finding{silent, "whether the cloth is open is not recorded"}
}
