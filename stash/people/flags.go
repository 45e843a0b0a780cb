package people

import (
	"fmt"
	"slices"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/written"
)

// Flags gives the words that a list shows beside a yarn: its animal fibres by
// name, "sheds 3", "latex", "possible latex", "unknown fibre", "dust",
// "bleeds", "may bleed", odours, "loops", "long ends", "lanolin" or "lanolin?",
// "coarse 34 um", "metal", and the other marks set by hand; with a question mark
// what its name, its note or its fibre text speaks of. An empty list
// says that nothing is recorded, no more.
func Flags(y stash.YarnFacts) []string {
	flags := slices.Concat(fibreFlags(y), builtFlags(y), treatedFlags(y), y.Hazards, spokenFlags(y))
	var out []string
	for _, f := range flags {
		if f != "" && !slices.Contains(out, f) && !(f == "prickle" && hasCoarse(y)) {
			out = append(out, f)
		}
	}
	return out
}

func flagIf(is bool, flag string) string {
	if is {
		return flag
	}
	return ""
}

func fibreFlags(y stash.YarnFacts) []string {
	var out []string
	for _, p := range y.Fibre {
		if p.Fibre.Info().Class.Protein() && !uncertain(p) {
			out = append(out, p.Fibre.Word())
		}
	}
	latex := testLatex(y, "").state == hit
	out = append(out,
		flagIf(partUnknown(y.Fibre), "unknown fibre"),
		flagIf(latex, "latex"),
		flagIf(!latex && testPossibleLatex(y, "").state == hit, "possible latex"),
		flagIf(testMetal(y, "").state == hit, "metal"),
	)
	for _, p := range y.Fibre {
		if p.DiameterNM > coarseAbove {
			out = append(out, "coarse "+micronWords(p.DiameterNM))
		}
	}
	return append(out, lanolinFlag(y))
}

// partUnknown leaves elastic of a kind that is not stated out: it has a flag of its own.
func partUnknown(c fibre.Content) bool {
	return len(c) == 0 || slices.ContainsFunc(c, func(p fibre.Part) bool {
		return p.Fibre != fibre.UnknownElastic && uncertain(p)
	})
}

func hasCoarse(y stash.YarnFacts) bool {
	return slices.ContainsFunc(y.Fibre,
		func(p fibre.Part) bool { return p.DiameterNM > coarseAbove })
}

// lanolinFlag leaves out wool that is noted as superwash or scoured: there the
// rule still says ask, and the list stays short.
func lanolinFlag(y stash.YarnFacts) string {
	plain := slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
		return p.Fibre.Info().Class == fibre.Wool && !p.Superwash()
	})
	switch {
	case testLanolin(y, "").state == hit:
		return "lanolin"
	case plain && !noted(y, "scoured"):
		return "lanolin?"
	}
	return ""
}

func builtFlags(y stash.YarnFacts) []string {
	return []string{
		flagIf(testLoops(y, "").state == hit, "loops"),
		flagIf(testLongEnds(y, "").state == hit, "long ends"),
		flagIf(dusty(y) != "", "dust"),
	}
}

func treatedFlags(y stash.YarnFacts) []string {
	sheds := ""
	if y.Shedding != nil && *y.Shedding > 0 {
		sheds = fmt.Sprintf("sheds %d", *y.Shedding)
	}
	return []string{
		sheds,
		flagIf(y.Bleeds == stash.Yes, "bleeds"),
		flagIf(y.Bleeds == stash.May, "may bleed"),
		Smell(y),
	}
}

// Smell is what a yarn smells of, as it was recorded; empty where it does not, or nothing is
// recorded.
func Smell(y stash.YarnFacts) string {
	smell, _ := smellOf(y)
	return smell
}

// smellOf is what a yarn smells of, and whether anybody recorded that: "none" is a
// recorded none.
func smellOf(y stash.YarnFacts) (smell string, recorded bool) {
	smell = strings.ToLower(strings.TrimSpace(y.Odour))
	if said, doubted := written.Undoubted(smell); said == "none" || said == "no" {
		return "", !doubted
	}
	return smell, smell != ""
}
