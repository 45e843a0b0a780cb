package measure

import (
	"math/big"
	"slices"
	"strings"
	"sync"
)

// kind is what sort of quantity a unit belongs to.
type kind int

const (
	kindNone kind = iota
	kindMass
	kindLength
	kindSett
	kindRatio
	kindCount
)

// kinds holds how a message names each kind and lists its units.
var kinds = map[kind]struct{ name, units, example string }{
	kindMass:   {"a weight", "a weight is in mg, g, kg, oz or lb", "g"},
	kindLength: {"a length", "a length is in mm, cm, m, km, in, ft or yd", "cm"},
	kindSett:   {"a sett", "write it like 8/cm, 80/10cm, 20/in or 20epi", "/cm"},
	kindRatio:  {"a ratio", "write it like 12% or 0.12", "%"},
	kindCount:  {"a yarn count", "write it like 8/2 Ne, Nm 28/2, 34 tex or 1450 yd/lb", " tex"},
}

// unit is one unit of mass (in mg) or length (in mm). Inch-pound values are
// exact by definition: 1 lb = 453.59237 g, 1 in = 25.4 mm.
type unit struct {
	kind kind
	size *big.Rat
}

// unitWords holds every spelling, in lower case.
var unitWords = sync.OnceValue(buildUnits)

func buildUnits() map[string]unit {
	words := map[string]unit{}
	add := func(k kind, size string, spellings string) {
		r, _ := new(big.Rat).SetString(size)
		for _, w := range strings.Fields(spellings) {
			words[w] = unit{k, r}
		}
	}
	add(kindMass, "1", "mg milligram milligrams milligramme milligrammes")
	add(kindMass, "1000", "g gm gms gram grams gramme grammes")
	add(kindMass, "1000000", "kg kgs kilo kilos kilogram kilograms kilogramme kilogrammes")
	add(kindMass, "453592.37", "lb lbs pound pounds")
	add(kindMass, "45359237/1600", "oz ounce ounces")
	add(kindMass, "64.79891", "grain grains")
	add(kindLength, "1", "mm millimetre millimetres millimeter millimeters")
	add(kindLength, "10", "cm centimetre centimetres centimeter centimeters")
	add(kindLength, "100", "dm decimetre decimetres decimeter decimeters")
	add(kindLength, "1000", "m metre metres meter meters")
	add(kindLength, "1000000", "km kilometre kilometres kilometer kilometers")
	add(kindLength, "25.4", `in ins inch inches " ″ ” ''`)
	add(kindLength, "304.8", "ft foot feet ' ′ ’")
	add(kindLength, "914.4", "yd yds yard yards")
	return words
}

// otherKinds names units that a weight or a length is sometimes mistaken for.
var otherKinds = map[string]kind{
	"epi": kindSett, "ppi": kindSett, "epc": kindSett, "ppc": kindSett, "ends": kindSett,
	"picks": kindSett,
	"%":     kindRatio, "percent": kindRatio,
	"tex": kindCount, "dtex": kindCount, "den": kindCount, "denier": kindCount,
	"ne": kindCount, "nm": kindCount, "new": kindCount, "lea": kindCount, "wpi": kindCount,
}

// kindOfWord gives the kind of a unit word, in any letter case.
func kindOfWord(word string) kind {
	word = strings.ToLower(word)
	if u, ok := unitWords()[word]; ok {
		return u.kind
	}
	return otherKinds[word]
}

// IsUnit says whether a word is a unit that may stand apart behind its number: of mass or
// length, a yarn count, a sett or the percent sign.
func IsUnit(word string) bool {
	word = strings.ToLower(word)
	_, is := unitWords()[word]
	return is || slices.Contains([]string{"%", "tex", "ne", "nm", "epi", "ppi"}, word)
}
