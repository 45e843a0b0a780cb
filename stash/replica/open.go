package replica

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"endsmeet/stash"
	"endsmeet/stash/measure"
	"endsmeet/stash/sqlite"
)

// Open is a question that the merged ledger asks and that a person settles.
type Open struct {
	// Code is the class: disputed, finished_twice, same_tag, question, reweigh,
	// overdrawn, reserved, duplicate, newer.
	Code    string        `json:"code"`
	What    stash.What    `json:"what"`
	Subject stash.Subject `json:"subject"`
	// Name is what a person calls the subject.
	Name    string `json:"name"`
	Message string `json:"message"`
	// Field and Values are set for disputed facts and finishes: every value, the
	// one that counts first, By the machines that stated them.
	Field  string            `json:"field,omitempty"`
	Values []json.RawMessage `json:"values,omitempty"`
	By     []string          `json:"by,omitempty"`
	// At is when each was stated, by the clock of its machine.
	At []time.Time `json:"at,omitempty"`
	// Events are those of the values, where they are whole events.
	Events []stash.EventID `json:"events,omitempty"`
	// Settle is a command that settles it.
	Settle string `json:"settle"`
}

// OpenQuestions lists what asks to be settled, in the order yarns, packages,
// projects, pieces, people. label names the machine that writes a lane.
func OpenQuestions(tx *sqlite.Tx, label func(stash.Lane) string) ([]Open, error) {
	q := questions{tx: tx, label: label}
	for _, part := range []func() error{q.settings, q.yarns, q.packages, q.projects, q.pieces,
		q.people} {
		if err := part(); err != nil {
			return nil, err
		}
	}
	return q.open, nil
}

type questions struct {
	tx    *sqlite.Tx
	label func(stash.Lane) string
	open  []Open
	yarn  map[stash.YarnID]stash.Yarn
}

// disputed adds the fields on which machines disagree.
func (q *questions) disputed(what stash.What, id stash.Subject, name string,
	disputed map[string][]json.RawMessage) error {
	if len(disputed) == 0 {
		return nil
	}
	history, err := q.tx.History(id)
	if err != nil {
		return err
	}
	facts, err := q.tx.Facts(id)
	if err != nil {
		return err
	}
	for _, field := range slices.Sorted(maps.Keys(disputed)) {
		o := Open{Code: "disputed", What: what, Subject: id, Name: name, Field: field,
			Values: disputed[field]}
		for _, v := range o.Values {
			by, at := q.statedBy(history, facts[field], v)
			o.By, o.At = append(o.By, by), append(o.At, at)
		}
		o.Message = fmt.Sprintf("%s says one thing about its %s, %s another; shown is the first",
			o.By[0], field, strings.Join(o.By[1:], " and "))
		o.Settle = stash.Settling(name, field)
		q.open = append(q.open, o)
	}
	return nil
}

// statedBy names the machine that stated a value, and when.
func (q *questions) statedBy(history []sqlite.Past, candidates []stash.Candidate,
	value json.RawMessage) (string, time.Time) {
	for _, c := range candidates {
		if string(c.Value) != string(value) {
			continue
		}
		for _, p := range history {
			if p.ID() == c.Event {
				return q.label(p.Lane), p.At
			}
		}
	}
	return "a machine", time.Time{}
}

func (q *questions) add(code string, what stash.What, id stash.Subject, name, message,
	settle string) {
	q.open = append(q.open, Open{Code: code, What: what, Subject: id, Name: name, Message: message,
		Settle: settle})
}

func (q *questions) settings() error {
	facts, err := q.tx.Facts(stash.SettingsSubject)
	if err != nil {
		return err
	}
	return q.disputed(stash.WhatSettings, stash.SettingsSubject, "settings", facts.Disputed())
}

func (q *questions) yarns() error {
	yarns, err := q.tx.Yarns()
	if err != nil {
		return err
	}
	q.yarn = map[stash.YarnID]stash.Yarn{}
	for _, y := range yarns {
		q.yarn[y.ID] = y
		if err := q.disputed(stash.WhatYarn, stash.Subject(y.ID), y.Name, y.Disputed); err != nil {
			return err
		}
	}
	return q.oneYarn(yarns)
}

