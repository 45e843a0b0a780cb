package fibre

import (
	"regexp"
	"slices"
	"strings"
	"sync"

	"endsmeet/stash/measure"
	"endsmeet/stash/written"
)

// ParseContent reads a fibre content:
//
//	cotton 60, linen 40            60% cotton 40% linen
//	cotton                         alone it is 100 %
//	wool (merino, 18.5 um) 100     a mean fibre diameter and a note
//	unknown                        cellulose?   narrowed to cellulose
//	cotton?                        probably cotton
//	wool ?, nylon ?                shares not known
//
// Names may be generic or customary (linen or flax, nylon or polyamide), and in
// the languages of ball bands; a word that may mean several fibres is an unknown
// one with the word as its note. What else stands in brackets is kept as a note. Shares
// that add up to anything but 100 %, a fibre named twice, unless in two languages, and a name that is not in the
// table are refused with a *measure.Error.
func ParseContent(s string) (Content, error) {
	r := &reader{in: s}
	if err := r.read(); err != nil {
		return nil, err
	}
	if len(r.parts) == 0 {
		return nil, r.fail(0, "names no fibre", "like cotton 60, linen 40, or unknown")
	}
	content, err := r.content()
	if err != nil {
		return nil, err
	}
	if err := r.shares(content); err != nil {
		return nil, err
	}
	r.doubted(content)
	return content, nil
}

// draft is a part while it is being read.
type draft struct {
	at       int // byte offset of its first token
	words    []string
	share    string // digits, or "?" for not known
	first    bool   // the share stood before the name
	diameter string
	notes    []string
	asked    bool // a question mark stood at the name
	behind   bool // brackets stood behind name and share
	slash    bool // a slash or a dash stood before it, as between two languages
}

// reader splits a content into drafts.
type reader struct {
	in    string
	cur   draft
	open  bool
	slash bool
	parts []draft
}

func (r *reader) fail(at int, problem, hint string) error {
	return &measure.Error{Input: r.in, Pos: at, Problem: problem, Hint: hint}
}

