package people

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
	"endsmeet/stash/measure"
)

// Thresholds of prickle, in nanometres: a mean fibre diameter above 22 µm, or
// more than one fibre in twenty above 30 µm, prickles, whatever the fibre; it
// irritates and is no allergy (international wool body's page on skin, read).
const (
	pricklesAt  = 22_000
	coarseAbove = 30_000
)

var yarnTests = []test{
	{name: "coarse", facts: []string{"fibre"}, about: "fibre coarser than a mean diameter, " + micronWords(coarseAbove) + " where none is written",
		argument: micronArgument, yarn: testCoarse},
	{name: "lanolin", facts: []string{"fibre"}, about: "wool grease: raw or unscoured wool; other wool is a reason to ask",
		argument: noArgument, yarn: testLanolin},
	{name: "latex", facts: []string{"fibre"}, about: "natural rubber; elastane is polyurethane and no latex",
		argument: noArgument, yarn: testLatex},
	{name: "possible latex", facts: []string{"fibre"}, about: "natural rubber, or elastic of a kind not stated",
		argument: noArgument, yarn: testPossibleLatex},
	{name: "shedding", facts: []string{"shedding"}, about: "fibre that comes away, from a grade on: 1 a little, 2 plainly, 3 all over",
		argument: gradeArgument, yarn: testShedding},
	{name: "dust", facts: []string{"fibre", "shedding"}, about: "fine dust: stem and leaf fibres, tow, raw fleece, glass; lint too is asked about",
		argument: noArgument, yarn: testDust},
	{name: "loops", facts: []string{"construction"}, about: "loops that catch a finger or a tube", argument: noArgument,
		yarn: testLoops,
		form: func(f PieceForm, _ string) finding { return when(f.Loops, "the cloth has loops") }},
	{name: "long ends", facts: []string{"construction"}, about: "eyelash and other long loose ends in the yarn",
		argument: noArgument, yarn: testLongEnds},
	{name: "metal", facts: []string{"fibre", "construction"}, about: "metal and metallised yarn", argument: noArgument, yarn: testMetal},
	{name: "odour", facts: []string{"odour"}, about: "a smell: any, or the one named (smoke, mothballs, perfume)",
		argument: odourArgument, yarn: testOdour},
	{name: "bleeds", facts: []string{"bleeds"}, about: "dye that runs or rubs off", argument: noArgument, yarn: testBleeds},
	{name: "survives", facts: []string{"wash"}, about: "a need: washing that it must bear, as in 60 C normal tumble",
		need:     true,
		argument: washArgument, yarn: testSurvives},
	{name: "melts", facts: []string{"fibre"}, about: "fibres that melt in heat", argument: noArgument, yarn: testMelts},
	{name: "perished", about: "yarn gone weak or brittle with age", argument: noArgument,
		yarn: hazardTest("perished")},
	{name: "oil", about: "spinning oil not yet washed out", argument: noArgument,
		yarn: hazardTest("oil")},
	{name: "thick", facts: []string{"count"}, about: "yarn of so many tex or more, 500 where none is written",
		argument: texArgument, yarn: testThick},
}

// when is a hit on a condition.
func when(is bool, why string) finding {
	if is {
		return finding{hit, why}
	}
	return finding{}
}

// anyUncertain says whether the content has a part that is not known.
func anyUncertain(c fibre.Content) bool {
	return len(c) == 0 || slices.ContainsFunc(c, uncertain)
}

// fibreDoubt is what unknown fibre leaves open for tests that hang on it.
func fibreDoubt(y stash.YarnFacts) finding {
	switch {
	case len(y.Fibre) == 0:
		return noFibre
	case slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
		return p.Doubtful || p.Fibre.Info().Class == fibre.ClassUnknown
	}):
		return finding{doubt, "part of its fibre is not known"}
	}
	return roughly(y)
}

