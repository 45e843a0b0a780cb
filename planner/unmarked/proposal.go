package unmarked

import (
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// open says whether anything of a content may be of any group: nothing is recorded, a part
// of it is simply unknown, or all of it is believed and no more. What is known or narrowed
// down no test at home tells more of.
func open(c fibre.Content) bool {
	return len(c) == 0 || slices.ContainsFunc(c, wholly) || believed(c)
}

// believed says whether a content is one fibre of which nobody is sure: a seller's word, a
// guess. Of a blend no test at home tells which of them is there.
func believed(c fibre.Content) bool { return len(c) == 1 && c[0].Doubtful }

func wholly(p fibre.Part) bool { return p.Fibre == fibre.Unknown && !p.Doubtful }

// elastic says whether yarn has, or may have, something in it that stretches and goes
// weak with age, and is not known to have gone.
func elastic(y stash.YarnFacts) bool {
	if slices.Contains(y.Hazards, "perished") {
		return false
	}
	return slices.Contains(y.Hazards, "latex") || slices.Contains(y.Hazards, "possible latex") ||
		slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
			return p.Fibre.Info().Class == fibre.Rubber || p.Fibre == fibre.UnknownElastic
		})
}

// stretchTest is the test of elastic. It tells whether it still works, and never what it
// is made of.
func stretchTest() Test {
	return Test{
		Name: "stretch", How: "Mark 10 cm of it slack. Pull slowly to where it gives no more, hold it for a count of ten, let go, and measure again after a minute.",
		Misleads: "It does not tell rubber from elastane: both stretch and come back. Only the maker or a laboratory says whether there is latex in it.",
		Cautions: []string{
			"A length that snaps flies back: glasses on, face turned away, nobody next to it.",
			"It may be latex: nobody who reacts to latex touches it; wash your hands afterwards.",
		},
		Signs: []Sign{
			{Shows: "it comes back to its length", Stretch: stash.StretchElastic},
			{Shows: "it stays longer, or cracks, crumbles, sticks or snaps", Hazard: "perished"},
			{Shows: "it hardly gives"},
		},
		Source: "common practice, no source",
	}
}

// Proposal is what may be recorded of a yarn after a sign: the field, its value as it is
// typed, and the facts of the yarn then. It is false where the sign decides nothing that
// is not recorded: a proposal only ever adds to what is known.
func Proposal(y stash.YarnFacts, s Sign) (field, value string, then stash.YarnFacts, ok bool) {
	then = y
	switch {
	case s.Hazard != "" && !slices.Contains(y.Hazards, s.Hazard):
		then.Hazards = append(slices.Clone(y.Hazards), s.Hazard)
		return "hazards", strings.Join(then.Hazards, ", "), then, true
	case s.Stretch != "" && y.Stretch == "":
		then.Stretch = s.Stretch
		return "stretch", string(s.Stretch), then, true
	case s.Leaves == "" || !believed(y.Fibre) && shows(y.Fibre, s.Leaves):
		return "", "", y, false
	}
	then.Fibre = narrowed(y.Fibre, s.Leaves)
	return "fibre", strings.TrimSuffix(then.Fibre.String(), " 100"), then, open(y.Fibre)
}

// shows says whether a part that is known is of a group, so that its sign tells nothing
// of the rest.
func shows(c fibre.Content, g Group) bool {
	return slices.ContainsFunc(c, func(p fibre.Part) bool {
		i := groupOf(fibre.Content{p})
		return p.Fibre == g || p.Doubtful || i >= 0 && groups[i] == g
	})
}

// namedAs keeps what a part was believed to be, in words that a rule still asks about.
func namedAs(p fibre.Part) string { return "named " + string(p.Fibre) }

// narrowed is a content whose unknown parts are of a group; all else that was recorded
// stays.
func narrowed(c fibre.Content, g Group) fibre.Content {
	if len(c) == 0 {
		return fibre.Content{{Fibre: g, Share: measure.Whole}}
	}
	out := slices.Clone(c)
	for i, p := range out {
		switch {
		case wholly(p):
			out[i].Fibre = g
		case believed(c):
			out[i] = fibre.Part{Fibre: g, Share: p.Share, Note: namedAs(p)}
		}
	}
	return out
}
