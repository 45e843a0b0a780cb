package people

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"endsmeet/stash"
	"endsmeet/stash/fibre"
)

// spoken is a word that names a fibre or a hazard, and where it stands. It is a
// question and never an answer: nobody has recorded that the yarn holds it.
type spoken struct {
	fibre.Mention
	where string
}

// finding is the question that the word asks. One that is a colour or an
// everyday word too is a reason to ask, no more.
func (s spoken) finding() finding {
	state, why := doubt, fmt.Sprintf("%s says %q", s.where, s.Word)
	if s.Common {
		state = near
	}
	if s.Fibre == fibre.Unknown {
		why += ", which may be anything"
	}
	return finding{state, why}
}

// InFibre is the place of a word that stands with a part of the fibre.
const InFibre = "its fibre text"

// spokenOf finds the words about fibres and hazards that stand beside the fibre
// of a yarn: in the notes of its parts, and in all words that stand with it and with its
// packages. What only says again what is recorded is left out.
func spokenOf(y stash.YarnFacts) []spoken {
	return spokenIn(y, func(text string) string { return text })
}

// spokenIn is spokenOf with every text as read leaves it.
func spokenIn(y stash.YarnFacts, read func(string) string) []spoken {
	var out []spoken
	for _, p := range y.Fibre {
		tried := fibre.Named(untested(read(p.Note)))
		for _, m := range fibre.Named(read(p.Note)) {
			if m.Fibre == fibre.Unknown && !slices.Contains(tried, m) {
				continue // "hard" of a bead, in the words of a test
			}
			if m.Fibre != p.Fibre {
				m.Common = false
				out = append(out, spoken{m, InFibre})
			}
		}
	}
	known := !y.Fibre.Unknown()
	for _, b := range y.Words() {
		b.Text = withoutUnsaying(y.Fibre, b)
		text := b.Text
		if known {
			text = withoutAnswered(y.Fibre, b)
		}
		for _, m := range fibre.Mentions(read(text)) {
			named := b.Where == stash.BesideName && m.Unsaying(text)
			if !named && !coloured(b, m) && !recordedIn(y, m) {
				m.Common = m.Common || b.Loose() || known && b.Where == stash.BesideName &&
					m.Fibre == fibre.Unknown // "mixed fibres"
				out = append(out, spoken{m, b.Where})
			}
		}
	}
	return out
}

// tested matches what somebody saw when trying a yarn, to the end of the sentence. "Burnt"
// alone may be a colour.
var tested = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\b(?:(?:burn|burning|flame|bleach|wet|water|snap|scratch|microscope)[ -]?tests?|` +
		`under (?:the|a) microscope|burns? (?:like|as|with|slowly|fast)|` +
		`smell(?:s|ed|ing)? (?:of|like) (?:burnt|burned|burning) (?:hair|feathers?|horn|paper|leaves|plastic)|` +
		`(?:burn(?:s|ed|ing)?\b|burnt(?: it|:| a)|(?:when|if|once|was) burnt)[^;.]*\b(?:smell\w*|ash\w*|beads?|melt\w*)|` +
		`(?:smell\w*|beads?|ash|melts?)\b[^;.]*\b(?:(?:when|if|once|as) (?:it )?(?:is )?burn\w*|in (?:a|the) flame))[^;.]*`)
})

// untested is a text without what somebody saw when trying the yarn: the smell of a burnt
// strand is none of the ball's.
func untested(text string) string { return tested().ReplaceAllString(text, "") }

// told are the words beside a yarn that whoever receives it should ask about: of fibres
// and hazards, and not of the tests by which somebody looked for them.
func told(y stash.YarnFacts) []spoken {
	return slices.DeleteFunc(spokenIn(y, untested), func(s spoken) bool {
		return s.Common || s.Fibre == "" && !slices.Contains(flagged, s.Topic)
	})
}

// withoutUnsaying leaves out what only says that the fibre, or how much there is of each, is
// not known, where the fibre is recorded and says as much itself.
func withoutUnsaying(c fibre.Content, b stash.Beside) string {
	if len(c) == 0 || b.Where != stash.BesideOwnNote && b.Where != stash.BesideNote {
		return b.Text
	}
	var kept []string
	for clause := range strings.SplitSeq(b.Text, ";") {
		label, said, _ := strings.Cut(strings.ToLower(strings.TrimSpace(clause)), ": ")
		if label != "flags" || !flagsUnknown[said] || c.Unknown() && !anyUncertain(c) {
			kept = append(kept, clause)
		}
	}
	text := strings.Join(kept, ";")
	if slices.ContainsFunc(c, func(p fibre.Part) bool { return p.Share == 0 }) {
		text = sharesUnknown().ReplaceAllString(text, "")
	}
	return text
}

var sharesUnknown = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?i)\b(?:shares?|percentages?) (?:are |is )?(?:not known|unknown|not stated)\b`)
})