// marked says whether a hazard was set by hand.
func marked(y stash.YarnFacts, hazard string) finding {
	return when(slices.Contains(y.Hazards, hazard), "it is marked "+hazard)
}

// hazardTest tests a mark that only a hand can set; its absence says nothing.
func hazardTest(hazard string) func(stash.YarnFacts, string) finding {
	return func(y stash.YarnFacts, _ string) finding {
		said := ifSpoken(y, ofHazard(0, fibre.Topic(hazard),
			map[string]fibre.Topic{"oil": "grease", "perished": "weak"}[hazard]))
		return finding{silent, "nobody has recorded whether it is " +
			hazard}.worse(marked(y, hazard)).worse(said)
	}
}

// noted says whether a part of the content is noted with one of the words.
func noted(y stash.YarnFacts, words ...string) bool {
	return slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
		note := strings.ToLower(p.Note)
		return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(note, w) })
	})
}

func testCoarse(y stash.YarnFacts, argument string) finding {
	limit := microns(argument)
	found := marked(y, "prickle")
	if len(y.Fibre) == 0 {
		return found.worse(noFibre)
	}
	for _, p := range y.Fibre {
		found = found.worse(coarse(p, limit))
	}
	return found.worse(ifSpoken(y, func(m fibre.Mention) bool {
		class := m.Fibre.Info().Class
		return m.Fibre != "" && (class == fibre.Wool || class == fibre.Animal ||
			class == fibre.ClassUnknown)
	}))
}

// coarse tests one part. A hair of unknown diameter may be coarse; of other
// fibres the diameter is seldom known.
func coarse(p fibre.Part, limit int64) finding {
	name := p.Fibre.Word()
	class := p.Fibre.Info().Class
	switch um := micronWords(p.DiameterNM); {
	case p.DiameterNM > limit:
		return finding{hit, name + " of " + um}
	case p.DiameterNM > pricklesAt && limit == coarseAbove:
		return finding{near, name + " of " + um + ": from " + micronWords(pricklesAt) +
			" on many people feel a prickle"}
	case p.DiameterNM > 0:
		return finding{}
	case p.Fibre == "cotton" && !p.Doubtful, class == fibre.Silk && !p.Doubtful:
		return finding{} // 11 to 22 um and about 12 um, from memory
	case uncertain(p) && (fibre.Content{p}.MayHave(fibre.Wool)), class == fibre.Wool,
		class == fibre.Animal:
		return finding{doubt, "the diameter of its " + name + " is not recorded"}
	}
	return finding{silent, "the diameter of its " + name + " is not recorded"}
}

func testLanolin(y stash.YarnFacts, _ string) finding {
	found := marked(y, "lanolin").worse(when(noted(y, "grease", "raw", "unscoured"),
		"its wool is noted as raw or in the grease"))
	if y.Fibre.Has(fibre.Wool) {
		found = found.worse(finding{maybe,
			"wool may carry lanolin; superwash or well-scoured wool often carries little"})
	}
	if y.Fibre.Hazards().Has(fibre.PossibleLanolin) && partUnknown(y.Fibre) {
		found = found.worse(finding{doubt, "its fibre is not known and may be wool with lanolin"})
	}
	found = found.worse(ifSpoken(y, ofHazard(fibre.PossibleLanolin, "lanolin", "grease", "raw")))
	return found.worse(roughly(y))
}

// roughly is the finding for fibre that is narrowed down but not known.
func roughly(y stash.YarnFacts) finding {
	if partUnknown(y.Fibre) {
		return finding{silent, "its fibre is known only roughly"}
	}
	return finding{}
}

func testLatex(y stash.YarnFacts, _ string) finding {
	found := marked(y, "latex")
	if len(y.Fibre) > 0 && y.Fibre.Hazards().Has(fibre.Latex) {
		found = found.worse(finding{hit, "natural rubber"})
	}
	if open := latexOpen(y); open != "" {
		found = found.worse(finding{doubt, open})
	}
	return found.worse(ifSpoken(y, ofHazard(fibre.Latex|fibre.PossibleLatex))).worse(roughly(y))
}

