package care

import (
	"fmt"
	"slices"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/people"
)

// Texts that a label repeats.
const (
	tumble  = "May be tumbled dry."
	flat    = "Dry flat."
	line    = "Dry on a line."
	noIron  = "Do not iron."
	coolest = "Cool iron, through a cloth."
	steam   = "Steam through a cloth, do not press."
	damp    = "Press hot while damp."
	lightly = "Warm iron."
)

var labelTexts = []string{tumble, flat, line, noIron, coolest, steam, damp, lightly}

// list gathers steps on conditions.
type list []Step

func (l *list) add(is bool, text, why, source string) {
	if is {
		*l = append(*l, Step{text, why, source})
	}
}

func anyYarn(c []stash.YarnFacts, is func(stash.YarnFacts) bool) bool {
	return slices.ContainsFunc(c, is)
}

func hasClass(c []stash.YarnFacts, classes ...fibre.Class) bool {
	return anyYarn(c, func(y stash.YarnFacts) bool {
		return slices.ContainsFunc(classes, y.Fibre.Has)
	})
}

func hasFibre(c []stash.YarnFacts, id fibre.ID) bool {
	return anyYarn(c, func(y stash.YarnFacts) bool {
		return slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool { return p.Fibre == id })
	})
}

func isBuilt(c []stash.YarnFacts, words ...string) bool {
	return anyYarn(c, func(y stash.YarnFacts) bool {
		return slices.ContainsFunc(words,
			func(w string) bool { return slices.Contains(y.Construction, w) })
	})
}

func marked(c []stash.YarnFacts, hazard string) bool {
	return anyYarn(c, func(y stash.YarnFacts) bool { return slices.Contains(y.Hazards, hazard) })
}

// before is what must be done before the cloth meets water.
func before(c []stash.YarnFacts, form people.PieceForm) []Step {
	var l list
	l.add(form.Fringe > 0, "Twist or braid the fringe before washing.", "or it frays", practice)
	l.add(true, "Secure the ends and mend; leave the weft tails long.",
		"they draw in when the cloth shrinks", practice)
	l.add(anyYarn(c, func(y stash.YarnFacts) bool {
		return y.Bleeds == stash.Yes || y.Bleeds == stash.May
	}),
		"Wet a corner on white cloth first; if it runs, rinse cold until the water stays clear, and wash it alone.", "a yarn in it bleeds or may bleed", Recorded)
	l.add(anyYarn(c, func(y stash.YarnFacts) bool { return y.Fibre.Unknown() }),
		"Wash a sample first, lukewarm and without agitation.", "part of the fibre is not known",
		practice)
	return l
}

// during is the washing and the drying.
func (a Advice) during(c []stash.YarnFacts) []Step {
	var l list
	l.add(true, upperFirst(a.Wash.Words)+".", a.WashWhy, practice)
	l.add(marked(c, "oil"), "Scour the spinning oil out: soak in warm water with detergent, twice, without a change of temperature.", "a yarn in it is in spinning oil", practice)
	l.add(isBuilt(c, "singles", "handspun"), "Let it soak before anything else.",
		"lively yarn comes to rest in the first water", practice)
	l.add(a.Wash.Tumble && !a.Sponge, tumble, "all its yarns accept it", Recorded)
	hair, weak := hasClass(c, fibre.Wool, fibre.Animal), a.Wash.Agitation == stash.AgitateNone
	l.add(!a.Wash.Tumble && hair, flat, "wet wool and hair stretch under their own weight",
		practice)
	l.add(!a.Wash.Tumble && !hair && weak, flat, "while it is wet it bears little", practice)
	l.add(!a.Wash.Tumble && !hair && !weak, line, "", practice)
	return l
}

// after is pressing and trimming.
func after(c []stash.YarnFacts) []Step {
	l := list{press(c)}
	l.add(true, "Trim the weft tails now, when it is washed and dry, not before.",
		"a tail cut early slips out of the selvedge as the cloth draws in", practice)
	return l
}