// withoutAnswered leaves out what a fibre that is wholly known answers: how far a yarn
// gives as warp; and colours that are named after a thing.
func withoutAnswered(c fibre.Content, b stash.Beside) string {
	switch b.Where {
	case stash.BesideOwnNote:
		var kept []string
		for clause := range strings.SplitSeq(b.Text, ";") {
			label, said, _ := strings.Cut(strings.ToLower(strings.TrimSpace(clause)), ": ")
			switch {
			case label == "warp":
				clause = strings.NewReplacer("stretchy", "", "Stretchy", "").Replace(clause)
			case label == "flags" && flagsAnimal[said] && hairy(c):
				clause = ""
			}
			kept = append(kept, clause)
		}
		return strings.Join(kept, ";")
	case stash.BesideColour:
		return colourThings.Replace(strings.ToLower(b.Text))
	}
	return b.Text
}

// flagsUnknown are what sheets write where the fibre is not known.
var flagsUnknown = map[string]bool{"unknown": true, "unknown fibre": true,
	"unknown fibre (narrowed)": true, "unknown fiber": true}

// flagsAnimal are what sheets write of any hair or wool.
var flagsAnimal = map[string]bool{"animal": true, "animal fibre": true, "animal fiber": true,
	"hair": true, "hairy": true}

// hairy says whether wool or another hair is recorded.
func hairy(c fibre.Content) bool { return c.Has(fibre.Animal) || c.Has(fibre.Wool) }

// coloured says whether a word is the name of a colour where that stands: in its field, and
// behind the comma of a name, where a fibre is asked about all the same.
func coloured(b stash.Beside, m fibre.Mention) bool {
	in := b.Where == stash.BesideColour
	if i := strings.LastIndexByte(b.Text, ','); b.Where == stash.BesideName && m.Fibre == "" {
		in = i > 0 && strings.EqualFold(strings.TrimSpace(b.Text[i+1:]), m.Word)
	}
	return in && slices.Contains(colourNames, strings.ToLower(m.Word))
}

// colourNames are colours in the field for the colour, and fibres or hazards anywhere
// else. Those of metals are none: a silver yarn may hold it.
var colourNames = []string{"camel", "linen", "flax", "smoke", "smoky", "hemp", "jute", "milk", "corn",
	"maize", "egg", "bone", "horn", "shell", "pearl", "fox", "mink", "sable", "beaver", "otter", "hare",
	"cedar", "lavender", "raw", "tobacco", "moth", "weak", "aged"}

// colourThings are things that lend a colour their name.
var colourThings = strings.NewReplacer("rubber duck", "", "rubber ducky", "", "duck egg", "",
	"duckling", "", "egg shell", "", "cotton candy", "", "wool white", "")

// spokenFlags are the flags of words: "wool?".
func spokenFlags(y stash.YarnFacts) []string {
	var out []string
	for _, s := range doubtful(y) {
		switch {
		case s.Fibre == fibre.Unknown:
			out = append(out, s.Word+"?")
		case s.Fibre != "" && s.Fibre.Info().Hazards.Has(fibre.Latex):
			out = append(out, "latex?")
		default:
			out = append(out, cmp.Or(string(s.Fibre), string(s.Topic))+"?")
		}
	}
	return out
}