// latexOpen says why rubber cannot be ruled out, empty where it can.
func latexOpen(y stash.YarnFacts) string {
	switch {
	case mayBeRubber(y):
		return rubberPerhaps
	case y.Fibre.Hazards().Has(fibre.PossibleLatex):
		return "its fibre is not known and may hold rubber"
	}
	return ""
}

const rubberPerhaps = "elastic of a kind not stated, or rubber said to be synthetic: it may be natural rubber"

// mayBeRubber says whether an elastic is recorded, or marked, that may be rubber.
func mayBeRubber(y stash.YarnFacts) bool {
	return slices.Contains(y.Hazards, "possible latex") || slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
		return p.Fibre != fibre.Unknown && p.Fibre.Info().Hazards.Has(fibre.PossibleLatex)
	})
}

func testPossibleLatex(y stash.YarnFacts, _ string) finding {
	found := testLatex(y, "")
	if mayBeRubber(y) {
		return finding{hit, rubberPerhaps}.worse(found)
	}
	return found
}

func testShedding(y stash.YarnFacts, argument string) finding {
	if y.Shedding == nil {
		return finding{doubt, "whether it sheds is not recorded"}
	}
	least, err := strconv.Atoi(argument)
	if err != nil {
		least = 1
	}
	return when(*y.Shedding >= least, fmt.Sprintf("it sheds, grade %d of 3", *y.Shedding))
}

// dusty says why a yarn gives off dust when it is wound and woven, empty where
// nothing recorded says so. Spun cotton is left to its shedding grade: the
// published limits for cotton dust are about mills and do not cover weaving
// at home (29 CFR 1910.1043(a), read).
func dusty(y stash.YarnFacts) string {
	switch {
	case slices.Contains(y.Hazards, "dust"):
		return "it is marked dust"
	case slices.Contains(y.Construction, "tow"):
		return "it is tow"
	case noted(y, "fleece", "raw"):
		return "it is noted as raw or fleece"
	}
	for _, p := range y.Fibre {
		if f := p.Fibre.Info(); f.Hazards.Has(fibre.Dust) &&
			(f.Class == fibre.Bast || f.Class == fibre.Mineral) {
			return string(p.Fibre) + " gives off dust"
		}
	}
	return ""
}

// testDust asks about lint as well: who says dust may mean either.
func testDust(y stash.YarnFacts, _ string) finding {
	if why := dusty(y); why != "" {
		return finding{hit, why}
	}
	return fibreDoubt(y).worse(ifSpoken(y, dustySpoken)).worse(lint(y))
}

// dustySpoken matches words for stem and leaf fibres, glass, and dust itself.
func dustySpoken(m fibre.Mention) bool {
	f := m.Fibre.Info()
	return m.Fibre != "" && f.Hazards.Has(fibre.Dust) && f.Class != fibre.Cellulose ||
		m.Fibre == fibre.Unknown ||
		slices.Contains([]fibre.Topic{"dust", "raw", "mould", "asbestos"}, m.Topic)
}

// lint is loose fibre, which is dust to some people.
func lint(y stash.YarnFacts) finding {
	switch {
	case y.Shedding == nil:
		return finding{silent, "whether it sheds lint is not recorded"}
	case *y.Shedding > 0:
		return finding{near, fmt.Sprintf("it sheds lint, grade %d of 3: is that meant by dust as well?", *y.Shedding)}
	}
	return finding{}
}

// built tests the construction and a mark set by hand.
func built(y stash.YarnFacts, hazard string, is func(word string) bool) finding {
	found := marked(y, hazard)
	if i := slices.IndexFunc(y.Construction, is); i >= 0 {
		found = found.worse(finding{hit, "its construction is " + y.Construction[i]})
	}
	if len(y.Construction) == 0 {
		found = found.worse(finding{silent, "its construction is not recorded"})
	}
	return found
}

