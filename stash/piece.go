package stash

import (
	"bytes"
	"cmp"
	"slices"
	"time"

	jsonv2 "github.com/go-json-experiment/json"

	"endsmeet/stash/measure"
)

// PieceState is where a piece is in its life.
type PieceState string

// The states of a piece.
const (
	Planned   PieceState = "planned"
	OnLoom    PieceState = "on the loom"
	Finished  PieceState = "finished"
	Abandoned PieceState = "abandoned"
)

// Role is the part that yarn plays in a piece.
type Role string

// The roles.
const (
	RoleWarp      Role = "warp"
	RoleWeft      Role = "weft"
	RoleHemstitch Role = "hem"
)

// Making is the body of the events that plan, start or abandon a piece.
type Making struct {
	Project ProjectID `json:"project,omitempty"`
	Name    string    `json:"name,omitempty"`
	Plan    *Plan     `json:"plan,omitempty"`
	Reason  string    `json:"reason,omitempty"`
}

// Plan is what was decided when a piece was planned: the project as it stood,
// with every loss filled in, what it needs and which packages give it.
type Plan struct {
	Spec           ProjectFacts   `json:"spec"`
	Ends           int            `json:"ends"`
	Picks          int            `json:"picks"`
	WarpEnd        measure.Length `json:"warp_end_mm"`
	WarpTotal      measure.Length `json:"warp_total_mm"`
	WeftTotal      measure.Length `json:"weft_total_mm"`
	HemstitchTotal measure.Length `json:"hemstitch_mm,omitempty"`
	Tape           measure.Length `json:"tape_mm"`
	ReedWidth      measure.Length `json:"reed_width_mm"`
	ClothWidth     measure.Length `json:"cloth_width_mm"`
	Width          measure.Length `json:"width_mm"`
	Length         measure.Length `json:"length_mm"`
	Waste          measure.Length `json:"waste_mm"`
	Allotments     []Allotment    `json:"allotments"`
	// Short says that the yarn is not known to be enough: the allotments are what
	// there is of it.
	Short bool `json:"short,omitempty"`
	// Margin is what WarpEnd has beyond the middle of what pieces need.
	Margin measure.Length `json:"margin_mm,omitempty"`
	// Set names the losses that the project set, where the others were filled in.
	Set []string `json:"set,omitempty"`
	// Wound is the length that the ends were really wound, 0 where none was told.
	Wound measure.Length `json:"wound_mm,omitempty"`
	// Shared says that the piece is one of several on a warp; nil has a warp of its own.
	// WarpEnd is then its part of every end.
	Shared *SharedWarp `json:"shared,omitempty"`
}

// Warped is how long the ends are: as wound, else as planned. Measures may be of a piece
// on the loom, and empty.
func (p Plan) Warped(m Measures) measure.Length { return cmp.Or(m.Wound, p.Wound, p.WarpEnd) }

// Allotment is what one package gives to a piece.
type Allotment struct {
	Package   PackageID      `json:"package"`
	Ends      int            `json:"ends,omitempty"`
	Warp      measure.Length `json:"warp_mm,omitempty"`
	Weft      measure.Length `json:"weft_mm,omitempty"`
	Hemstitch measure.Length `json:"hemstitch_mm,omitempty"`
	Mass      measure.Mass   `json:"mass_mg"`
}

// Promised is what a plan takes of each package, its warp as long as it was wound where
// that was told.
func (p Plan) Promised() []Allotment {
	if p.Wound <= 0 || p.WarpEnd <= 0 {
		return p.Allotments
	}
	out := slices.Clone(p.Allotments)
	for i := range out {
		a := &out[i]
		all := a.Warp + a.Weft + a.Hemstitch
		if a.Warp <= 0 {
			continue
		}
		a.Warp = measure.Length(float64(a.Warp) * float64(p.Wound) / float64(p.WarpEnd))
		a.Mass = measure.Mass(float64(a.Mass) * float64(a.Warp+a.Weft+a.Hemstitch) / float64(all))
	}
	return out
}

// Finish is the body of a finish event: everything that a piece took and
// gave back, in one.
type Finish struct {
	Debits   []Debit   `json:"debits"`
	Weighed  []Weighed `json:"weighed,omitempty"`
	Thrums   []Thrums  `json:"thrums,omitempty"`
	Measures Measures  `json:"measures"`
	// Unusual marks a piece from which nothing is to be learned.
	Unusual bool `json:"unusual,omitempty"`
	// Jumps are what was so unlike what had been learned that it was asked about: nothing
	// is learned from the piece until that is answered.
	Jumps []string `json:"jumps,omitempty"`
	Note  string   `json:"note,omitempty"`
}

// TakenUpAgain is what a piece asks that was abandoned on one machine and, by a later
// date, went on the loom on another.
const TakenUpAgain = "it was abandoned, and went on the loom after that: which holds?"

// FinishedTwice is what a package of a piece asks that was finished on two
// machines: it is the piece's question.
const FinishedTwice = "the same piece was finished twice; one of the two counts"

