package share

import (
	"cmp"
	"context"
	"math"

	"endsmeet/planner/chance"
	"endsmeet/planner/making"
	"endsmeet/planner/search"
	"endsmeet/stash"
)

// sure95 is how many standard uncertainties each of the two demands of a piece, ends
// and weft, is kept from running short: 97.5 % each, so that both suffice with 95 %
// whatever they have in common (Bonferroni's inequality).
const sure95 = 1.959964

// reserve is by how much the demands of an option are taken larger than they are in the
// middle, for what is uncertain in the weaving. The packages are at their low lengths
// already.
type reserve struct{ end, weft float64 }

// reserveOf is the reserve of a choice: with the doubt of its surest package, at whose low
// length the least of it is.
func (a *allotting) reserveOf(facts stash.ProjectFacts, c search.Choice, l making.Leeway) reserve {
	return reserve{
		end:  beyond(a.surest(c.Warp, facts), l.End),
		weft: beyond(a.surest(c.Weft, facts), l.Weft),
	}
}

// beyond is how much larger a demand is taken for its doubt beside that of the yarn:
// independent errors add as squares.
func beyond(yarn, weaving float64) float64 {
	return math.Exp(sure95 * (math.Hypot(yarn, weaving) - yarn))
}

// surest is the least relative doubt of packages.
func (a *allotting) surest(ids []stash.PackageID, b stash.ProjectFacts) float64 {
	least := math.Inf(1)
	for _, id := range ids {
		p, _ := a.shelf.Find(id)
		if length, spread, known := a.shelf.Span(p, b); known && length > 0 {
			least = min(least, float64(spread)/float64(length))
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}

// times is a demand with its reserve.
func times(length int64, by float64) int64 { return int64(math.Ceil(float64(length) * by)) }

// rounds is how often the sharing is solved anew where a plan does not come out with
// 95 %, and step how much more each of its demands then is.
const (
	rounds = 4
	step   = 1.03
)

// shared solves, and solves again with more in reserve for every piece whose own plan,
// beside the others, does not suffice with 95 %; at last without those that still do not.
func (a *allotting) shared(ctx context.Context) (Solution, []making.Outcome, error) {
	for round := 0; ; round++ {
		s, err := Solve(ctx, a.problem)
		if err != nil {
			return s, nil, err
		}
		outcomes, err := a.outcomes(s)
		if err != nil || ctx.Err() != nil {
			return s, outcomes, err
		}
		if more, err := a.stricter(s, outcomes, round >= rounds); err != nil || !more {
			return s, outcomes, err
		}
	}
}

// outcomes plans what a solution makes, each beside the others.
func (a *allotting) outcomes(s Solution) ([]making.Outcome, error) {
	given := a.given(s)
	out := make([]making.Outcome, len(a.wants))
	for b, at := range s.Choice {
		if at < 0 {
			continue
		}
		o, err := making.Plan(a.beside(b, given), a.ways[b][at].project)
		if err != nil {
			return nil, err
		}
		o.Allotments = a.asWound(given[b], o)
		out[b] = o
	}
	return out, nil
}

// stricter asks more for the wants that came out below 95 %, and says whether there were any.
func (a *allotting) stricter(s Solution, outcomes []making.Outcome, last bool) (any bool, err error) {
	for b, at := range s.Choice {
		if at < 0 && !a.raised[b] || at >= 0 && outcomes[b].Verdict == chance.Sure {
			continue
		}
		any = true
		switch {
		case at < 0 || last && !a.ways[b][at].planned:
			err = cmp.Or(err, a.asPlan(b))
		case a.ways[b][at].planned:
			a.drop(b)
		default:
			a.raiseDemands(b)
		}
	}
	return any, err
}

// drop leaves a want out.
func (a *allotting) drop(b int) {
	a.dropped[b], a.problem.Projects[b] = a.problem.Projects[b], nil
}

// asPlan binds a want to what a plan of the yarn that it names takes, or drops it.
func (a *allotting) asPlan(b int) error {
	delete(a.raised, b)
	w := a.wants[b]
	if !w.named() {
		a.drop(b)
		return nil
	}
	one, _, err := a.planned(w)
	if err != nil || len(one.options) == 0 {
		a.drop(b)
		return err
	}
	a.problem.Projects[b], a.ways[b] = one.options, one.ways
	return nil
}

// raiseDemands asks a step more of every option of a want.
func (a *allotting) raiseDemands(b int) {
	a.raised[b] = true
	for o := range a.problem.Projects[b] {
		a.problem.Projects[b][o] = a.problem.Projects[b][o].times(step)
		a.ways[b][o].reserve.end *= step
		a.ways[b][o].reserve.weft *= step
	}
}

// times is an option of which every demand is larger.
func (o Option) times(by float64) Option {
	windings, wefts := make([]Windings, len(o.Windings)), make([]Weft, len(o.Wefts))
	for i, w := range o.Windings {
		w.Length = times(w.Length, by)
		windings[i] = w
	}
	for i, w := range o.Wefts {
		w.Length = times(w.Length, by)
		wefts[i] = w
	}
	o.Windings, o.Wefts = windings, wefts
	return o
}