// Question is a word beside a yarn's fibre that leaves something open.
type Question struct {
	// Where is the place of the word, as stash.Beside has it.
	Where string
	// Text says what it leaves open.
	Text string
}

// Questions are what the words beside a yarn's fibre leave open, to be asked when
// it is recorded.
func Questions(y stash.YarnFacts) []Question {
	var out []Question
	for _, s := range doubtful(y) {
		q := Question{s.where, s.finding().why +
			": if it is in the yarn, record it; rules ask about it"}
		if !slices.Contains(out, q) {
			out = append(out, q)
		}
	}
	return out
}

// doubtful are the words of a yarn that its record does not say: about its fibre only
// where that is known, else it is asked about anyway, and beads are what burnt. A colour
// or an everyday word is none, nor is what has a flag of its own: lists are short, and
// rules ask about it all the same.
func doubtful(y stash.YarnFacts) []spoken {
	unknown := partUnknown(y.Fibre)
	return slices.DeleteFunc(spokenOf(y), func(s spoken) bool {
		return s.Common || unknown && (s.Fibre != "" || s.Topic == "beads") ||
			s.Fibre == "" && !slices.Contains(flagged, s.Topic) ||
			s.Fibre == "" && slices.Contains(topicsOf(y.Odour), s.Topic) ||
			s.Fibre == "" && slices.Contains(y.Hazards, string(s.Topic)) ||
			(s.Fibre == fibre.UnknownElastic || s.Fibre == "elastodiene") &&
				testPossibleLatex(y, "").state == hit
	})
}

// Alive says what the words beside a yarn tell of insects or mould in it, which would
// spread to what lies next to it.
func Alive(y stash.YarnFacts) []string { return toldOf(y, "insects", "mould") }

// Weak says what the words beside a yarn tell of its strength, or of what takes it: a test
// that it failed, age, the sun. Yarn that was tested since and recorded as fit for a warp
// is asked no more.
func Weak(y stash.YarnFacts) []string {
	if y.Fit == stash.FitWarp || slices.Contains(y.Hazards, "perished") {
		return nil
	}
	return toldOf(y, "weak", "perished")
}

// toldOf says what the words beside a yarn tell of some topics.
func toldOf(y stash.YarnFacts, topics ...fibre.Topic) []string {
	var out []string
	for _, s := range doubtful(y) {
		if why := s.finding().why; slices.Contains(topics, s.Topic) && !slices.Contains(out, why) {
			out = append(out, why)
		}
	}
	return out
}

// flagged are the topics that a list shows.
var flagged = []fibre.Topic{"feather", "fur", "leather", "beads", "animal parts", "mothballs",
	"smoke", "insects", "mould", "shellfish", "asbestos", "perished", "weak"}

// recordedIn says whether a word only says again what is recorded as one of the
// parts, as "hairy" does of mohair, "animal" of wool, and "superwash" of wool that is.
func recordedIn(y stash.YarnFacts, m fibre.Mention) bool {
	return strings.EqualFold(m.Word, "hairy") && hairy(y.Fibre) ||
		fibre.TreatmentOf(m.Word) == fibre.Treated && y.Superwash() && y.Fibre.Has(fibre.Wool) ||
		m.Fibre != "" && slices.ContainsFunc(y.Fibre, func(p fibre.Part) bool {
			return !p.Doubtful && (p.Fibre == m.Fibre || m.SaysNoMore(p.Fibre))
		})
}

// ifSpoken is the gravest question of the words that match.
func ifSpoken(y stash.YarnFacts, match func(fibre.Mention) bool) finding {
	return gravestOf(spokenOf(y), match)
}