// Debit is yarn of one package that went into a piece in one role.
type Debit struct {
	Package PackageID      `json:"package"`
	Role    Role           `json:"role"`
	Mass    measure.Mass   `json:"mass_mg"`
	Length  measure.Length `json:"length_mm,omitempty"`
	// Measured says that the package was weighed; else the use is computed.
	Measured bool `json:"measured"`
	// Whole is the computed use for the whole piece, of which Mass is what no
	// weighing on the loom had counted when it was recorded.
	Whole measure.Mass `json:"whole_mg,omitempty"`
}

// Weighed is a package weighed when a piece was finished.
type Weighed struct {
	Package PackageID `json:"package"`
	Reading
}

// Thrums is a new package of yarn cut from the loom waste of a piece.
type Thrums struct {
	Package PackageID    `json:"package"`
	Mass    measure.Mass `json:"mass_mg"`
	Step    measure.Mass `json:"step_mg,omitempty"`
	Fields  Fields       `json:"fields"`
}

// Measures is what was measured of a finished piece; zero is not measured.
type Measures struct {
	// Tape is the woven length under tension, all pieces of the warp.
	Tape    measure.Length `json:"tape_mm,omitempty"`
	OffLoom measure.Length `json:"off_loom_mm,omitempty"`
	Length  measure.Length `json:"length_mm,omitempty"`
	Width   measure.Length `json:"width_mm,omitempty"`
	// OffWidth is the width before wet finishing, Reed that in the reed.
	OffWidth measure.Length `json:"off_width_mm,omitempty"`
	Reed     measure.Length `json:"reed_mm,omitempty"`
	Ends     int            `json:"ends,omitempty"`
	Picks    int            `json:"picks,omitempty"`
	// Waste is the warp that was cut off unwoven, front and back.
	Waste measure.Length `json:"waste_mm,omitempty"`
	// WasteTaut is the warp that was left unwoven, front and back, before it was cut and
	// under tension, fringes and all.
	WasteTaut measure.Length `json:"waste_taut_mm,omitempty"`
	// Wound is the length that the ends were really wound, slack.
	Wound measure.Length `json:"wound_mm,omitempty"`
	// HemsOpen says that Length was read with the cloth for the hems not turned in.
	HemsOpen bool `json:"hems_open,omitempty"`
	// Cloth is the mass of the finished piece.
	Cloth measure.Mass `json:"cloth_mg,omitempty"`
	// Minutes is how long it took to make, all pieces of the warp.
	Minutes int `json:"minutes,omitempty"`
}

// Packages lists the packages that a plan takes yarn of, each once; nil is no
// plan.
func (p *Plan) Packages() []PackageID {
	var ids []PackageID
	if p == nil {
		return nil
	}
	for _, a := range p.Allotments {
		if !slices.Contains(ids, a.Package) {
			ids = append(ids, a.Package)
		}
	}
	return ids
}

// MadeOf lists the packages that a piece was finished of, was planned to be of and names,
// one of them perhaps twice.
func (p Piece) MadeOf() []PackageID {
	var ids []PackageID
	if p.Finish != nil {
		ids = p.Finish.Packages()
	}
	if p.Plan != nil {
		ids = append(ids, p.Plan.Packages()...)
		for _, r := range slices.Concat(p.Plan.Spec.Warp, p.Plan.Spec.Weft) {
			ids = append(ids, r.Package)
		}
	}
	return ids
}

// Debited lists the debits but those of which weighings on the loom had counted
// all.
func (f Finish) Debited() []Debit {
	return slices.DeleteFunc(slices.Clone(f.Debits), func(d Debit) bool {
		return d.Mass == 0 && d.Whole > 0
	})
}

// Packages lists the packages that a finish debits or weighs.
func (f Finish) Packages() []PackageID {
	var ids []PackageID
	for _, d := range f.Debits {
		ids = append(ids, d.Package)
	}
	for _, w := range f.Weighed {
		ids = append(ids, w.Package)
	}
	return ids
}

// Piece is one making of a project, as folded from its events.
type Piece struct {
	ID        PieceID    `json:"id"`
	Name      string     `json:"name"`
	Project   ProjectID  `json:"project,omitempty"`
	State     PieceState `json:"state"`
	PlannedAt time.Time  `json:"planned_at,omitzero"`
	StartedAt time.Time  `json:"started_at,omitzero"`
	EndedAt   time.Time  `json:"ended_at,omitzero"`
	Plan      *Plan      `json:"plan,omitempty"`
	Finish    *Finish    `json:"finish,omitempty"`
	// FinishEvent is the finish that counts.
	FinishEvent *EventID `json:"finish_event,omitempty"`
	// Learn is what the weaver said after the finish, nil for nothing.
	Learn *bool `json:"learn,omitempty"`
	// Readings are those taken on the loom, in order.
	Readings []LoomReading `json:"readings,omitempty"`
	// Passed says who has the piece, or some of a set, in order.
	Passed []Passing `json:"passed,omitempty"`

	Overrides []Override `json:"overrides,omitempty"`
	Question  []string   `json:"question,omitempty"`
	Newer     bool       `json:"newer,omitempty"`
}

