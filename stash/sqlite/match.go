package sqlite

import (
	"database/sql"
	"encoding/json"
	"strings"
	"unicode/utf8"

	"endsmeet/stash"
)

// named is a record that was found, and what it is called.
type named struct{ id, name string }

// Where a step of match finds the numbers of subjects; see matchArgs for what its
// parameters are. All but the last look into an index; hits keeps what is of the
// kind.
const (
	ofWord      = `SELECT subject FROM view WHERE word != '' AND `
	hasWord     = ofWord + `word = ?1`
	hasID       = `SELECT n FROM subject WHERE id = ?1`
	hasLabel    = ofWord + `word = ?3 AND id >= ?4 AND id < ?5`
	wordBegins  = ofWord + `word >= ?1 AND word < ?2`
	idBegins    = `SELECT n FROM subject WHERE length(?1) >= 3 AND id >= ?1 AND id < ?2`
	wordsWithin = ofWord + `what = ?7 AND live = ?8 AND ` + allWithin

	ofYarn          = `SELECT p.subject FROM view JOIN view p ON p.parent = view.id AND p.parent != '' WHERE +view.what = 'yarn' AND view.word != '' AND `
	yarnHasWord     = ofYarn + `view.word = ?1`
	yarnBegins      = ofYarn + `view.word >= ?1 AND view.word < ?2`
	yarnWordsWithin = `SELECT p.subject FROM view JOIN view p ON p.parent = view.id AND p.parent != '' WHERE view.what = 'yarn' AND ` + allWithin

	allWithin = `NOT EXISTS (SELECT 1 FROM json_each(?6) part WHERE instr(view.word, part.value) = 0)`
)

// The steps of match: by exact tag, id or name, else by the beginning of one, else
// by words within the name; a package goes by the name of its yarn.
var (
	packageSteps = []string{hasWord + ` UNION ` + hasID + ` UNION ` + hasLabel, yarnHasWord,
		wordBegins, idBegins, yarnBegins, yarnWordsWithin}
	otherSteps = []string{hasID, hasWord, idBegins, wordBegins, wordsWithin}
)

func stepsFor(what stash.What) []string {
	if what == stash.WhatPackage {
		return packageSteps
	}
	return otherSteps
}

// match gives the records of a kind that a query names best: what the first step
// finds that finds anything. Within each step live ones come before the others.
func (tx *Tx) match(what stash.What, query string) ([]named, error) {
	q := stash.Fold(query)
	if q == "" {
		return nil, nil
	}
	if err := tx.flush(); err != nil {
		return nil, err
	}
	hits, err := tx.firstHits(what, stepsFor(what), q)
	if err != nil || len(hits) > 0 || what != stash.WhatPackage {
		return hits, err
	}
	return tx.inColour(q)
}

// AsPrinted says whether a query is the name of a yarn as screens print it, alone or
// with its colour.
func (tx *Tx) AsPrinted(query string) (bool, error) {
	exact, err := tx.namesExactly(stash.WhatYarn, query)
	if err != nil || exact {
		return exact, err
	}
	hits, err := tx.inColour(stash.Fold(query))
	return len(hits) > 0, err
}

// inColour are the packages of a yarn in one colour, by the two as screens print them:
// "Ossentarn cotton, oat".
func (tx *Tx) inColour(q string) ([]named, error) {
	for i := range q {
		colour, comma := strings.CutPrefix(q[i:], ",")
		if !comma {
			continue
		}
		hits, err := tx.firstHits(stash.WhatPackage, []string{yarnHasWord}, q[:i])
		if err != nil {
			return nil, err
		}
		var of []named
		for _, h := range hits {
			p, _, err := tx.Package(stash.PackageID(h.id))
			if err != nil {
				return nil, err
			}
			if stash.Fold(p.Colour) == stash.Fold(colour) {
				of = append(of, h)
			}
		}
		if len(of) > 0 {
			return of, nil
		}
	}
	return nil, nil
}

// firstHits is what the first of some steps finds that finds anything, live ones first.
func (tx *Tx) firstHits(what stash.What, steps []string, q string) ([]named, error) {
	for _, step := range steps {
		for _, live := range []bool{true, false} {
			hits, err := tx.hits(step, matchArgs(what, q, live))
			if err != nil || len(hits) > 0 {
				return hits, err
			}
		}
	}
	return nil, nil
}

// exactSteps is how many steps find what a query names exactly.
const exactSteps = 2