// press says how to press, by the yarn that bears least.
func press(c []stash.YarnFacts) Step {
	metal := anyYarn(c, func(y stash.YarnFacts) bool {
		return len(y.Fibre) > 0 && y.Fibre.Hazards().Has(fibre.Metal)
	})
	switch {
	case isBuilt(c, "chenille", "boucle", "loop", "eyelash", "brushed"):
		return Step{noIron, "it flattens pile, loops and hair", practice}
	case metal || isBuilt(c, "metallised") || hasFibre(c, "acrylic"):
		return Step{coolest, "heat spoils acrylic and metallised yarn for good", practice}
	case anyYarn(c, func(y stash.YarnFacts) bool { return y.Fibre.Melts() }):
		return Step{coolest, "part of it melts, or may", practice}
	case hasClass(c, fibre.Wool, fibre.Animal):
		return Step{steam, "pressing flattens wool", practice}
	case anyYarn(c, func(y stash.YarnFacts) bool {
		return y.Fibre.MayHave(fibre.Silk) || y.Fibre.MayHave(fibre.Regenerated)
	}):
		return Step{coolest, "silk and viscose scorch", practice}
	case hasClass(c, fibre.Bast) && !anyYarn(c, bearsLess):
		return Step{damp, "linen takes its sheen while damp", practice}
	}
	return Step{lightly, "", practice}
}

// bearsLess says whether a yarn may not bear as hot an iron as linen does; cotton does
// (common practice, no source).
func bearsLess(y stash.YarnFacts) bool {
	return len(y.Fibre) == 0 || slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
		f := p.Fibre.Info()
		return f.Class != fibre.Bast && f.Class != fibre.Cellulose || f.Hazards.Has(fibre.UnknownHazard)
	})
}

// forbids is what would spoil one of the yarns.
func (a Advice) forbids(c []stash.YarnFacts) []Step {
	var l list
	felts := anyYarn(c, stash.YarnFacts.Felts)
	mayFelt := whyFelting(c)
	l.add(a.Wash.MaxC < 60, fmt.Sprintf("No water above %d °C, and no hot machine wash.",
		a.Wash.MaxC), whyGently(mayFelt, mixed(c)), practice)
	l.add(a.Wash.Agitation == stash.AgitateNone,
		"No agitation, no rubbing, no spinning while warm.", whyGently(mayFelt, mixed(c)), practice)
	l.add(!a.Wash.Tumble, "No tumble drying.", "not every yarn in it is recorded as bearing it",
		Recorded)
	l.add(a.Sponge, "No soaking and no wringing.", "one of its yarns is weak when soaked", practice)
	l.add(felts, "No sudden change from warm to cold.", mayFelt, practice)
	l.add(hasClass(c, fibre.Wool, fibre.Animal, fibre.Silk), "No bleach and no enzymes.",
		"they eat protein fibres", practice)
	l.add(hasClass(c, fibre.Rubber) || hasFibre(c, "elastane") || hasFibre(c, fibre.UnknownElastic),
		"No hot iron on the elastic.", "heat ends its stretch", practice)
	return l
}

// whyFelting says what felts, or may, and how that is known; empty where nothing does.
func whyFelting(c []stash.YarnFacts) string {
	switch {
	case anyYarn(c, func(y stash.YarnFacts) bool { return y.Shrinks == stash.ShrinksFelts }):
		return "a yarn in it is recorded as felting"
	case anyYarn(c, func(y stash.YarnFacts) bool { return y.Felts() && y.Fibre.NamesFelting() }):
		return "wool and hair may felt"
	case anyYarn(c, stash.YarnFacts.Felts):
		return "what it is of is not sure, and may felt"
	}
	return ""
}

func whyGently(felting string, mixed bool) string {
	switch {
	case felting != "":
		return felting
	case mixed:
		return "its yarns lose length differently"
	}
	return "one of its yarns does not accept it"
}
