package fibre

import (
	"cmp"
	_ "embed"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// namesTable holds names, trade words, short codes and hazard words in thirteen
// languages, each with where it was seen; its head says how to read it.
//
//go:embed names.tsv
var namesTable string

// Topic is a hazard that is not a fibre: "feather", "mothballs", "finish".
type Topic string

// sense is one thing that a word may mean: a fibre or a topic. The zero sense
// is a word that is understood and says nothing of its own.
type sense struct {
	fibre ID
	topic Topic
}

func (s sense) isFibre() bool { return s.fibre != "" }

// entry is what the table says of a word.
type entry struct {
	senses []sense
	// narrow words are read only in a fibre text, or beside a per cent sign or
	// another fibre: short codes, and words that are harmless in another language.
	narrow bool
	// common words are colours or everyday words too.
	common bool
	// qualifies says that it may stand beside the name of a fibre and say more of
	// it: words of the table that are no fibre. "feel" and "no" are none of them.
	qualifies bool
	// trade words say more than the name of the fibre.
	trade bool
}

func (e *entry) add(s sense) {
	for _, have := range e.senses {
		if have == s {
			return
		}
	}
	e.senses = append(e.senses, s)
}

// lexicon is the table by folded words. Longest is the number of words of the
// longest phrase that begins with a word.
type lexicon struct {
	entries map[string]*entry
	longest map[string]int
	// loose remembers the single words that were looked for loosely.
	loose *sync.Map
}

var words = sync.OnceValue(readWords)

// wordsAbout is about how many words there are.
const wordsAbout = 3000

func readWords() lexicon {
	l := lexicon{entries: make(map[string]*entry, wordsAbout),
		longest: make(map[string]int, wordsAbout), loose: &sync.Map{}}
	for line := range strings.SplitSeq(namesTable, "\n") {
		if cells := strings.Split(line, "\t"); len(cells) == 6 && line[0] != '#' {
			l.read(cells[0], cells[1], cells[2], cells[4])
		}
	}
	for _, row := range table() {
		for _, name := range row.names() {
			l.read("", string(row.ID), ownTable, name)
		}
	}
	for quality, id := range qualities {
		l.read("2c", cmp.Or(string(id), plainMeaning), ownTable, quality)
	}
	for word := range strings.FieldsSeq(plainWords) {
		l.read("", plainMeaning, ownTable, word)
	}
	return l
}

// plainMeaning marks a word of the table that says nothing of its own.
const plainMeaning = "="

// ownTable is the kind of words that do not come from the table of names, which
// say nothing against what it says of them.
const ownTable = "own"

// read takes one row of the table, under every way in which its word is typed.
func (l lexicon) read(row, means, kind, word string) {
	for _, key := range foldings(word) {
		e := l.entries[key]
		trade := row == "2c" || row != "" && row[0] == 's'
		if e == nil {
			own := kind == ownTable
			e = &entry{narrow: !own, common: !own, trade: !own || trade}
			l.entries[key] = e
		}
		if kind != ownTable {
			e.narrow = e.narrow && (kind == "code" || kind == "twin" || len(key) <= 2)
			e.common = e.common && kind == "common"
			e.trade = e.trade && trade
			e.qualifies = true
		}
		for m := range strings.SplitSeq(means, "+") {
			if topic, ok := strings.CutPrefix(m, "!"); ok {
				e.add(sense{topic: Topic(topic)})
			} else if m != plainMeaning {
				e.add(sense{fibre: ID(m)})
			}
		}
		first, _, _ := strings.Cut(key, " ")
		l.longest[first] = max(l.longest[first], strings.Count(key, " ")+1)
	}
}

// typed gives the letters that people type in pairs for one that their keyboard
// lacks.
var typed = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "ø", "oe", "å", "aa")

// foldings gives the keys under which a word is found: without accents, and
// with pairs of letters for them.
func foldings(word string) []string {
	plain := fold(word)
	if ascii(word) {
		return []string{plain}
	}
	word = strings.ToLower(norm.NFC.String(word))
	if pairs := fold(typed.Replace(word)); pairs != plain {
		return []string{plain, pairs}
	}
	return []string{plain}
}

// bare maps the letters that Unicode does not take apart.
var bare = strings.NewReplacer("ß", "ss", "ø", "o", "æ", "ae", "œ", "oe", "ł", "l", "đ", "d", "ı",
	"i", "’", "'", "-", " ", "/", " ")

// fold writes a word in small letters without accents, hyphens as spaces.
func fold(s string) string {
	if plain(s) {
		return s
	}
	if ascii(s) {
		return strings.Join(strings.FieldsFunc(strings.ToLower(s),
			func(r rune) bool { return r <= ' ' || r == '-' || r == '/' }), " ")
	}
	s = bare.Replace(strings.ToLower(s))
	out := strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, norm.NFD.String(s))
	return strings.Join(strings.Fields(out), " ")
}

// plain says whether a text is one word of small letters, which folding leaves as it is.
func plain(s string) bool {
	for i := range len(s) {
		if s[i] < 'a' || s[i] > 'z' {
			return false
		}
	}
	return true
}

// ascii says whether a text has no letter that could bear an accent, which is
// how most are.
func ascii(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// englishTwins are words of English that name a fibre or a hazard in another
// language: "or" is gold in French, "lane" wool in Italian. In a text that is English
// they mean what they mean there. Common practice, no source.
var englishTwins = sync.OnceValue(func() map[string]bool {
	return setOf("or me he get home cup chat dons mug vet lane fell other others")
})

// englishWords are words that no other of the thirteen languages has, and without
// which hardly an English sentence is written. Common practice, no source.
var englishWords = sync.OnceValue(func() map[string]bool {
	return setOf("the and with this that not from but very would could should have has will been they you your my which some any " +
		"too when than then only same next probably because free smoke house bought kept good lovely friend")
})

func setOf(words string) map[string]bool {
	set := map[string]bool{}
	for word := range strings.FieldsSeq(words) {
		set[word] = true
	}
	return set
}

// plainWords are understood in a fibre text and name nothing: what joins words,
// how a yarn is built, who says so. Common practice, no source.
const plainWords = `a an the of with without and or in on by to from for as is are it its not no some any very more less about
 says said say seller shop maker label band tag guess guessed probably perhaps maybe possibly likely unsure sure certain
 core cores wrapped wrap cover covered covering covers around round sheath halo effect binder carrier ground pile thread threads yarn yarns
 strand strands fibre fibres fiber fibers blend blended mix mixed spun twist twisted content part parts contains containing may be feel feels
 look looks like touch soft quality grade type kind count staple long short thick thin ply plied single singles cabled cord tape roving
 natural undyed hand handspun machine washable washed scoured unscoured treated untreated shrink resist white black grey gray brown cream ecru
 colour color plain bright matt dull filament hollow burn test ash smells crumbles melts bead bleach dissolves narrowed half mostly mainly all
 pure rein reine puro pur ganz tout ren hel czysty percent per cent um micron microns mean diameter lot old new second first
 stated unstated known recorded written kinds sort made used bought sold new nothing else other
 could would should full fully pull pulls pulled bull null skull dull hull gull mull contain contained corner
 corners latter mother solve solves solved stale sunny trace traces
 s z x tex ne nm denier made spinner dyer farm local organic certified combed carded gassed unmercerised slub slubby crepe boucle chenille
 brushed eyelash loop loops tweed nepps specks flecks flakes strips recycled und mit aus et avec de en e con di da og och ja i y z ze`