// BestNamed puts kinds of records in the order in which a query may mean one: those
// of which it names one exactly first. The name of a project means its piece first.
func (tx *Tx) BestNamed(query string, kinds ...stash.What) (ordered []stash.What, err error) {
	if err := tx.flush(); err != nil {
		return nil, err
	}
	exact := map[stash.What]bool{}
	for _, what := range kinds {
		if exact[what], err = tx.namesExactly(what, query); err != nil {
			return nil, err
		}
	}
	exact[stash.WhatPiece] = exact[stash.WhatPiece] || exact[stash.WhatProject]
	for _, best := range []bool{true, false} {
		for _, what := range kinds {
			if exact[what] == best {
				ordered = append(ordered, what)
			}
		}
	}
	return ordered, nil
}

// namesExactly says whether a query is the tag, the name or the id of a record of a
// kind.
func (tx *Tx) namesExactly(what stash.What, query string) (bool, error) {
	q := stash.Fold(query)
	if q == "" {
		return false, nil
	}
	hits, err := tx.firstHits(what, stepsFor(what)[:exactSteps], q)
	return len(hits) > 0, err
}

// hits are the records that a step finds, in the order in which they were first
// heard of.
func (tx *Tx) hits(step string, args []any) (out []named, err error) {
	err = tx.each(hitsQuery(step), args, func(rows *sql.Rows) error {
		var n named
		err := rows.Scan(&n.id, &n.name)
		out = append(out, n)
		return err
	})
	return out, err
}

func hitsQuery(step string) string {
	return `SELECT id, name FROM view WHERE subject IN (` + step +
		`) AND +what = ?7 AND +live = ?8 ORDER BY subject`
}

// matchArgs are the parameters of the steps: the query and what is behind all that
// begins with it, the tag and the beginning of an id in the label of one of several
// packages with one tag (stash.Package.Label) and what is behind that, the words of
// the query, and the kind and state of what is looked for.
func matchArgs(what stash.What, q string, live bool) []any {
	const last = string(utf8.MaxRune)
	cut := max(0, strings.LastIndexByte(q, '/'))
	tag, part := q[:cut], strings.TrimPrefix(q[cut:], "/")
	if len(part) < 4 {
		tag = ""
	}
	words, _ := json.Marshal(strings.Fields(q))
	return []any{q, q + last, tag, part, part + last, string(words), string(what), live}
}

// calledThat are the tags and names of the records of a kind, the names of yarns
// with their packages.
func (tx *Tx) calledThat(what stash.What) (out []string, err error) {
	err = tx.each(`SELECT v.tag, iif(v.what = 'package', coalesce(trim(y.name), ''), v.name) FROM view v
		LEFT JOIN subject s ON s.id = v.parent AND v.what = 'package' LEFT JOIN view y ON y.subject = s.n
		WHERE v.what = ? ORDER BY v.subject`, []any{string(what)}, func(rows *sql.Rows) error {
		var tag, name string
		err := rows.Scan(&tag, &name)
		for _, word := range []string{tag, name} {
			if word != "" {
				out = append(out, word)
			}
		}
		return err
	})
	return out, err
}

// TagFree refuses fields whose tag another package carries already.
func (tx *Tx) TagFree(fields stash.Fields) error {
	var tag string
	if fields["tag"] == nil || json.Unmarshal(fields["tag"], &tag) != nil {
		return nil
	}
	_, found, err := tx.called(stash.WhatPackage, tag)
	if found {
		return stash.Refuse(stash.CodeRefused, "choose another",
			"the tag %s is on another item already", tag)
	}
	return err
}

// called is the first live record with exactly this tag or name.
func (tx *Tx) called(what stash.What, word string) (id string, found bool, err error) {
	if err := tx.flush(); err != nil || stash.Fold(word) == "" {
		return "", false, err
	}
	found, err = tx.one(`SELECT id FROM view WHERE word != '' AND word = ? AND +what = ? AND +live = 1 ORDER BY subject`, []any{stash.Fold(word), string(what)}, &id)
	return id, found, err
}

// YarnCalled finds a yarn by its exact name.
func (tx *Tx) YarnCalled(name string) (stash.Yarn, bool, error) {
	id, found, err := tx.called(stash.WhatYarn, name)
	if err != nil || !found {
		return stash.Yarn{}, false, err
	}
	return tx.Yarn(stash.YarnID(id))
}

// PackageTagged finds a package on the shelf by its exact tag.
func (tx *Tx) PackageTagged(tag string) (stash.Package, bool, error) {
	id, found, err := tx.called(stash.WhatPackage, tag)
	if err != nil || !found {
		return stash.Package{}, false, err
	}
	return tx.Package(stash.PackageID(id))
}

// YarnNames are the names of the yarns, in the order in which they were first
// heard of.
func (tx *Tx) YarnNames() ([]string, error) {
	if err := tx.flush(); err != nil {
		return nil, err
	}
	return tx.calledThat(stash.WhatYarn)
}
