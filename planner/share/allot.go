package share

import (
	"cmp"
	"context"
	"reflect"
	"slices"

	"endsmeet/planner/kinds"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/planner/verdict"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// Want is a project to be made, for whom, and how much it matters against the
// others.
type Want struct {
	Project stash.Project
	Person  *stash.Person
	// Elsewhere says that it is for somebody whose rules are not on this machine.
	Elsewhere bool
	Priority  int // 0 means 1
	// Aside says that a reason was given for going on in spite of the gate; it holds
	// for a project that names its yarns.
	Aside bool
	// Must puts it before all that is no must.
	Must bool
}

// Worth is what the pieces of a plan are weighed by.
type Worth string

// The ways of weighing: by finished cloth, so that a shawl counts for more than
// a mug rug, or every piece alike.
const (
	ByCloth Worth = "cloth"
	ByPiece Worth = "piece"
)

// Piece is what comes of one want.
type Piece struct {
	Want Want
	// Made says that it can be made beside the others.
	Made bool
	// Value is what it counts for.
	Value int64
	// Outcome is its plan, with the yarn that is allotted to it; its probability
	// holds if the others use what they were allotted.
	Outcome making.Outcome
	// Rivals are the projects whose yarn would be needed, where it could be made
	// alone; Why says what lacks where it could not.
	Rivals []string
	Why    string
	// Buys say what to buy to make it beside the others.
	Buys []making.Buy
	// Complete is false where not all lots were considered for it but only the best.
	Complete bool
	LeftOut  []making.LeftOut
}

// Plan is the answer of Allot.
type Plan struct {
	Pieces []Piece
	// Value, Bound and Proven are those of the integer program.
	Value, Bound int64
	Gap          float64
	Proven       bool
	Nodes        int
}

// Settings of the sharing.
const (
	// allChoices is up to how many choices of lots all are considered for one project;
	// where there are more, the bestChoices that the search ranks first.
	allChoices  = 2500
	bestChoices = 400
	// sizes is how many sizes are tried from the least to the wanted one.
	sizes = 8
)

// Allot shares the shelf out over wants, so that every piece made has enough with 95 %
// by its own plan, beside what the others are given (see reserve). Packages are reckoned
// at the length that they have with 97.5 %. Where the context ends first, or so many nodes
// have been looked at (0 is no limit), the plan is the best found. It fails for a
// project that makes no sense.
func Allot(ctx context.Context, shelf making.Shelf, wants []Want, by Worth, nodes int) (Plan,
	error) {
	a, err := newAllotting(ctx, shelf, wants, by)
	if err != nil {
		return Plan{}, err
	}
	a.problem.Nodes = nodes
	first := a.first()
	s, outcomes, err := a.shared(ctx)
	if err != nil {
		return Plan{}, err
	}
	a.unfirst(first, &s)
	out := Plan{Value: s.Value, Bound: s.Bound, Gap: s.Gap(), Proven: s.Proven, Nodes: s.Nodes}
	for b := range a.wants {
		p, err := a.piece(ctx, b, s, outcomes[b])
		if err != nil {
			return out, err
		}
		out.Pieces = append(out.Pieces, p)
	}
	return out, nil
}

// way is an option with what it stands for.
type way struct {
	project stash.ProjectFacts
	choice  search.Choice
	// ends and pieces of yarn behind the demands.
	perWinding int
	// reserve is what the demands hold beyond the middle of what a plan takes, windings the
	// length of each winding as it is wound.
	reserve  reserve
	windings []measure.Length
	// planned says that it is bound to what a plan for it alone takes.
	planned bool
}

// allotting states wants as a problem.
type allotting struct {
	shelf    making.Shelf
	stock    *search.Stock
	wants    []Want
	packages []stash.Package // of the problem
	at       map[stash.PackageID]int
	problem  Problem
	dropped  map[int][]Option // of wants that are not sure beside the others
	raised   map[int]bool     // wants of which more is demanded than at first
	ways     [][]way
	complete []bool
	leftOut  [][]making.LeftOut
	why      []string // why a want has no option at all
	by       Worth
}

func newAllotting(ctx context.Context, shelf making.Shelf, wants []Want, by Worth) (*allotting,
	error) {
	shelf = shelf.Taught()
	a := &allotting{shelf: shelf, stock: search.NewStock(shelf, search.Query{}),
		wants: slices.Clone(wants), at: map[stash.PackageID]int{}, dropped: map[int][]Option{},
		raised: map[int]bool{}, by: by}
	for i := range a.wants {
		w := &a.wants[i]
		if k, ok := kinds.OfProject(w.Project); ok && w.Project.Length <= 0 {
			w.Project.Width, w.Project.Length = k.Facts.Width, k.Facts.Length
		}
		if twin := slices.IndexFunc(a.wants[:i], w.like); twin >= 0 {
			a.repeat(twin)
		} else if err := a.add(ctx, *w); err != nil {
			return nil, err
		}
	}
	a.untie()
	return a, nil
}

// untie takes off what knots cost at worst: one winding each, of the longest
// that may be cut from the package.
func (a *allotting) untie() {
	longest := make([]int64, len(a.packages))
	for _, options := range a.problem.Projects {
		for _, o := range options {
			for _, w := range o.Windings {
				for _, i := range w.Pool {
					longest[i] = max(longest[i], w.Length)
				}
			}
		}
	}
	for i, p := range a.packages {
		a.problem.Packages[i] = max(0, a.problem.Packages[i]-int64(p.Knots)*longest[i])
	}
}

// index gives a package its place in the problem.
func (a *allotting) index(id stash.PackageID, b stash.ProjectFacts) int {
	if i, ok := a.at[id]; ok {
		return i
	}
	p, _ := a.shelf.Find(id)
	i := len(a.packages)
	a.at[id] = i
	a.packages = append(a.packages, p)
	a.problem.Packages = append(a.problem.Packages, a.usable(p, b))
	return i
}

// usable is what whole ends and weft can be cut from: the low length. Cut lengths
// (thrums) are weft, and each is charged a join.
func (a *allotting) usable(p stash.Package, b stash.ProjectFacts) int64 {
	low := search.Low(a.shelf, p, b)
	if strand := p.Strand(a.shelf.Settings); strand > 0 {
		low = low / strand * max(0, strand-a.shelf.Settings.Join)
	}
	return int64(low)
}

// pool gives packages their places, in order.
func (a *allotting) pool(ids []stash.PackageID, b stash.ProjectFacts) []int {
	out := make([]int, len(ids))
	for i, id := range ids {
		out[i] = a.index(id, b)
	}
	slices.Sort(out)
	return out
}

// add states the options of one want.
func (a *allotting) add(ctx context.Context, w Want) error {
	k, ok := kinds.OfProject(w.Project)
	if !ok {
		return kinds.Sizeless(w.Project)
	}
	if w.Person != nil && !w.Aside {
		if why := verdict.FormBlocked(*w.Person, w.Project.ProjectFacts); why != "" {
			a.close(builder{a: a, want: w, why: why}, true, nil)
			return nil
		}
	}
	if w.striped() {
		return a.addPlanned(w)
	}
	q := search.Query{Kind: k, Person: w.Person, Top: bestChoices,
		Weights: search.Weights{Size: 91, Use: 3, Rest: 3, Lots: 3}}
	q.Aside = w.Aside && w.named()
	b, found, err := a.optionsOf(ctx, w, q)
	if err != nil {
		return err
	}
	if mix := true; k.Facts.MixLots == nil && len(w.Project.Warp)+len(w.Project.Weft) > 0 &&
		!a.alone(ctx, b) {
		q.Kind.Facts.MixLots = &mix // as a plan for it alone would do, and say
		if mixed, all, err := a.optionsOf(ctx, w, q); err == nil && a.alone(ctx, mixed) {
			b, found = mixed, all
		}
	}
	if len(b.options) > 0 && w.named() && !a.alone(ctx, b) {
		return a.addPlanned(w) // the doubts of all its yarn together may be less than those of each
	}
	a.close(b, found.Complete, found.LeftOut)
	return nil
}

// optionsOf are the options of a want, out of what a query finds.
func (a *allotting) optionsOf(ctx context.Context, w Want, q search.Query) (builder,
	search.Choosing, error) {
	found, err := a.stock.Choices(ctx, q, allChoices)
	b := builder{a: a, want: w, filled: map[[2]stash.YarnID]estimate{}, why: found.Refused}
	for _, c := range found.Choices {
		b.addChoice(c)
	}
	return b, found, err
}

// alone says whether some option can be made where nothing else is.
func (a *allotting) alone(ctx context.Context, b builder) bool {
	one, err := Solve(ctx, Problem{Packages: a.problem.Packages, Projects: [][]Option{b.options}})
	return err == nil && one.Choice[0] >= 0
}

// close keeps the options of a want.
func (a *allotting) close(b builder, complete bool, left []making.LeftOut) {
	why := b.why
	if len(b.options) > 0 {
		why = ""
	} else if why == "" {
		why = "no yarn on the shelf may serve as its warp and weft"
	}
	a.problem.Projects = append(a.problem.Projects, b.options)
	a.ways = append(a.ways, b.ways)
	a.complete = append(a.complete, complete)
	a.leftOut = append(a.leftOut, left)
	a.why = append(a.why, why)
}

// striped says whether the warp of a want has stripes, or so many ends.
func (w Want) striped() bool { return w.Project.FixedWarp() || w.Project.StripeRule != "" }

// named says whether a want names the yarn of its warp and weft.
func (w Want) named() bool { return len(w.Project.Warp) > 0 && len(w.Project.Weft) > 0 }

// like says whether two wants differ by nothing but their names and notes.
func (w Want) like(v Want) bool {
	bare := func(w Want) stash.ProjectFacts {
		f := w.Project.ProjectFacts
		f.Name, f.Note = "", ""
		return f
	}
	return w.Priority == v.Priority && w.Must == v.Must && reflect.DeepEqual(bare(w), bare(v))
}

// repeat gives the next want the options of one like it.
func (a *allotting) repeat(twin int) {
	a.problem.Projects = append(a.problem.Projects, slices.Clone(a.problem.Projects[twin]))
	a.ways = append(a.ways, slices.Clone(a.ways[twin]))
	a.complete = append(a.complete, a.complete[twin])
	a.leftOut = append(a.leftOut, a.leftOut[twin])
	a.why = append(a.why, a.why[twin])
}

// worth is what a piece of a share of the wanted area counts for: half for
// being made, half for its size up to the wanted one, times its priority and, by
// cloth, each 100 cm2 begun of what is wanted.
func (a *allotting) worth(w Want, share float64) int64 {
	const unit = 100 * 100 // mm2
	weight := int64(1)
	if f := w.Project.ProjectFacts; a.by == ByCloth {
		weight = max(1, (int64(f.Width)*int64(f.Length)*int64(max(1, f.Pieces))+unit-1)/unit)
	}
	return int64(cmp.Or(w.Priority, 1)) * weight * int64(500+500*min(1, share)+0.5)
}

// first makes every must worth more than all that is none, and returns by how
// much.
func (a *allotting) first() int64 {
	more := int64(1)
	for b, options := range a.problem.Projects {
		if !a.wants[b].Must {
			more += slices.MaxFunc(append(options, Option{}),
				func(x, y Option) int { return cmp.Compare(x.Value, y.Value) }).Value
		}
	}
	a.raise(more)
	return more
}

// raise adds to the value of every option of a must.
func (a *allotting) raise(more int64) {
	for b, options := range a.problem.Projects {
		for o := range options {
			if a.wants[b].Must {
				options[o].Value += more
			}
		}
	}
}

// unfirst takes off again what first added to the options that were chosen.
func (a *allotting) unfirst(more int64, s *Solution) {
	a.raise(-more)
	for b, at := range s.Choice {
		if at >= 0 && a.wants[b].Must {
			s.Value, s.Bound = s.Value-more, s.Bound-more
		}
	}
}

// scales lists the sizes to try as thousandths of the wanted size: from the
// least to the wanted, both sides in proportion. Without a least size it is the
// wanted size alone.
func scales(b stash.ProjectFacts) []int {
	low := 1000
	if b.LeastWidth > 0 || b.LeastLength > 0 {
		low = int(max(1000*orElse(b.LeastWidth, b.Width)/b.Width,
			1000*orElse(b.LeastLength, b.Length)/b.Length))
		low = int(min(1000, measure.Length(low)+1))
		if b.LeastWidth == b.Width || b.LeastLength == b.Length {
			low = 1000
		}
	}
	out := []int{1000}
	for i := range sizes {
		out = append(out, low+(1000-low)*i/(sizes-1))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// orElse is l, or where it is not set the whole.
func orElse(l, whole measure.Length) measure.Length {
	if l > 0 {
		return l
	}
	return whole
}
