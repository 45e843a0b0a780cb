package stash

import (
	"math/bits"
	"slices"
	"strings"
	"unicode"

	"endsmeet/stash/written"
)

// NearName says whether two names differ by a slip: one letter in four, at most
// two. It is the one rule of when a name that is new is asked about.
func NearName(a, b string) bool {
	a, b = Fold(a), Fold(b)
	least := min(len([]rune(a)), len([]rune(b)))
	return least >= 4 && written.Apart(a, b) <= min(2, max(1, least/4))
}

// MayBePerson says whether what was typed may mean a person of a recorded name: a word of
// it is one of theirs, or differs by a slip. Of short words, one more letter is a slip
// ("Wenn" for "Wen"). A question costs little, a rule that is passed by may cost much.
func MayBePerson(typed, recorded string) bool {
	known := personWords(recorded)
	return NearName(typed, recorded) ||
		slices.ContainsFunc(personWords(typed), func(word string) bool {
			return slices.ContainsFunc(known, func(own string) bool {
				return word == own || NearName(word, own) || longerByOne(word, own) ||
					longerByOne(own, word)
			})
		})
}

// longerByOne says whether a is b and one letter more.
func longerByOne(a, b string) bool {
	rest, begins := strings.CutPrefix(a, b)
	return begins && len([]rune(rest)) == 1
}

// personWords are the words of a name that tell people apart; where there is none, all.
func personWords(name string) []string {
	all := strings.FieldsFunc(Fold(name), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsMark(r) && !unicode.IsDigit(r)
	})
	own := slices.DeleteFunc(slices.Clone(all), func(word string) bool {
		switch word {
		case "the", "a", "an", "of", "and", "for", "to", "my", "our", "from", "s",
			"mr", "mrs", "ms", "miss", "dr":
			return true
		}
		return false
	})
	if len(own) == 0 {
		return all
	}
	return own
}

// Names knows names of yarns, and finds those that differ from another by a slip.
// The zero value knows none.
type Names struct {
	byLength map[int][]knownName
}

// knownName is a name with a mark for each of its letters: a slip changes two of
// them at most.
type knownName struct {
	name, digits string
	letters      uint64
}

func nameKnown(name string) knownName {
	k := knownName{name: Fold(name)}
	for _, r := range k.name {
		k.letters |= 1 << (uint32(r) % 64)
		if unicode.IsDigit(r) {
			k.digits += string(r)
		}
	}
	return k
}

// Add makes a name known.
func (n *Names) Add(name string) {
	if n.byLength == nil {
		n.byLength = map[int][]knownName{}
	}
	length := len([]rune(Fold(name)))
	k := nameKnown(name)
	k.name = strings.TrimSpace(name)
	n.byLength[length] = append(n.byLength[length], k)
}

// Near is a known name that differs from another by a slip, the first that was
// made known. The same name is not near, and digits are no slip: yarn 1 and
// yarn 2 are two.
func (n *Names) Near(name string) (string, bool) {
	k := nameKnown(name)
	length := len([]rune(k.name))
	for _, l := range []int{length, length - 1, length + 1, length - 2, length + 2} {
		for _, other := range n.byLength[l] {
			few := bits.OnesCount64(k.letters^other.letters) <= 4
			if few && other.digits == k.digits && Fold(other.name) != k.name &&
				NearName(k.name, other.name) {
				return other.name, true
			}
		}
	}
	return "", false
}