func (q *questions) packages() error {
	packages, err := q.tx.Packages(false)
	if err != nil {
		return err
	}
	claims, err := q.tx.Claims()
	if err != nil {
		return err
	}
	slices.SortFunc(packages, // every machine names the same one first
		func(a, b stash.Package) int { return cmp.Compare(a.ID, b.ID) })
	q.sameTag(packages)
	same := map[string]stash.Package{}
	for _, p := range packages {
		if err := q.disputed(stash.WhatPackage, stash.Subject(p.ID), p.Label(),
			p.Disputed); err != nil {
			return err
		}
		if err := q.package1(p, claims[p.ID]); err != nil {
			return err
		}
		if err := q.sameTwice(p, same); err != nil {
			return err
		}
	}
	return nil
}

func (q *questions) package1(p stash.Package, claimed measure.Mass) error {
	id, name := stash.Subject(p.ID), p.Label()
	weigh := stash.Command("weigh", name, "WEIGHT")
	for _, question := range p.Question {
		if question == stash.FinishedTwice {
			continue // the piece asks
		}
		settle := ", then weigh it or undo one of the two"
		if p.Retired { // no scale can say
			settle = ", then undo the retiring, or what was taken after it"
		}
		q.add("question", stash.WhatPackage, id, name, question,
			stash.Command("history", name)+settle)
	}
	if p.Reweigh() && !slices.Contains(p.Question, stash.FinishedTwice) {
		moves, err := q.tx.Unaware(p)
		if err != nil {
			return err
		}
		q.add("reweigh", stash.WhatPackage, id, name,
			stash.UnawareWords(moves, q.label, measure.Metric), weigh)
	}
	if p.Overdrawn() && !(p.Retired && len(p.Question) > 0) { // else that is the question
		q.add("overdrawn", stash.WhatPackage, id, name,
			"more was taken than it held: "+p.Held.Format(measure.Metric), weigh)
	}
	if p.Known && !p.Retired && p.Held >= 0 && claimed > p.Held {
		q.add("reserved", stash.WhatPackage, id, name,
			fmt.Sprintf("pieces are promised %s of it, and it holds %s",
				claimed.Format(measure.Metric), p.Held.Format(measure.Metric)),
			"endsmeet plan PROJECT again with other yarn, or abandon one")
	}
	if p.Newer {
		q.add("newer", stash.WhatPackage, id, name,
			"a newer version wrote what this one cannot show", "install a newer endsmeet")
	}
	return nil
}

// sameTwice suggests that two packages may be one that was received on two
// machines: same yarn, lot, form and colour, received weight and day. A note that
// the other does not have says that they are two. Where both were retired as
// lost, each on another machine, nothing is left of what may have been one.
func (q *questions) sameTwice(p stash.Package, same map[string]stash.Package) error {
	if p.Received == 0 {
		return nil
	}
	key := fmt.Sprint(p.Likeness(q.yarn[p.Yarn].Name, p.Received), p.Arrived.UTC().Format(time.DateOnly),
		p.Note, p.Retired)
	other, twice := same[key]
	if !twice {
		same[key] = p
		return nil
	}
	mine, err := q.brought(stash.Subject(p.ID), stash.KindReceive)
	if err != nil {
		return err
	}
	theirs, err := q.brought(stash.Subject(other.ID), stash.KindReceive)
	if err != nil || mine.Lane == theirs.Lane {
		return err
	}
	undo, message := mine, "%s is just like it and came the same day on another machine; they may be one"
	if p.Retired {
		gone, err := q.brought(stash.Subject(p.ID), stash.KindRetire)
		if err != nil {
			return err
		}
		before, err := q.brought(stash.Subject(other.ID), stash.KindRetire)
		if err != nil || before.Lane == gone.Lane || !lost(before) || !lost(gone) {
			return err
		}
		undo, message = gone, "%s is just like it, and each was retired on another machine; if they were one, it is still there"
	}
	q.add("duplicate", stash.WhatPackage, stash.Subject(p.ID), p.Label(),
		fmt.Sprintf(message, other.Label()),
		stash.Command("undo", undo.ID().String()[:8])+" if they are one, "+
			stash.Command("set", string(p.ID[:6]), "note=another one")+" if they are two")
	return nil
}