// Taught says whether a finished piece is to be learned from.
func (p Piece) Taught() bool {
	if p.Learn != nil {
		return *p.Learn
	}
	return p.Finish != nil && !p.Finish.Unusual && len(p.Finish.Jumps) == 0
}

// Waits says that a measure of a finished piece was asked about and nobody has answered:
// until then nothing is learned from it.
func (p Piece) Waits() bool {
	return p.Finish != nil && len(p.Finish.Jumps) > 0 && p.Learn == nil
}

// Open says whether the piece still reserves yarn.
func (p Piece) Open() bool { return p.State == Planned || p.State == OnLoom }

// Life is what the events of a piece say of its making.
type Life struct {
	// Counted is the finish that counts, nothing where there is none.
	Counted EventID
	// Begun says that it went onto the loom and was not abandoned.
	Begun bool
}

// LifeOf reads the life of a piece from its events, in any order.
func LifeOf(events []Event, env Env) Life {
	var life Life
	life.Counted, _ = countedFinish(events, env)
	for _, e := range events {
		if env.Undone(e.ActOf()) {
			continue
		}
		if e.Kind == KindAbandon {
			life.Begun = false
			break
		}
		life.Begun = life.Begun || e.Kind == KindStart
	}
	return life
}

// countedFinish is the finish event that counts among a piece's events: the
// one with the least clock, then id. One that was undone, or cannot be read
// here, does not count. It is false if none counts.
func countedFinish(events []Event, env Env) (EventID, bool) {
	var best *Event
	for i, e := range events {
		if e.Kind != KindFinish || env.Undone(e.ActOf()) ||
			jsonv2.Unmarshal(e.Body, new(Finish)) != nil {
			continue
		}
		if best == nil || earlier(e, *best) {
			best = &events[i]
		}
	}
	if best == nil {
		return EventID{}, false
	}
	return best.ID(), true
}

func earlier(a, b Event) bool {
	ia, ib := a.ID(), b.ID()
	return cmp.Or(cmp.Compare(a.Clock, b.Clock), bytes.Compare(ia[:], ib[:])) < 0
}

// FoldPiece folds a piece from its events, in any order.
func FoldPiece(id PieceID, events []Event, env Env) Piece {
	p := Piece{ID: id}
	counted, any := countedFinish(events, env)
	if any {
		p.FinishEvent = &counted
	}
	events = slices.Clone(events)
	slices.SortFunc(events, Order)
	for _, e := range events {
		if !env.Undone(e.ActOf()) {
			p.apply(e)
		}
	}
	if p.Finish != nil {
		p.State = Finished
	}
	return p
}

func (p *Piece) apply(e Event) {
	p.Newer = p.Newer || e.Version > LineVersion
	switch e.Kind {
	case KindPlan, KindStart, KindAbandon:
		p.make(e)
	case KindFinish:
		p.finishWith(e)
	case KindLoom:
		p.read(e)
	case KindPass:
		p.pass(e)
	case KindOverride:
		var o Override
		if jsonv2.Unmarshal(e.Body, &o) != nil {
			p.Newer = true
			return
		}
		p.Overrides = append(p.Overrides, o)
	default:
		p.Newer = true
	}
}

func (p *Piece) make(e Event) {
	var m Making
	if jsonv2.Unmarshal(e.Body, &m) != nil {
		p.Newer = true
		return
	}
	p.Name, p.Project = cmp.Or(m.Name, p.Name), cmp.Or(m.Project, p.Project)
	if m.Plan != nil {
		p.Plan = m.Plan
	}
	switch e.Kind {
	case KindPlan:
		if p.PlannedAt = e.At; p.State == "" {
			p.State = Planned // a start may be dated before the plan
		}
	case KindStart:
		if p.State == Abandoned {
			p.Question = append(p.Question, TakenUpAgain)
		}
		if p.State != OnLoom { // else it has come to be of more pieces, or fewer
			p.StartedAt = e.At
		}
		p.State = OnLoom
	case KindAbandon:
		p.State, p.EndedAt = Abandoned, e.At
		p.settleTakenUp()
	}
}

func (p *Piece) finishWith(e Event) {
	var f Finish
	if jsonv2.Unmarshal(e.Body, &f) != nil {
		p.Newer = true
		return
	}
	if p.FinishEvent == nil || *p.FinishEvent != e.ID() {
		p.Question = append(p.Question, "finished twice; the earlier one counts")
		return
	}
	p.Finish, p.EndedAt = &f, e.At
	p.settleTakenUp()
}

// settleTakenUp ends the question of whether an abandoned piece was taken up again.
func (p *Piece) settleTakenUp() {
	p.Question = slices.DeleteFunc(p.Question, func(q string) bool { return q == TakenUpAgain })
}
