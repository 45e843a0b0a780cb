package making

import (
	"cmp"
	"fmt"
	"slices"

	"endsmeet/planner"
	"endsmeet/planner/fit"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// bindingStripes is what binds where fixed stripes do not fill the width.
const bindingStripes = "stripes"

// unfilled says that fixed stripes, repeated whole times, do not make the ends
// of the width of a plan, or others not within their bounds, so that it cannot fit, and what
// to do.
func (s Shelf) unfilled(o *Outcome, spec planner.Spec) {
	if why := s.outOfBounds(o.Project, o.Needs.Threaded); why != "" {
		o.Binding, o.Why, o.Do = bindingStripes, why, "Change --least-stripe or --most-stripe, or the width."
		return
	}
	once := o.Project.StripeEnds()
	ends := o.Needs.Threaded
	if once == 0 || ends%once == 0 {
		return
	}
	o.Binding = bindingStripes
	units := s.Settings.Units
	o.Why = fmt.Sprintf("the stripes add up to %d ends, %s takes %d", once,
		o.Project.Width.Cloth(units), ends)
	times := max(1, (ends+once/2)/once)
	if n, err := planner.NeedForEnds(spec, times*once); err == nil {
		o.Do = fmt.Sprintf("--ends %d takes them %s, %s wide. ", times*once, timesWords(times),
			n.FinishedWidth.Cloth(units))
	}
	o.Do += s.equalStripes(o.Project, ends)
	o.Do += fmt.Sprintf("Or give --stripes that add up to %d, or --stripe-rule proportional.", ends)
}

// equalStripes says how many ends each of several stripes that are alike would have to have,
// empty where they are not alike, or some of them would have one more.
func (s Shelf) equalStripes(b stash.ProjectFacts, ends int) string {
	n := len(b.Stripes)
	if n < 2 || b.Symmetric || slices.ContainsFunc(b.Stripes,
		func(one stash.Stripe) bool { return one.Ends != b.Stripes[0].Ends }) {
		return ""
	}
	if ends%n == 0 {
		return fmt.Sprintf("%d ends in each fill the width. ", ends/n)
	}
	return fmt.Sprintf("%d ends in each, and one more in %d of them, fill the width. ", ends/n, ends%n)
}

// uncounted is a project whose stripes have no number of ends: they are as wide as each yarn
// gives, unless its rule says otherwise.
func uncounted(b stash.ProjectFacts) (stash.ProjectFacts, error) {
	if len(b.Stripes) == 0 || b.Stripes[0].Ends > 0 {
		return b, nil
	}
	if b.StripeRule == stash.StripesFixed {
		return b, stash.Refuse(stash.CodeInput,
			"give each its number of ends, or --stripe-rule free or proportional",
			"the stripes of %s are fixed, and have no number of ends", b.Name)
	}
	b.StripeRule = cmp.Or(b.StripeRule, stash.StripesFree)
	b.Stripes = slices.Clone(b.Stripes)
	for i := range b.Stripes {
		b.Stripes[i].Ends = 1
	}
	return b, nil
}

// laidOut is the plan of stripes whose widths are settled: how sure it is, and how much longer
// ends may be wound, is asked of the stripes that are told.
func laidOut(bands []fit.Band) fit.Plan {
	p := fit.Plan{Kind: fit.FixedStripes}
	for _, b := range bands {
		p.Stripes = append(p.Stripes, fit.Stripe(b))
	}
	return p
}

// stripeBarred refuses stripes of which one has no yarn but what was named and may not
// be used as warp, and says why it may not.
func (s Shelf) stripeBarred(b stash.ProjectFacts, pool pool) error {
	for _, stripe := range b.Stripes {
		if slices.ContainsFunc(pool.packages, func(f fit.Package) bool {
			return f.ForWarp && f.Colour == stripe.Colour
		}) {
			continue
		}
		for _, left := range pool.leftOut {
			p, _ := s.find(left.ID)
			if s.colourIn(p, s.Yarns[p.Yarn], b) == stripe.Colour {
				return stash.Refuse(stash.CodeInput, "Name other yarn for this stripe.",
					"the stripes ask for %s, and %s %s", stash.Quote(stripe.Colour), left.Label,
					left.Reason)
			}
		}
	}
	return nil
}

func timesWords(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// useless refuses what a project says of its stripes where it has none of which that can be
// so: bounds where their width is not open, a mirror where none lie beside each other.
func (s Shelf) useless(b stash.ProjectFacts) error {
	name := "least_stripe"
	if b.LeastStripe == 0 {
		name = "most_stripe"
	}
	list := len(b.Stripes) > 0
	free, inProportion := b.StripeRule == stash.StripesFree,
		list && b.StripeRule == stash.StripesProportional
	bound := b.LeastStripe+b.MostStripe > 0
	switch {
	case free && (b.Symmetric || bound) && s.stripesOf(b) == 1:
		return stash.Refuse(stash.CodeInput,
			"give --stripes with the tag or colour of each, or leave it out",
			"the warp of %s is of one yarn and colour, and has no stripes to be mirrored, wider or narrower", b.Name)
	case b.Symmetric && !free && (!list || b.StripeRule == stash.StripesMixed):
		return stash.Refuse(stash.CodeInput,
			"give --stripes or --stripe-rule free with it, or leave it out",
			"symmetric has no use: %s has no stripes to be mirrored", b.Name)
	case bound && !free && !inProportion:
		return stash.Refuse(stash.CodeInput,
			"give --stripe-rule free, or --stripes and --stripe-rule proportional, or leave it out",
			"%s has no use: no stripe of %s may be wider or narrower", name, b.Name)
	}
	return nil
}

// stripesOf counts the stripes of a project as it lists them, else one for each colour of its
// warp.
func (s Shelf) stripesOf(b stash.ProjectFacts) int {
	if n := len(b.Stripes); n > 0 {
		return n
	}
	colours := map[string]bool{}
	for _, p := range s.Named(b.Warp) {
		colours[s.colourIn(p, s.Yarns[p.Yarn], b)] = true
	}
	return len(colours)
}

// outOfBounds says that the stripes of a plan cannot be as wide or narrow as its project wants
// them, empty where they can.
func (s Shelf) outOfBounds(b stash.ProjectFacts, ends int) string {
	n := s.stripesOf(b)
	if b.Symmetric {
		n = 2*n - 1
	}
	of := func(word string, bound int) string {
		return fmt.Sprintf("%s of at %s %s are %d, and %s takes %d",
			measure.Counted(n, "stripe"), word, measure.Counted(bound, "end"), n*bound,
			b.Width.Cloth(s.Settings.Units), ends)
	}
	switch {
	case n*b.LeastStripe > ends:
		return of("least", b.LeastStripe)
	case b.MostStripe > 0 && n*b.MostStripe < ends:
		return of("most", b.MostStripe)
	}
	return ""
}

// mixed is a project with the parts of its mixed warp named, each yarn once: where the
// project names none, the same of each yarn of the warp.
func (s Shelf) mixed(b stash.ProjectFacts) stash.ProjectFacts {
	if b.StripeRule != stash.StripesMixed {
		return b
	}
	parts := b.Stripes
	if len(parts) == 0 {
		for _, p := range s.Named(b.Warp) {
			name := s.Yarns[p.Yarn].Name
			if !slices.ContainsFunc(parts,
				func(part stash.Stripe) bool { return part.Colour == name }) {
				parts = append(parts, stash.Stripe{Colour: name, Ends: 1})
			}
		}
	}
	b.Stripes = nil
	for _, part := range parts {
		if i := slices.IndexFunc(b.Stripes,
			func(have stash.Stripe) bool { return have.Colour == part.Colour }); i >= 0 {
			b.Stripes[i].Ends += part.Ends
			continue
		}
		b.Stripes = append(b.Stripes, part)
	}
	return b
}
