package stash

import (
	"encoding/json"
	"maps"

	"endsmeet/stash/measure"
)

// Project is what a weaver wants to make.
type Project struct {
	ID ProjectID `json:"id"`
	ProjectFacts
	// Disputed holds the fields whose values disagree, all values in full.
	Disputed map[string][]json.RawMessage `json:"disputed,omitempty"`
	// Newer says that a newer version wrote what this one cannot show.
	Newer bool `json:"newer,omitempty"`
}

// ProjectFacts are the facts of a project. Lengths and widths are of the finished
// cloth without fringe. A nil ratio is not recorded: the planner then takes
// what was learned from finished pieces, or a handbook value, and says so.
type ProjectFacts struct {
	Name   string         `json:"name,omitempty"`
	Kind   string         `json:"kind,omitempty"`
	Width  measure.Length `json:"width,omitempty"`
	Length measure.Length `json:"length,omitempty"`
	// The size range that would still do; zero is no limit.
	LeastWidth  measure.Length `json:"least_width,omitempty"`
	MostWidth   measure.Length `json:"most_width,omitempty"`
	LeastLength measure.Length `json:"least_length,omitempty"`
	MostLength  measure.Length `json:"most_length,omitempty"`

	Sett      measure.Sett `json:"sett,omitempty"`
	Picks     measure.Sett `json:"picks,omitempty"`
	Structure string       `json:"structure,omitempty"`
	Pieces    int          `json:"pieces,omitempty"`
	// Ends is how many ends are threaded, without floating selvedges, whatever width they
	// give; zero leaves them to the width.
	Ends int `json:"ends,omitempty"`

	TakeUp       *measure.Ratio `json:"take_up,omitempty"`
	WeftTakeUp   *measure.Ratio `json:"weft_take_up,omitempty"`
	ShrinkLength *measure.Ratio `json:"shrink_length,omitempty"`
	ShrinkWidth  *measure.Ratio `json:"shrink_width,omitempty"`
	Stretch      *measure.Ratio `json:"stretch,omitempty"`
	Strain       *measure.Ratio `json:"strain,omitempty"`
	DrawIn       *measure.Ratio `json:"draw_in,omitempty"`
	// Beat is how many more picks are beaten than Picks says.
	Beat *measure.Ratio `json:"beat,omitempty"`

	// Fringe is the raw length cut for each end of a piece; Twisted is the
	// finished length of a twisted fringe, from which the raw length follows.
	Fringe  measure.Length `json:"fringe,omitempty"`
	Twisted measure.Length `json:"twisted,omitempty"`
	// Braided and Knotted are finished lengths too; OtherEnd is how the end woven last is
	// finished where it differs, see Edges.
	Braided  measure.Length `json:"braided,omitempty"`
	Knotted  measure.Length `json:"knotted,omitempty"`
	OtherEnd *Edge          `json:"other_end,omitempty"`
	// Bunch is how many ends are stitched or knotted together, BunchGroups how many such
	// groups are twisted or braided into one bunch; zero is the usual number.
	Bunch       int `json:"bunch,omitempty"`
	BunchGroups int `json:"bunch_groups,omitempty"`
	// FloatingSelvedges is the number of floating selvedge ends, 0 or 2.
	FloatingSelvedges int `json:"floating_selvedges,omitempty"`
	Repeat            int `json:"repeat,omitempty"`
	// Balance is the extra ends that make the threading symmetrical.
	Balance int `json:"balance,omitempty"`
	// Hem is the cloth turned under for each piece, all in.
	Hem              measure.Length `json:"hem,omitempty"`
	HemstitchedEdges int            `json:"hemstitched_edges,omitempty"`
	// HemstitchPicks is how many picks one hem-stitched group takes in.
	HemstitchPicks int             `json:"hemstitch_picks,omitempty"`
	BoundEdges     int             `json:"bound_edges,omitempty"`
	Header         measure.Length  `json:"header,omitempty"`
	Sample         measure.Length  `json:"sample,omitempty"`
	FrontWaste     *measure.Length `json:"front_waste,omitempty"`
	BackWaste      *measure.Length `json:"back_waste,omitempty"`
	// EndStrands and PickStrands are the strands laid as one end or pick.
	EndStrands  int          `json:"end_strands,omitempty"`
	PickStrands int          `json:"pick_strands,omitempty"`
	Clasped     bool         `json:"clasped,omitempty"`
	RagPerM2    measure.Mass `json:"rag_per_m2,omitempty"`
	Loops       bool         `json:"loops,omitempty"`

	Warp []Ref `json:"warp,omitempty"`
	Weft []Ref `json:"weft,omitempty"`
	// HemstitchYarn stitches the edges, the weft where empty.
	HemstitchYarn []Ref `json:"hemstitch_yarn,omitempty"`
	// Stripes is the colour order of the warp, empty for any order. StripeRule
	// says how the ends are shared out among them; Symmetric mirrors them about
	// the last one.
	Stripes     []Stripe   `json:"stripes,omitempty"`
	StripeRule  StripeRule `json:"stripe_rule,omitempty"`
	Symmetric   bool       `json:"symmetric,omitempty"`
	LeastStripe int        `json:"least_stripe,omitempty"`
	MostStripe  int        `json:"most_stripe,omitempty"`
	// MixLots allows two dye lots inside one colour area, or rules that out; nil is
	// not said.
	MixLots *bool    `json:"mix_lots,omitempty"`
	For     PersonID `json:"for,omitempty"`
	// Washing is how the cloth is wet-finished, part of what losses hang on.
	Washing string `json:"washing,omitempty"`
	// Due is the day that it is promised for.
	Due  string `json:"due,omitempty"`
	Note string `json:"note,omitempty"`
}