func testLoops(y stash.YarnFacts, _ string) finding {
	return ifSpoken(y, ofHazard(0, "loops")).worse(testBuiltLoops(y))
}

func testBuiltLoops(y stash.YarnFacts) finding {
	return built(y, "loops", func(word string) bool { return stash.ConstructionOf(word).Loops })
}

func testLongEnds(y stash.YarnFacts, _ string) finding {
	return ifSpoken(y, ofHazard(0, "long ends")).worse(testBuiltLongEnds(y))
}

func testBuiltLongEnds(y stash.YarnFacts) finding {
	return built(y, "long ends", func(word string) bool { return stash.ConstructionOf(word).LongEnds })
}

func testMetal(y stash.YarnFacts, _ string) finding {
	found := built(y, "metal", func(word string) bool { return word == "metallised" })
	for _, p := range y.Fibre {
		found = found.worse(when(p.Fibre.Info().Hazards.Has(fibre.Metal), partWords(p)))
	}
	found = found.worse(ifSpoken(y, func(m fibre.Mention) bool {
		return m.Fibre == fibre.Unknown || m.Fibre != "" && m.Fibre.Info().Hazards.Has(fibre.Metal)
	}))
	if found.state == silent && !partUnknown(y.Fibre) {
		return finding{} // the fibres are known and none is metal
	}
	return found.worse(fibreDoubt(y))
}

func testMelts(y stash.YarnFacts, _ string) finding {
	for _, p := range y.Fibre {
		if p.Fibre.Info().Melts && p.Fibre != fibre.Unknown {
			return finding{hit, partWords(p) + " melts"}
		}
	}
	return fibreDoubt(y).worse(ifSpoken(y, func(m fibre.Mention) bool {
		return m.Fibre != "" && m.Fibre.Info().Melts
	}))
}

// testOdour reads the odour as the weaver wrote it; "none" is a recorded none.
func testOdour(y stash.YarnFacts, argument string) finding {
	smell, recorded := smellOf(y)
	about := func(m fibre.Mention) bool {
		return slices.Contains(odours, m.Topic) && (argument == "" || m.Topic == "smell" ||
			slices.Contains(topicsOf(argument), m.Topic))
	}
	found := gravestOf(spokenIn(y, untested), about)
	switch {
	case !recorded:
		return found.worse(finding{silent, "its smell is not recorded"})
	case smell == "":
		return found
	}
	is := strings.Contains(smell, argument) || slices.ContainsFunc(fibre.Named(smell), about)
	if smell == "smells" {
		return found.worse(when(is, "it smells"))
	}
	return found.worse(when(is, "it smells: "+smell))
}

// odours are the topics that a nose finds.
var odours = []fibre.Topic{"smell", "smoke", "mothballs", "scent", "softener", "mould"}

// topicsOf gives the topics that a text speaks of.
func topicsOf(text string) []fibre.Topic {
	var out []fibre.Topic
	for _, m := range fibre.Named(text) {
		out = append(out, m.Topic)
	}
	return out
}

func testBleeds(y stash.YarnFacts, _ string) finding {
	switch y.Bleeds {
	case stash.Yes:
		return finding{hit, "its dye runs"}
	case stash.May:
		return finding{maybe, "its dye may run; wash it until the water stays clear"}
	case stash.No:
		return ifSpoken(y, ofHazard(0, "bleeds"))
	}
	return finding{silent, "whether its dye runs is not recorded"}.worse(ifSpoken(y,
		ofHazard(0, "bleeds")))
}

func testThick(y stash.YarnFacts, argument string) finding {
	if y.Tex() == 0 {
		return finding{doubt, "its count is not recorded"}
	}
	tex, _ := strconv.ParseInt(strings.TrimSuffix(argument, " tex"), 10, 64)
	return when(y.Tex() >= measure.Count(tex)*measure.Tex,
		"it is "+y.Tex().Within(y.CountDoubt(nil)))
}
