package fibre

import (
	"slices"
	"strings"
	"sync"
	"unicode"
)

// Mention is a word of a text that names a fibre or a hazard.
type Mention struct {
	// Word is the word as it was written.
	Word string
	// Fibre is the fibre that it may mean, empty where it means a topic. A word
	// that is not understood may mean any: it is Unknown.
	Fibre ID
	Topic Topic
	// Common says that it is a colour or an everyday word too, or of a person or a shop.
	Common bool
}

// Unsaying says whether the word only says that nobody knows. In the name of a yarn it
// contradicts nothing that is recorded, and proves nothing, unless it has a share there.
func (m Mention) Unsaying(name string) bool {
	return (strings.EqualFold(m.Word, "unknown") || strings.EqualFold(m.Word, "mystery")) &&
		!strings.Contains(name, "%")
}

// Mentions finds what a free text names: the name of a yarn, a note. Words that
// are not understood are passed over, since names are invented; so are those of
// the table that are harmless in another language, unless a per cent sign or a
// fibre stands in the text as well. What is an everyday word of English is one in
// an English text.
func Mentions(text string) []Mention {
	found, narrow, _ := scan(text)
	if english(text) {
		found, narrow = slices.DeleteFunc(found, isEnglish), slices.DeleteFunc(narrow, isEnglish)
	}
	if len(found) > 0 || strings.Contains(text, "%") {
		found = append(found, narrow...)
	}
	return found
}

// english says whether a text has words that only English has.
func english(text string) bool {
	return slices.ContainsFunc(wordsOf(text), func(at [2]int) bool {
		return englishWords()[strings.ToLower(text[at[0]:at[1]])]
	})
}

func isEnglish(m Mention) bool { return englishTwins()[strings.ToLower(m.Word)] }

// Named finds what part of a fibre text names. A word that is not understood
// may be any fibre, and is kept as Unknown.
func Named(text string) []Mention {
	found, narrow, unread := scan(text)
	found = append(found, narrow...)
	for _, word := range unread {
		found = append(found, Mention{Word: word, Fibre: Unknown})
	}
	return found
}

// wordsOf gives where the words of a text begin and end: letters, and apostrophes
// between them.
func wordsOf(text string) (at [][2]int) {
	start, apostrophe := -1, false
	for i, r := range text + " " {
		switch {
		case unicode.IsLetter(r), unicode.IsMark(r):
			if start < 0 {
				start = i
			}
			apostrophe = false
		case start >= 0 && !apostrophe && (r == '\'' || r == '’'):
			apostrophe = true
		case start >= 0:
			word := strings.TrimRight(text[start:i], "'’")
			at = append(at, [2]int{start, start + len(word)})
			start, apostrophe = -1, false
		}
	}
	return at
}

// scan reads a text word by word, the longest phrase first. What it says is not
// there is left out.
func scan(text string) (found, narrow []Mention, unread []string) {
	for _, i := range itemsOf(text) {
		switch {
		case i.denied:
		case i.entry == nil:
			unread = append(unread, i.word)
		case i.narrow:
			narrow = append(narrow, i.mentions()...)
		default:
			found = append(found, i.mentions()...)
		}
	}
	return found, narrow, unread
}

// itemsOf divides a text into phrases, and marks those that it denies.
func itemsOf(text string) []item {
	at := wordsOf(text)
	keys := make([]string, len(at))
	for i, span := range at {
		keys[i] = fold(text[span[0]:span[1]])
	}
	items := make([]item, 0, len(at))
	for i := 0; i < len(at); {
		e, n := phrase(keys[i:])
		items = append(items, item{entry: e, from: i, to: i + n, word: text[at[i][0]:at[i+n-1][1]]})
		i += n
	}
	deny(text, at, keys, items)
	for n := range items {
		items[n].elsewhere = ofElsewhere(keys, items[n])
	}
	return items
}

// ofElsewhere says whether a phrase is the name of a person or of where yarn is
// sold: "Mrs Woolley", "the wool shop".
func ofElsewhere(keys []string, i item) bool {
	return i.from > 0 && titles()[keys[i.from-1]] || i.to < len(keys) && sellers()[keys[i.to]]
}

// titles and sellers are words of English. Common practice, no source.
var (
	titles  = sync.OnceValue(func() map[string]bool { return setOf("mr mrs ms miss dr aunt uncle auntie") })
	sellers = sync.OnceValue(func() map[string]bool {
		return setOf("shop shops store stores fair festival market stall show exchange guild museum week weekend weekender")
	})
)

func (i item) mentions() []Mention {
	var out []Mention
	for _, s := range i.senses {
		out = append(out, Mention{i.word, s.fibre, s.topic, i.common || i.elsewhere})
	}
	return out
}

// phrase finds the entry of the longest phrase that the words begin with, and
// how many words it has. A single word may be inflected or compounded.
func phrase(keys []string) (*entry, int) {
	l := words()
	for n := min(l.longest[keys[0]], len(keys)); n > 0; n-- {
		if e := l.entries[strings.Join(keys[:n], " ")]; e != nil {
			return e, n
		}
	}
	if e, known := l.loose.Load(keys[0]); known {
		return e.(*entry), 1
	}
	e := l.loosely(keys[0])
	l.loose.Store(keys[0], e)
	return e, 1
}

