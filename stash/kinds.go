package stash

import (
	"cmp"
	"encoding/json"
	"slices"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash/measure"
)

// The kinds of event that this version knows. Only add at the end; a kind's
// body may gain fields and never changes the meaning of one.
const (
	KindYarn     Kind = "yarn"     // a yarn and its first facts: Set
	KindReceive  Kind = "receive"  // a package comes in: Receive
	KindSet      Kind = "set"      // facts of any subject: Set
	KindWeigh    Kind = "weigh"    // what the scale says: Movement
	KindUse      Kind = "use"      // used, in a piece or otherwise: Movement
	KindDiscard  Kind = "discard"  // discarded or thrown away: Movement
	KindGive     Kind = "give"     // given away: Movement
	KindLend     Kind = "lend"     // lent out, still ours: Movement
	KindReturn   Kind = "return"   // came back from a loan: Movement
	KindWind     Kind = "wind"     // wound or split into another package: Movement
	KindRetire   Kind = "retire"   // the package is gone: Movement
	KindProject  Kind = "project"  // a project and its first facts: Set
	KindPlan     Kind = "plan"     // a piece is planned and its yarn reserved: Making
	KindStart    Kind = "start"    // a piece goes on the loom, or its warp is to be of more or fewer: Making
	KindFinish   Kind = "finish"   // a piece comes off the loom: Finish
	KindAbandon  Kind = "abandon"  // a piece is abandoned, its yarn released: Making
	KindPerson   Kind = "person"   // a person and their first facts, private: Set
	KindOverride Kind = "override" // a person's rule overridden with a reason, private: Override
	KindUndo     Kind = "undo"     // an act is reversed: Undo
	KindLoom     Kind = "loom"     // read on the loom, or whether to learn from it: LoomReading
	KindPass     Kind = "pass"     // a finished piece is given away or sold: Passing
	KindPhoto    Kind = "photo"    // a photo of a yarn, a package or a piece: Pictured
	KindRedate   Kind = "redate"   // the dates that a wrong clock gave are mended: Redate
)

// foldVersion changes with every change of what events are folded into, so
// that a stash is folded anew after an upgrade: what was kept unread may be
// known now.
const foldVersion = "10"

// What is the kind of a subject.
type What string

// The kinds of subject.
const (
	WhatYarn     What = "yarn"
	WhatPackage  What = "package"
	WhatProject  What = "project"
	WhatPiece    What = "piece"
	WhatPerson   What = "person"
	WhatSettings What = "settings"
	WhatPhoto    What = "photo"
)

// noun is the word that a weaver has for it.
func (w What) noun() string {
	if w == WhatPackage {
		return "item"
	}
	return string(w)
}

// SettingsSubject is the one subject that the settings are facts of.
const SettingsSubject Subject = "settings"

// Fields holds facts by the name of their field, each in the JSON form that
// its field gives it.
type Fields map[string]json.RawMessage

// Text is a fact that is a text; empty where it is not there, or something else.
func (f Fields) Text(name string) string {
	var text string
	_ = json.Unmarshal(f[name], &text)
	return text
}

// Set is the body of the events that state facts.
type Set struct {
	What   What   `json:"what"`
	Fields Fields `json:"fields"`
}

// Receive is the body of a receive event: a package, its first facts and
// what it weighed. Neither Gross nor Net means that nobody weighed it yet.
type Receive struct {
	Fields Fields `json:"fields"`
	Reading
}

// Reading is what a scale said: gross with the package's tare, or net.
type Reading struct {
	// Gross is yarn with its cone, tube or bag. The net follows from it with
	// Tare, or with the package's tare where Tare is nil.
	Gross *measure.Mass `json:"gross_mg,omitempty"`
	Tare  *measure.Mass `json:"tare_mg,omitempty"`
	// Net is the yarn alone; used where Gross is nil.
	Net *measure.Mass `json:"net_mg,omitempty"`
	// Step is the resolution of the scale's display.
	Step measure.Mass `json:"step_mg,omitempty"`
	// Undated says that nobody knows when it was read, but that it was by then.
	Undated bool `json:"undated,omitempty"`
}

// Given says whether there is a reading at all.
func (r Reading) Given() bool { return r.Gross != nil || r.Net != nil }