// token matches one piece of a content: brackets, a diameter, a share, a
// name, a question mark, a separator.
var token = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^(?:(\([^()]*\))|(\d+(?:[.,]\d+)?)\s*(?:um|µm|μm|microns?)\b|(\d+(?:[.,]\d+)?)(?:\s*%)?|([\pL][\pL'’./-]*)|(\?)|([,;+&|/\n–-]))`)
})

const (
	tokBrackets = 1 + iota
	tokDiameter
	tokShare
	tokWord
	tokAsk
	tokBreak
)

func (r *reader) read() error {
	for pos := 0; pos < len(r.in); {
		if strings.ContainsRune(" \t\r\u00a0", firstRune(r.in[pos:])) {
			pos += len(string(firstRune(r.in[pos:])))
			continue
		}
		m := token().FindStringSubmatchIndex(r.in[pos:])
		if m == nil {
			return r.fail(pos, "cannot read "+quoted(r.in[pos:])+" here",
				"like cotton 60, linen 40")
		}
		kind := tokBrackets
		for m[2*kind] < 0 {
			kind++
		}
		r.add(kind, r.in[pos+m[2*kind]:pos+m[2*kind+1]], pos)
		pos += m[1]
	}
	r.flush()
	return nil
}

func firstRune(s string) rune {
	for _, r := range s {
		return r
	}
	return 0
}

// add takes one token into the current part, or starts the next part.
func (r *reader) add(kind int, text string, pos int) {
	word := strings.ToLower(text)
	switch {
	case kind == tokBreak, kind == tokWord && slices.Contains(conjunctions, word):
		r.flush()
		r.slash = strings.ContainsAny(text, "/–-")
		return
	case kind == tokWord && strings.Contains(word, "/") && !isName(word):
		for i, one := range strings.Split(word, "/") {
			if r.slash = i > 0; r.slash {
				r.flush()
			}
			r.add(tokWord, one, pos)
		}
		return
	case kind == tokShare && (r.cur.share != "" || r.saysAgain()), kind == tokWord && r.full():
		r.flush()
	}
	if !r.open {
		r.open, r.cur, r.slash = true, draft{at: pos, slash: r.slash}, false
	}
	switch kind {
	case tokBrackets:
		r.cur.behind = len(r.cur.words) > 0 && r.cur.share != ""
		r.cur.notes = append(r.cur.notes, text[1:len(text)-1])
	case tokDiameter:
		r.cur.diameter = text
	case tokShare:
		r.cur.share, r.cur.first = text, len(r.cur.words) == 0
	case tokWord:
		r.cur.words = append(r.cur.words, strings.TrimRight(word, "/.-"))
	case tokAsk:
		r.ask(pos)
	}
}

// conjunctions are the words for "and" between two fibres.
var conjunctions = []string{"and", "und", "et", "e", "y", "i", "a", "og", "och", "ja", "en", "plus"}

// isName says whether a word with a slash in it is the name of a fibre.
func isName(word string) bool {
	_, _, ok := named([]string{word})
	return ok
}

// saysAgain says whether the current part is no more than the one before in another
// language: "80 % Wolle / laine".
func (r *reader) saysAgain() bool {
	i := len(r.parts) - 1
	for i > 0 && r.parts[i].slash && r.parts[i].share == "" {
		i--
	}
	if !r.cur.slash || i < 0 || !r.parts[i].first {
		return false
	}
	before, _, known := named(r.parts[i].words)
	now, _, ok := named(r.cur.words)
	return known && ok && before.ID == now.ID
}

// full says whether the current part has its name and, behind it, its share.
func (r *reader) full() bool { return len(r.cur.words) > 0 && r.cur.share != "" && !r.cur.first }

// ask takes a question mark: touching the name it doubts the fibre, standing
// alone the share.
func (r *reader) ask(pos int) {
	if pos > 0 && !strings.ContainsRune(" )\t", rune(r.in[pos-1])) {
		r.cur.asked = true
	} else {
		r.cur.share = "?"
	}
}

func (r *reader) flush() {
	if r.open {
		r.parts = append(r.parts, r.cur)
	}
	r.open, r.cur = false, draft{}
}

// content turns the drafts into parts, and keeps in r.parts the drafts that
// became one: "cellulose, probably cotton" is one part with a note.
func (r *reader) content() (Content, error) {
	var out Content
	drafts := r.parts
	r.parts = nil
	for _, d := range drafts {
		if _, hedged := unhedged(d.words); hedged && d.share == "" && len(out) > 0 &&
			out[len(out)-1].unknown() {
			last := &out[len(out)-1]
			last.Note = cleanNote(strings.Join(append([]string{last.Note,
				strings.Join(d.words, " ")}, d.notes...), ", "))
			if err := r.short(last.Note, d.at); err != nil {
				return nil, err
			}
			continue
		}
		if rest, hedged := unhedged(d.words); hedged && len(rest) == 0 && len(out) > 0 {
			out[len(out)-1].Doubtful = true // "cotton, I think"
			continue
		}
		p, err := r.part(d)
		if err != nil {
			return nil, err
		}
		same := slices.IndexFunc(out, func(q Part) bool { return q.Fibre == p.Fibre })
		if same >= 0 && d.slash && (d.share == "" || r.parts[same].share == "") {
			r.join(&out[same], p, same, d)
			continue
		}
		out, r.parts = append(out, p), append(r.parts, d)
	}
	return r.once(out)
}

// join takes a part that says another again, in another language, into that one.
func (r *reader) join(have *Part, again Part, i int, d draft) {
	if r.parts[i].share == "" {
		r.parts[i].share, have.Share = d.share, again.Share
	}
	if have.Note != again.Note {
		have.Note = cleanNote(strings.Trim(have.Note+", "+again.Note, ", "))
	}
	have.Doubtful = have.Doubtful || again.Doubtful
}

// once leaves out the parts that are there again with the same share, as on bands that say
// all in two languages, where the others make up the whole. Else a fibre that is there
// twice, and is not told apart, is refused.
func (r *reader) once(all Content) (Content, error) {
	var out Content
	var drafts []draft
	sum, twice, alike := measure.Ratio(0), -1, true
	for i, p := range all {
		j := slices.IndexFunc(out, func(q Part) bool { return q.Fibre == p.Fibre && q.Note == p.Note })
		if j < 0 {
			out, drafts, sum = append(out, p), append(drafts, r.parts[i]), sum+p.Share
			continue
		}
		twice, alike = i, alike && out[j].Share == p.Share
		out[j].Doubtful = out[j].Doubtful || p.Doubtful
	}
	if twice >= 0 && (!alike || sum != measure.Whole) {
		return nil, r.fail(r.parts[twice].at, quoted(all[twice].Fibre.Word())+" is there twice",
			"add the two shares, or tell them apart in brackets")
	}
	r.parts = drafts
	return out, nil
}

// unhedged gives the words of a fibre without those of doubt, and says whether it had any.
func unhedged(words []string) ([]string, bool) {
	rest, doubted := written.Undoubted(strings.Join(words, " "))
	narrowed, after := strings.CutPrefix(rest, "narrowed to ")
	if !doubted && !after {
		return words, false
	}
	return strings.Fields(narrowed), true
}

// doubted marks the parts that somebody was not sure of: those that say so, and all where
// that is written at the end, behind the shares of each.
func (r *reader) doubted(c Content) {
	last := c[len(c)-1]
	all := len(c) > 1 && written.Doubts(last.Note) && r.parts[len(c)-1].behind
	for i := range c {
		p := &c[i]
		p.Doubtful = (p.Doubtful || all || written.Doubts(p.Note)) &&
			!p.Fibre.Info().Hazards.Has(UnknownHazard)
	}
}

// part turns one draft into a part, its share not yet set.
func (r *reader) part(d draft) (Part, error) {
	words, hedged := unhedged(d.words)
	if len(words) == 0 {
		return Part{}, r.fail(d.at, "a fibre's name is missing", "like cotton 60, linen 40")
	}
	row, quality, ok := named(words)
	if !ok {
		return Part{}, r.unknownName(d.at, strings.Join(words, " "))
	}
	p := Part{Fibre: row.ID, Doubtful: d.asked || hedged}
	if err := r.describe(&p, d, quality); err != nil {
		return Part{}, err
	}
	return p, r.setShare(&p, d)
}

// setShare reads the share. A part without one keeps zero, which shares fills.
func (r *reader) setShare(p *Part, d draft) error {
	if d.share == "" || d.share == "?" {
		return nil
	}
	share, err := measure.ParseRatio(d.share + "%")
	if err != nil {
		return r.fail(d.at, "cannot read the share "+quoted(d.share), "like 60 or 33.3")
	}
	if share == 0 {
		return r.fail(d.at, "a share of 0% is no part of the yarn",
			"leave it out, or write ? for a share that is not known")
	}
	p.Share = share
	return nil
}

// shares fills the share of a lone fibre and holds the sum against 100 %.
func (r *reader) shares(c Content) error {
	if share := r.parts[0].share; len(c) == 1 && (share == "" || share == "?") {
		c[0].Share, c[0].Doubtful = measure.Whole, c[0].Doubtful || share == "?"
		return nil
	}
	sum, open := measure.Ratio(0), false
	for i, d := range r.parts {
		if d.share == "" {
			return r.fail(d.at, "how much "+c[i].Fibre.Word()+" is in it?",
				"write a share for each fibre, or ? where it is not known")
		}
		sum += c[i].Share
		open = open || c[i].Share == 0
	}
	switch {
	case open && sum >= measure.Whole:
		return r.fail(0, "the known shares add up to "+sum.String()+" and leave nothing for the rest", "they must stay below 100%")
	case !open && sum != measure.Whole:
		return r.fail(0, "the shares add up to "+sum.String()+", not 100%",
			"correct a share, or write ? for one that is not known")
	}
	return nil
}
