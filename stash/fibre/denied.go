package fibre

import (
	"slices"
	"strings"
	"sync"

	"endsmeet/stash/written"
)

// A text may say that a thing is not there: "no wool in it", "elastane (not
// rubber)", "smoke-free home". That takes a clause of which every word is known,
// with a single denial in it, in a text that voices no doubt anywhere: what is
// denied twice ("not free of wool"), in part ("not only wool") or by somebody who is
// not sure stays a question. Common practice, no source.

// shape is what a word does in a clause that denies.
type shape int

const (
	other    shape = iota // not understood: the clause denies nothing
	frame                 // may stand before what is denied
	trailing              // may stand after it, too
	between               // may stand between the denial and what is denied, too
	denial                // "no", "not", "without"
	free                  // denies what stands before it, or what follows "free of"
	joins                 // "or", "nor"
	naming                // what is named
)

// shapes are the words of a clause that denies.
var shapes = sync.OnceValue(func() map[string]shape {
	all := map[string]shape{}
	for is, words := range map[shape]string{
		frame: `these is are was were there and i we you can find says said states does do did must should
 label band tag seller shop maker flags`,
		trailing: `it this that the of yarn yarns fibre fiber thread ply core blend content in at all here inside
 whatsoever kind anywhere seen found noticed present added used detected guaranteed definitely certified
 home house household smoking`,
		between: `a an any has have had hold holds contain contains contained containing made from
 with be flagged listed marked called recorded sold as trace traces`,
		denial: `no not without non never isn't doesn't hasn't don't zero neither
 ohne kein keine keinen nicht sans senza sin sem zonder geen uden utan uten ilman bez`,
		free:  "free frei fri vrij",
		joins: "or nor",
	} {
		for word := range strings.FieldsSeq(words) {
			all[word] = is
		}
	}
	return all
})

// limits are words with which a text takes back, in part or in whole, what it
// denies, beside those of doubt.
var limits = sync.OnceValue(func() map[string]bool {
	return setOf(`sure certain ask check unless until if whether except apart besides than only but just merely however though
 yet lie lies lied false untrue wrong wrongly incorrect mistake mistaken mislabelled mislabeled misleading fake almost nearly
 hardly barely scarcely little mostly mainly partly longer anymore once could might may contrary although
 contradicts disagree disagrees some`)
})

// grades say how much, and manners of yarn of what: "hardly shrinks", "almost full" limit
// nothing that is denied beside them. Common practice, no source.
var (
	grades  = sync.OnceValue(func() map[string]bool { return setOf("hardly barely scarcely almost nearly little") })
	manners = sync.OnceValue(func() map[string]bool {
		return setOf(`shrinks shrink shrinkage felts felt sheds shed shedding pills pill pilling bleeds bleed fades fade
 twists twist gives give used worn full new empty half snags frays`)
	})
)

// item is a phrase of a text: its entry, nil where it is not understood, and
// which words it takes.
type item struct {
	*entry
	word     string
	from, to int
	// denied says that the text says it is not there, elsewhere that it is of a person
	// or a shop.
	denied, elsewhere bool
}

func (i item) names() bool { return i.entry != nil && len(i.senses) > 0 }

// kind says whether the phrase is of one kind of a fibre: who denies merino, or pure
// wool, may mean other wool. Who denies natural rubber denies what latex is.
func (i item) kind() bool {
	elastic := slices.ContainsFunc(i.senses, func(s sense) bool {
		return s.fibre == UnknownElastic || s.fibre == "elastodiene"
	})
	return !elastic && !i.about() && (i.trade || i.to > i.from+1)
}

// about says whether all that the phrase may mean are topics.
func (i item) about() bool {
	return !slices.ContainsFunc(i.senses, sense.isFibre)
}

// deny marks the phrases of a text that it says are not there.
func deny(text string, at [][2]int, keys []string, items []item) {
	if !mayDeny(text, keys) {
		return
	}
	for start := 0; start < len(items); {
		end := start + 1
		for end < len(items) && joined(text[at[items[end].from-1][1]:at[items[end].from][0]]) {
			end++
		}
		denyIn(clauseOf(keys, items[start:end]))
		start = end
	}
}

// mayDeny says whether a text has a word that denies, and none that doubts.
func mayDeny(text string, keys []string) bool {
	denies := false
	for i, key := range keys {
		manner := i+1 < len(keys) && grades()[key] && manners()[keys[i+1]]
		if limits()[key] && !manner {
			return false
		}
		s := shapes()[key]
		denies = denies || s == denial || s == free
	}
	return denies && !written.Doubts(text)
}

// joined says whether two words with this between them are of one clause.
func joined(gap string) bool { return strings.Trim(gap, " \t-‑") == "" }

// word is a word of a clause, or a phrase that names something.
type word struct {
	shape
	of  string
	all *item
}

// clauseOf gives the words of a clause. A word of denials counts as one even where
// the table knows it as something else.
func clauseOf(keys []string, items []item) []word {
	var out []word
	for n := range items {
		i := &items[n]
		if i.names() && !i.kind() && (i.to > i.from+1 || shapes()[keys[i.from]] == other) {
			out = append(out, word{naming, "", i})
			continue
		}
		for _, key := range keys[i.from:i.to] {
			out = append(out, word{shapes()[key], key, nil})
		}
	}
	return out
}

// denyIn marks what a clause denies, if each of its words is understood and one
// alone denies.
func denyIn(clause []word) {
	at := -1
	for i, w := range clause {
		switch {
		case w.shape == other:
			return
		case (w.shape == denial || w.shape == free) && at >= 0:
			return
		case w.shape == denial, w.shape == free:
			at = i
		}
	}
	if at < 0 {
		return
	}
	if clause[at].shape == free && !(at+1 < len(clause) &&
		(clause[at+1].of == "of" || clause[at+1].of == "from")) {
		denyBefore(clause[:at], clause[at+1:])
		return
	}
	denyAfter(clause[at+1:], clause[at].shape == free)
}

// ends says whether nothing follows but what may stand after a denial.
func ends(rest []word) bool {
	return !slices.ContainsFunc(rest, func(w word) bool {
		return w.shape != trailing && w.shape != between && w.shape != naming
	})
}

// denyBefore marks what is free of: the thing just before, and what is joined
// to it where that is no fibre. "A smoke and pet free home" has neither.
func denyBefore(front, rest []word) {
	for n := len(front); n > 0 && front[n-1].shape == naming && ends(rest); n -= 2 {
		front[n-1].all.denied = true
		if n < 3 || front[n-2].of != "and" && front[n-2].shape != joins ||
			!front[n-1].all.about() || front[n-3].shape != naming || !front[n-3].all.about() {
			return
		}
	}
}

// denyAfter marks what follows a denial: one thing, and what "or" joins to it, or "and"
// after "free of".
// "No smoke smell" is of two; "no angora wool" may be of wool without angora.
func denyAfter(rest []word, free bool) {
	var things []*item
	for more := true; more; {
		for len(rest) > 0 && (rest[0].shape == between || rest[0].of == "of") {
			rest = rest[1:]
		}
		n := 0
		for ; n < len(rest) && rest[n].shape == naming; n++ {
			things = append(things, rest[n].all)
		}
		if n == 0 || n > 1 && slices.ContainsFunc(rest[:n],
			func(w word) bool { return !w.all.about() }) {
			return
		}
		if more = n < len(rest) && (rest[n].shape == joins || free && rest[n].of == "and"); more {
			n++
		}
		rest = rest[n:]
	}
	if ends(rest) {
		for _, i := range things {
			i.denied = true
		}
	}
}