// Words are what was read; empty where nothing was.
func (r Reading) Words(units measure.System) string {
	switch {
	case r.Gross != nil:
		return r.Gross.Format(units) + " gross"
	case r.Net != nil:
		return r.Net.Format(units) + " net"
	}
	return ""
}

// NetWith is the net mass of the reading for a package of the given tare.
func (r Reading) NetWith(tare measure.Mass) measure.Mass {
	switch {
	case r.Gross == nil && r.Net == nil:
		return 0
	case r.Gross == nil:
		return *r.Net
	case r.Tare != nil:
		return *r.Gross - *r.Tare
	}
	return *r.Gross - tare
}

// Movement is the body of the events that change what one package holds.
type Movement struct {
	Reading
	// Mass is the amount moved, for use, spoil, give and wind.
	Mass measure.Mass `json:"mass_mg,omitempty"`
	// Piece is the piece that the yarn went into or came out of.
	Piece PieceID `json:"piece,omitempty"`
	// Receipt says that a weighing corrects what the package had when it came: the
	// difference was received otherwise than was thought, and is not unexplained.
	Receipt bool `json:"receipt,omitempty"`
	// Who is the borrower or receiver, as typed.
	Who string `json:"who,omitempty"`
	// Until is the day on which what is lent should be back.
	Until string `json:"until,omitempty"`
	// Person is the person given to, if recorded.
	Person PersonID `json:"person,omitempty"`
	// Into is the package wound onto; Fields are its first facts if new.
	Into   PackageID `json:"into,omitempty"`
	Fields Fields    `json:"fields,omitempty"`
	// Leftover says what became of the remainder of a retired package.
	Leftover Leftover `json:"leftover,omitempty"`
	Note     string   `json:"note,omitempty"`
}

// Leftover says where the remainder of a retired package went.
type Leftover string

// The fates of a remainder.
const (
	LeftoverDiscarded Leftover = "discarded"
	LeftoverGiven     Leftover = "given"
	LeftoverLost      Leftover = "lost" // posted as unexplained
)

// Undo is the body of an undo event: the act that it reverses, and where the
// events of that act lie.
type Undo struct {
	Act  Act   `json:"act"`
	Runs []Run `json:"runs"`
}

// Run is a row of events in one lane, First and Last among them.
type Run struct {
	Lane  Lane  `json:"lane"`
	First int64 `json:"first"`
	Last  int64 `json:"last"`
}

// Override is the body of an override event: which answer about which person
// was set aside for a piece, or for yarn given away, and why.
type Override struct {
	Person  PersonID  `json:"person"`
	Rules   []string  `json:"rules"`
	Reason  string    `json:"reason"`
	Package PackageID `json:"package,omitempty"`
}

// Class says which part of a subject's view an event is folded into.
type Class int

// The classes of touch.
const (
	ClassFact  Class = 1 // facts
	ClassMove  Class = 2 // what a package holds
	ClassMake  Class = 3 // the life of a piece
	ClassOther Class = 4 // a kind that this version does not know
	ClassDates Class = 5 // the dates of other events
)

// Touch names a subject that an event is folded into.
type Touch struct {
	Subject Subject
	What    What
	Class   Class
}

// whats ranks the kinds of subject: what a subject is does not hang on which
// of two events that disagree came here first.
var whats = []What{WhatSettings, WhatYarn, WhatProject, WhatPerson, WhatPhoto, WhatPiece,
	WhatPackage}

// Prefer is what a subject is that one event calls w and another calls other.
// What a version does not know comes after what it knows, nothing comes last.
func (w What) Prefer(other What) What {
	i, j := slices.Index(whats, w), slices.Index(whats, other)
	if cmp.Or(cmp.Compare(i, j), cmp.Compare(w, other)) < 0 {
		return other
	}
	return w
}