// lost says whether what was left of a package went to nobody when it was retired.
func lost(retired sqlite.Past) bool {
	var m stash.Movement
	return json.Unmarshal(retired.Body, &m) == nil && m.Leftover == stash.LeftoverLost
}

func (q *questions) projects() error {
	projects, err := q.tx.Projects()
	if err != nil {
		return err
	}
	for _, b := range projects {
		if err := q.disputed(stash.WhatProject, stash.Subject(b.ID), b.Name,
			b.Disputed); err != nil {
			return err
		}
	}
	return nil
}

func (q *questions) pieces() error {
	pieces, err := q.tx.Pieces(false)
	if err != nil {
		return err
	}
	for _, p := range pieces {
		if slices.Contains(p.Question, stash.TakenUpAgain) {
			q.add("question", stash.WhatPiece, stash.Subject(p.ID), p.Name, stash.TakenUpAgain,
				stash.Command("finish --abandon REASON",
					p.Name)+", or `endsmeet undo` of the abandonment that "+stash.Command("show",
					p.Name)+" names")
		}
		if !slices.ContainsFunc(p.Question,
			func(question string) bool { return question != stash.TakenUpAgain }) {
			continue
		}
		if err := q.finishes(p); err != nil {
			return err
		}
	}
	return nil
}

// finishes asks which finish of a piece counts: every one with the machine, the
// time and the figures, the one that counts now first.
func (q *questions) finishes(p stash.Piece) error {
	past, err := q.tx.History(stash.Subject(p.ID))
	if err != nil {
		return err
	}
	o := Open{Code: "finished_twice", What: stash.WhatPiece, Subject: stash.Subject(p.ID),
		Name: p.Name, Field: "finish",
		Message: "finished on two machines; the first counts until you say which is right",
		Settle:  stash.Settling(p.Name, "finish")}
	for _, counts := range []bool{true, false} {
		for _, e := range past {
			if e.Kind != stash.KindFinish || e.Undone ||
				(p.FinishEvent != nil && *p.FinishEvent == e.ID()) != counts {
				continue
			}
			text, err := json.Marshal(stash.FinishWords(e.Body, measure.Metric))
			if err != nil {
				return err
			}
			o.Values, o.By = append(o.Values, text), append(o.By, q.label(e.Lane))
			o.At, o.Events = append(o.At, e.At), append(o.Events, e.ID())
		}
	}
	q.open = append(q.open, o)
	return nil
}

// sameTag asks, once for each tag, about packages that bear it together.
func (q *questions) sameTag(packages []stash.Package) {
	groups := map[string][]stash.Package{}
	for _, p := range packages {
		if p.Namesake {
			tag := strings.ToLower(p.Tag)
			groups[tag] = append(groups[tag], p)
		}
	}
	for _, tag := range slices.Sorted(maps.Keys(groups)) {
		var words []string
		for _, p := range groups[tag] {
			words = append(words,
				strings.Join(strings.Fields(p.Label()+" "+q.yarn[p.Yarn].Name+" "+p.Colour), " "))
		}
		last := groups[tag][len(groups[tag])-1]
		q.add("same_tag", stash.WhatPackage, stash.Subject(last.ID), last.Tag,
			"two machines gave one tag: "+strings.Join(words, "; "),
			stash.Command("set", last.Label())+" tag=OTHER, and write that on it")
	}
}

func (q *questions) people() error {
	people, err := q.tx.People()
	if err != nil {
		return err
	}
	for _, p := range people {
		if err := q.disputed(stash.WhatPerson, stash.Subject(p.ID), p.Name,
			p.Disputed); err != nil {
			return err
		}
	}
	return nil
}