// byWidth leaves the ends of a project to a width that is given without them.
func (f Fields) byWidth(given Fields) {
	_, ends := given["ends"]
	if width, wide := given["width"]; wide && !ends && string(width) != "null" {
		f["ends"] = json.RawMessage("null")
	}
}

// ByWidth are fields of a project to be set: a width that is given without ends takes the
// place of those that were recorded.
func (b Project) ByWidth(fields Fields) Fields {
	if b.Ends > 0 {
		fields.byWidth(fields)
	}
	return fields
}

// EndsGiven is how many ends the project sets: their number, or where it has no width the
// sum of its fixed stripes; zero where the width says how many.
func (b ProjectFacts) EndsGiven() int {
	if b.Ends > 0 || b.Width > 0 {
		return b.Ends
	}
	return b.StripeEnds()
}

// StripeEnds is the sum of the fixed stripes, taken once; zero where there are none or they
// follow the width.
func (b ProjectFacts) StripeEnds() int {
	if b.StripeRule != "" && b.StripeRule != StripesFixed {
		return 0
	}
	sum := 0
	for i, stripe := range b.Stripes {
		sum += stripe.Ends
		if b.Symmetric && i < len(b.Stripes)-1 {
			sum += stripe.Ends
		}
	}
	return sum
}

// FixedWarp says whether the ends of a project are set by its stripes or their number, so
// that no other width or warp can be looked for.
func (b ProjectFacts) FixedWarp() bool { return len(b.Stripes) > 0 || b.Ends > 0 }

// Ref names a yarn, meaning all its free packages, or one package.
type Ref struct {
	Yarn    YarnID    `json:"yarn,omitempty"`
	Package PackageID `json:"package,omitempty"`
}

// Stripe is a run of ends of one colour in the warp.
type Stripe struct {
	// Colour is the label that packages are matched by: a colour, a tag or the
	// name of a yarn.
	Colour string `json:"colour"`
	Ends   int    `json:"ends"`
}

// StripeRule says how ends are shared out among stripes.
type StripeRule string

// The rules. Empty is fixed where there are stripes, and any mix where not.
const (
	StripesFixed        StripeRule = "fixed"
	StripesProportional StripeRule = "proportional"
	StripesFree         StripeRule = "free"
	// StripesMixed is no stripes: the yarns lie evenly among each other, or at random, in
	// the proportions of the stripes, the same of each where there are none.
	StripesMixed StripeRule = "mixed"
)

// FoldProject folds a project from its fact events, in any order.
func FoldProject(id ProjectID, events []Event, env Env) Project {
	folded, newer := foldFacts(Subject(id), events, env)
	facts, unfit := fitFacts[ProjectFacts](folded.Shown())
	return Project{ID: id, ProjectFacts: facts, Disputed: folded.Disputed(), Newer: newer || unfit}
}

// With lays fields over a project, for a question that does not change it. A
// field that is null is open again.
func (b Project) With(fields Fields) (ProjectFacts, error) {
	fields = maps.Clone(fields)
	if err := OneFringe(fields); err != nil {
		return b.ProjectFacts, err
	}
	raw, err := json.Marshal(b.ProjectFacts)
	if err != nil {
		return b.ProjectFacts, err
	}
	all := Fields{}
	if err := json.Unmarshal(raw, &all); err != nil {
		return b.ProjectFacts, err
	}
	maps.Copy(all, fields)
	all.byWidth(fields)
	if raw, err = json.Marshal(all); err != nil {
		return b.ProjectFacts, err
	}
	var facts ProjectFacts
	return facts, json.Unmarshal(raw, &facts)
}