// Touches lists what an event is folded into, without repeats. A body that
// cannot be read counts as unknown. An undo touches what the reversed act
// touches, which only the store can tell.
func Touches(l Line) []Touch {
	switch l.Kind {
	case KindYarn, KindSet, KindProject, KindPerson:
		return touchSet(l)
	case KindReceive:
		return touchNew(l.Of)
	case KindWeigh, KindUse, KindDiscard, KindGive, KindLend, KindReturn, KindRetire:
		return []Touch{{l.Of, WhatPackage, ClassMove}}
	case KindWind:
		return touchWind(l)
	case KindPlan, KindLoom, KindPass:
		return []Touch{{l.Of, WhatPiece, ClassMake}}
	case KindStart, KindAbandon:
		return touchLoom(l)
	case KindOverride:
		return touchOverride(l)
	case KindPhoto:
		return []Touch{{l.Of, WhatPhoto, ClassFact}}
	case KindFinish:
		return touchFinish(l)
	case KindUndo:
		return touchUndo(l)
	case KindRedate:
		return touchRedate(l)
	}
	return []Touch{{l.Of, "", ClassOther}}
}

// Moves says whether an event is a movement of a package.
func (l Line) Moves(id PackageID) bool {
	return slices.Contains(Touches(l), Touch{Subject(id), WhatPackage, ClassMove})
}

func touchNew(s Subject) []Touch {
	return []Touch{{s, WhatPackage, ClassFact}, {s, WhatPackage, ClassMove}}
}

// touchOverride: an override is of a piece, or of the person where yarn was
// given in spite of a rule.
func touchOverride(l Line) []Touch {
	var o Override
	if jsonv2.Unmarshal(l.Body, &o) == nil && Subject(o.Person) == l.Of {
		return []Touch{{l.Of, WhatPerson, ClassFact}}
	}
	return []Touch{{l.Of, WhatPiece, ClassMake}}
}

func touchSet(l Line) []Touch {
	var body struct {
		What What `json:"what"`
	}
	if jsonv2.Unmarshal(l.Body, &body) != nil {
		return []Touch{{l.Of, "", ClassOther}}
	}
	return []Touch{{l.Of, body.What, ClassFact}}
}

// touchUndo gives nothing but the subject of an undo that cannot be read.
func touchUndo(l Line) []Touch {
	var u Undo
	if jsonv2.Unmarshal(l.Body, &u) != nil {
		return []Touch{{l.Of, "", ClassOther}}
	}
	return nil
}

// touchRedate: what a mended event touches only the store can tell. All redates are
// found by one subject.
func touchRedate(l Line) []Touch {
	var r Redate
	if jsonv2.Unmarshal(l.Body, &r) != nil {
		return []Touch{{l.Of, "", ClassOther}}
	}
	return []Touch{{SettingsSubject, WhatSettings, ClassDates}}
}

func touchWind(l Line) []Touch {
	var m Movement
	if jsonv2.Unmarshal(l.Body, &m) != nil {
		return []Touch{{l.Of, WhatPackage, ClassOther}}
	}
	touches := []Touch{{l.Of, WhatPackage, ClassMove}}
	if m.Into == "" || Subject(m.Into) == l.Of {
		return touches
	}
	return append(touches, touchNew(Subject(m.Into))...)
}

// touchLoom: what goes onto the loom and what leaves it unfinished touches the
// packages that feed the piece, so that what a weighing finds missing meanwhile
// counts to it.
func touchLoom(l Line) []Touch {
	touches := []Touch{{l.Of, WhatPiece, ClassMake}}
	var m Making
	if jsonv2.Unmarshal(l.Body, &m) != nil {
		return touches
	}
	for _, id := range m.Plan.Packages() {
		touches = append(touches, Touch{Subject(id), WhatPackage, ClassMove})
	}
	return touches
}

func touchFinish(l Line) []Touch {
	var f Finish
	if jsonv2.Unmarshal(l.Body, &f) != nil {
		return []Touch{{l.Of, WhatPiece, ClassOther}}
	}
	touches := []Touch{{l.Of, WhatPiece, ClassMake}}
	seen := map[PackageID]bool{}
	for _, id := range f.Packages() {
		if !seen[id] {
			seen[id] = true
			touches = append(touches, Touch{Subject(id), WhatPackage, ClassMove})
		}
	}
	for _, t := range f.Thrums {
		for _, touch := range touchNew(Subject(t.Package)) {
			if !slices.Contains(touches, touch) {
				touches = append(touches, touch)
			}
		}
	}
	return touches
}

// Known is the address of a text, nil of an empty one: null in JSON.
func Known(text string) *string {
	if text == "" {
		return nil
	}
	return &text
}
