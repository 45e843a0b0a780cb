package label

import (
	"cmp"
	"slices"
)

// keywords are the words before a text, longest first, and what the text is:
// those of English, and those of the languages of ball bands (from memory).
var keywords = keywordsOf(map[string][]string{
	"lot": {
		"dye lot", "dyelot", "dye bath", "batch", "lot", "partienummer", "partie", "part.",
		"farbbad", "bain de teinture", "bain", "lotto", "bagno",
		"lote", "baño", "banho", "partida", "verfbad", "partij", "partinr", "parti", "färgbad",
		"farvebad", "värierä", "erä", "partia", "šarže",
	},
	"colour": {
		"colourway", "colorway", "colour", "color", "shade", "col", "farbnummer", "farbnr", "farbe",
		"coloris", "couleur", "colore", "cor", "kleur",
		"farve", "färg", "väri", "farge", "kolor", "barva",
	},
	"name": {"name", "yarn"},
	"care": {"wash", "care", "pflege", "entretien", "lavaggio", "lavado", "lavagem", "wassen",
		"vask", "tvätt", "pesu", "pranie", "praní"},
})

// washes are the first words of a washing (those after the first three from
// memory).
var washes = []string{
	"hand wash", "machine wash", "dry clean", "handwäsche", "maschinenwäsche", "feinwäsche",
	"wollwäsche", "lavage à la main", "lavage en machine",
	"lavare a mano", "lavar a mano", "lavar à mão", "handwas", "håndvask", "handtvätt",
	"maskinvask", "maskintvätt", "käsinpesu", "prać ręcznie", "ruční praní",
}

// lengths are the words that a band writes before a length or a mass; they say
// no more than its unit does. From memory, but for the English ones.
var lengths = []string{
	"length", "weight", "net weight", "net", "ll", "lauflänge", "länge", "gewicht", "longueur",
	"poids", "lunghezza", "peso", "longitud", "comprimento",
	"looplengte", "lengte", "løbelængde", "løpelengde", "löplängd", "längd", "juoksevuus", "pituus",
	"paino", "długość", "waga", "délka", "hmotnost",
}

// keyword is a word and what the text behind it is.
type keyword struct{ word, kind string }

// keywordsOf sorts keywords, the longest first and then by the alphabet.
func keywordsOf(kinds map[string][]string) []keyword {
	var out []keyword
	for kind, words := range kinds {
		for _, word := range words {
			out = append(out, keyword{word, kind})
		}
	}
	slices.SortFunc(out, func(a, b keyword) int {
		return cmp.Or(len(b.word)-len(a.word), cmp.Compare(a.word, b.word))
	})
	return out
}
