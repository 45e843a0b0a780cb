package fibre_test

import (
	"strings"
	"testing"

	"endsmeet/stash/fibre"
)

// named gives what a text speaks of, in words.
func namedIn(text string) string {
	var out []string
	for _, m := range fibre.Mentions(text) {
		out = append(out, m.Word)
	}
	return strings.Join(out, ", ")
}

func TestATextThatDeniesAThingDoesNotSpeakOfIt(t *testing.T) {
	for text, want := range map[string]string{
		"no rubber": "", "not wool": "", "no wool in it": "", "wool-free, guaranteed": "",
		"elastane (not rubber)": "elastane", "contains no wool or mohair": "",
		"elastane is not latex: must not be flagged as latex": "elastane",
		"smoke free home": "", "from a smoke-free and pet-free home": "smoke, pet",
		"from a smoke and pet free home": "", "no moths seen": "", "free of latex": "", "free from wool and mohair": "",
		"There is no wool at all in this yarn": "", "it doesn't contain any wool": "",
		`label says "no lanolin"; stored with mothballs`: "mothballs",
		"weak when soaked, no stretch, hardly shrinks":   "", "no wool; almost full": "",
		"non-wool": "", "no smoke smell": "", "ohne Wolle": "", "sans laine": "",
		"latex-free elastane": "elastane", "not made of wool": "", "neither wool nor mohair": "",
		"no latex, 7 % elastane": "elastane", "not wool; angora halo": "angora",
		"No wool. The core is mohair.": "mohair",
	} {
		if got := namedIn(text); got != want {
			t.Errorf("%q speaks of %q, want %q", text, got, want)
		}
	}
}

// What denies in part, twice, with a doubt, or of something else stays a question.
func TestADenialThatIsNoneIsAQuestion(t *testing.T) {
	for _, text := range []string{
		"not only wool", "not just wool", "not all wool", "not pure wool", "not 100% wool",
		"no longer free of wool", "no longer wool-free", "not free of wool", "never without wool",
		"not without wool", "no wool?", "not sure, no wool", "no wool, I think", "nothing but wool",
		"no wool except in the core", "hardly free of wool", "almost wool-free", "no more wool",
		"it is a lie that there is no wool", "label says no wool, wrong", "no one says wool",
		"no. 5 wool", "do not wash with wool", "not as much wool", "wool", "wool, free to a good home",
		"free wool with every order", "not cotton but wool", "no dye in the wool", "not my wool",
		"used to be wool free", "no wool smell", "no wool missing", "not nearly wool free",
		"wool and latex free", "not for people who cannot wear wool", "do not tell them of the wool",
		"I doubt that there is no wool", "no wool label", "no wool (or hardly any)",
		"no synthetic, only wool", "it cannot be free of wool", "no wool could be excluded",
		"not wool-free", "no wool, wool in the core", "nowool? wool", "seller says no wool", "no wool, the shop said",
		"no wool, hardly", "hardly wool-free, hardly sheds", "if no wool, then mohair or wool",
	} {
		if got := namedIn(text); !strings.Contains(got, "wool") {
			t.Errorf("%q speaks of %q, and may be of wool", text, got)
		}
	}
}