// gravestOf is the gravest question of those of some words that match.
func gravestOf(words []spoken, match func(fibre.Mention) bool) finding {
	var found finding
	for _, s := range words {
		if match(s.Mention) {
			found = found.worse(s.finding())
		}
	}
	return found
}

// ofHazard matches words for a fibre with one of the hazards, and topics.
func ofHazard(h fibre.Hazard, topics ...fibre.Topic) func(fibre.Mention) bool {
	return func(m fibre.Mention) bool {
		return m.Fibre != "" && m.Fibre.Info().Hazards&h != 0 || m.Topic != "" &&
			slices.Contains(topics, m.Topic)
	}
}

// ofAnimals are the topics of what comes from an animal and is no fibre.
var ofAnimals = []fibre.Topic{"fur", "feather", "leather", "animal parts"}

// speaks says whether a word may mean what a fibre rule names.
func (t target) speaks(m fibre.Mention) bool {
	if m.Fibre == "" {
		return slices.Contains(t.of, fibre.Animal) && slices.Contains(ofAnimals, m.Topic)
	}
	p := fibre.Part{Fibre: m.Fibre}
	return t.matches(p) || t.vague(p) || t.id == m.Fibre || uncertain(p) && t.mayBe(p)
}

// wordTests are for what no fibre is and nobody records but in words.
var wordTests = []test{
	wordTest("feathers", "feathers and down", true, "feather", "animal parts"),
	wordTest("leather", "leather, suede, skin", true, "leather", "animal parts"),
	wordTest("small parts", "beads, sequins and other small parts that come off", false, "beads",
		"animal parts"),
	{name: "finish", about: "what a finish leaves: superwash, moth proofing, softener, size, mordants", argument: noArgument, yarn: testFinish},
	wordTest("mould", "mould and mildew", false, "mould"),
	wordTest("insects", "moths, beetles, mites and what is used against them", false, "insects",
		"mothballs", "pesticide"),
	wordTest("pets", "pets in the house that it came from", false, "pets"),
	wordTest("shellfish", "fibre from crab or shrimp shell, or from a mussel", true, "shellfish"),
}

// wordTest looks for topics in words. Where the thing would be part of the yarn
// a fibre that is known rules it out; else its absence says nothing.
func wordTest(name, about string, part bool, topics ...fibre.Topic) test {
	var facts []string
	if part {
		facts = []string{"fibre"}
	}
	find := func(y stash.YarnFacts, _ string) finding {
		found := ifSpoken(y, func(m fibre.Mention) bool {
			return slices.Contains(topics, m.Topic) || part && m.Fibre == fibre.Unknown
		})
		if part {
			return found.worse(fibreDoubt(y))
		}
		return found.worse(finding{silent, "nobody has recorded whether it has " + name})
	}
	return test{name: name, about: about, facts: facts, argument: noArgument, yarn: find}
}

// hiddenInWool is what the name wool leaves open: it may lawfully stand for a
// mixture of sheep's wool with the hairs of Annex I no. 2, angora among them
// (Regulation (EU) 1007/2011, Annex I no. 1). Wool of a named breed is sheep's.
func hiddenInWool(y stash.YarnFacts, argument string) finding {
	t, ok := targetOf(argument)
	if !ok || t.id == "" || t.id.Info().EU != 2 {
		return finding{}
	}
	for _, p := range y.Fibre {
		if p.Fibre == "wool" && !p.Breed() {
			return finding{silent, "what is sold as wool may hold " + string(t.id) +
				": ask which animal it is from"}
		}
	}
	return finding{}
}

// testFinish looks for a treatment that leaves something on the fibre. Superwash
// wool carries a resin, or was chlorinated (common practice, no source).
func testFinish(y stash.YarnFacts, _ string) finding {
	found := finding{silent, "nobody has recorded its finish"}
	if y.Superwash() {
		found = finding{hit, "superwash: a resin or chlorine finish keeps it from felting"}
	}
	return found.worse(ifSpoken(y, ofHazard(0, "finish", "softener", "pesticide")))
}