// loosely finds a single word that is written with an article, inflected, or
// compounded; nil where it is not understood.
func (l lexicon) loosely(key string) *entry {
	if _, rest, ok := strings.Cut(key, "'"); ok && len(rest) > 2 {
		if e := l.entries[rest]; e != nil {
			return e
		}
	}
	for _, end := range endings {
		stem, ok := strings.CutSuffix(key, end.is)
		if e := l.entries[stem+end.was]; ok && len(stem) >= 3 && e != nil && !e.narrow &&
			len(stem+end.was) >= 4 && len(e.senses) > 0 {
			return e
		}
	}
	for _, s := range stems {
		if s.in(key) {
			return &entry{senses: []sense{{fibre: s.means}}}
		}
	}
	return nil
}

// endings turn an inflected word back into that of the table. They are tried on
// free text only, where a false alarm costs a question; from memory.
var endings = []struct{ is, was string }{
	{"s", ""}, {"es", ""}, {"e", ""}, {"en", ""}, {"en", "e"}, {"n", ""}, {"er", ""}, {"er", "e"},
	{"ern", ""}, {"et", ""}, {"ene", ""}, {"free", ""},
	{"a", ""}, {"ta", ""}, {"tta", ""}, {"sta", ""}, {"ssa", ""}, {"lla", ""}, {"in", "i"},
	{"in", ""}, {"ja", ""}, {"eja", "i"}, {"ia", "i"},
	{"y", "a"}, {"y", ""}, {"u", ""}, {"u", "a"}, {"i", ""}, {"i", "a"}, {"em", ""}, {"iem", ""},
	{"ou", "a"}, {"e", "a"}, {"iany", "a"}, {"iana", "a"},
	{"owy", ""}, {"owy", "a"}, {"owa", "a"}, {"owa", ""}, {"ovy", ""}, {"ovy", "a"}, {"ova", ""},
	{"ova", "a"}, {"eny", "a"}, {"ena", "a"}, {"ny", ""},
	{"i", "o"}, {"he", "a"}, {"os", "o"}, {"as", "a"}, {"ie", "ia"}, {"ul", ""}, {"nene", ""},
}

// stem is part of a compound. Where says on which side the rest may stand.
type stem struct {
	part  string
	means ID
	where string // "in" anywhere, "front", "end"
}

func (s stem) in(key string) bool {
	switch s.where {
	case "front":
		return strings.HasPrefix(key, s.part)
	case "end":
		return strings.HasSuffix(key, s.part)
	}
	return strings.Contains(key, s.part)
}

// stems are a closed list, cotton first, since its words end in those for wool;
// those of rubber are wide on purpose. From memory.
var stems = slices.Concat(
	stemsOf("cotton", "in", "baumwoll", "bomull", "bomuld", "puuvill", "bawel", "bavln", "cotton",
		"katoen"),
	stemsOf("viscose", "in", "zellwoll", "kunstseid", "kunstsilk", "konstsilk", "kunstzij",
		"tekosilk"),
	stemsOf("glass", "in", "glaswoll", "glasuld", "glasull", "steinwoll"),
	stemsOf("metal", "in", "stahlwoll", "stalull", "staluld"),
	stemsOf("abaca", "in", "manilahan", "manilaham", "manillaham"),
	stemsOf("elastodiene", "in", "latex", "lateks", "gummi", "gumm", "kautschu", "kautsju",
		"kautsu", "kauczuk", "kaucuk", "caoutch", "caucho", "cauchu",
		"caucciu", "borracha", "rubber", "elastodi", "lastex", "isopren"),
	stemsOf("elastodiene", "front", "kumi", "guma", "gumow", "gumov", "gomma", "gomme", "goma",
		"pryz"),
	stemsOf("synthetic rubber", "in", "neopren"),
	stemsOf("mohair", "in", "mohair", "moherow"), stemsOf("angora", "in", "angora"),
	stemsOf("alpaca", "in", "alpaca", "alpaka", "alpakk", "alpack"),
	stemsOf("cashmere", "in", "cashmer", "kaschmir", "kashmir", "kasjmir", "kaszmir", "cachemir"),
	stemsOf("silk", "in", "seiden", "seide", "silke", "zijde", "silkki", "hedvab", "jedwab"),
	stemsOf("silk", "end", "silk", "soie"),
	stemsOf("wool", "in", "merino", "schurwoll", "lambswool", "lamswol", "wool"),
	stemsOf("wool", "end", "wolle", "wol", "ull", "uld", "villa", "welna", "vlna", "laine"),
	stemsOf("wool", "front", "woll", "villase", "ullbl", "uldbl", "welni", "vlnen"),
	stemsOf(UnknownElastic, "front", "elastik", "elastis", "elastiq"),
	stemsOf("linen", "end", "leinen", "linnen"),
)

func stemsOf(means ID, where string, parts ...string) []stem {
	var out []stem
	for _, p := range parts {
		out = append(out, stem{p, means, where})
	}
	return out
}

// isFibre says whether the word names a fibre and no other hazard.
func (m Mention) isFibre() bool { return m.Fibre != "" }
