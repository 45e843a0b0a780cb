package search

import (
	"fmt"
	"math"
	"strings"

	"endsmeet/planner"
	"endsmeet/planner/kinds"
	"endsmeet/planner/learn"
	"endsmeet/stash"
	"endsmeet/stash/measure"
)

// figures are sett, picks and losses of one yarn in a cloth of its own.
type figures struct {
	sett, picks measure.Sett
	losses      planner.Losses
	// ok is false where no sett is known.
	ok bool
}

// figurer works figures out, once for all yarns of a sort.
type figurer struct {
	kind  kinds.Kind
	stock *Stock
	sorts []*figures
	alike map[string]planner.Losses
}

func (st *Stock) newFigurer(k kinds.Kind) *figurer {
	return &figurer{kind: k, stock: st, sorts: make([]*figures, len(st.sorts)),
		alike: map[string]planner.Losses{}}
}

// of gives the figures of a yarn. Those of two yarns of one sort are one value at one
// address.
func (f *figurer) of(id stash.YarnID) *figures {
	known := &f.sorts[f.stock.yarns[f.stock.yarnPlaces[id]].sort]
	if *known == nil {
		*known = f.reckon(id)
	}
	return *known
}

func (f *figurer) reckon(id stash.YarnID) *figures {
	sett, picks := learn.Setts(f.question(id), f.stock.shelf.Pieces, f.stock.learn)
	out := &figures{sett: sett.Value, picks: picks.Value}
	out.ok = out.sett > 0 && (out.picks > 0 || f.kind.Rag)
	switch {
	case !out.ok:
	case f.stock.taught[id]:
		out.losses = f.losses(f.stock.learn, id, out.sett, out.picks)
	default:
		out.losses = f.ofLike(f.stock.learn.Yarns[id], *out)
	}
	return out
}

func (f *figurer) question(id stash.YarnID) learn.Question {
	return learn.Question{Project: f.kind.Facts, Working: f.kind.Working, Warp: []stash.YarnID{id},
		Weft: []stash.YarnID{id}}
}

func (f *figurer) losses(shelf learn.Shelf, id stash.YarnID, sett,
	picks measure.Sett) planner.Losses {
	q := f.question(id)
	q.Project.Sett, q.Project.Picks = sett, picks
	set := f.stock.weaver.With(shelf).Losses(q)
	return planner.Losses{
		WarpTakeUp: set.TakeUp.Value, WeftTakeUp: set.WeftTakeUp.Value,
		WetLength: set.ShrinkLength.Value,
		WetWidth:  set.ShrinkWidth.Value, Stretch: set.Stretch.Value, Strain: set.Strain.Value,
		DrawIn: set.DrawIn.Value, Beating: set.Beat.Value,
	}
}

// ofLike gives the losses of a yarn of which no piece was made: those of a yarn
// alike in fibre, spinning and habits. Where the sett follows from the count,
// cloths of all counts are the same cloth on another scale, and the count is
// taken as 100 tex; where the project sets it, to the next twentieth. Setts are taken
// to the next hundredth.
func (f *figurer) ofLike(y stash.Yarn, own figures) planner.Losses {
	tex := 100 * measure.Tex
	if f.kind.Facts.Sett > 0 || f.kind.Facts.Picks > 0 {
		tex = measure.Count(stepped(float64(y.Tex()), 0.05))
	}
	wash := ""
	if y.Wash != nil {
		wash = fmt.Sprint(*y.Wash)
	}
	scale := math.Sqrt(float64(y.Tex()) / float64(tex))
	if f.kind.Facts.Sett == 0 {
		own.sett = measure.Sett(stepped(float64(own.sett)*scale, 0.01))
	}
	if f.kind.Facts.Picks == 0 {
		own.picks = measure.Sett(stepped(float64(own.picks)*scale, 0.01))
	}
	key := strings.Join([]string{fmt.Sprint(int64(own.sett), int64(own.picks)), y.Fibre.String(),
		strings.Join(y.Construction, " "), string(y.Stretch), string(y.Shrinks), wash,
		fmt.Sprint(int64(tex))}, "|")
	if known, ok := f.alike[key]; ok {
		return known
	}
	y.ID, y.Name = likeYarn, ""
	count := stash.CountFact{Count: tex}
	if y.Count != nil {
		count.Source = y.Count.Source
	}
	y.Count = &count
	shelf := f.stock.learn
	shelf.Yarns = map[stash.YarnID]stash.Yarn{likeYarn: y}
	for id := range f.stock.taught {
		shelf.Yarns[id] = f.stock.learn.Yarns[id]
	}
	known := f.losses(shelf, likeYarn, own.sett, own.picks)
	f.alike[key] = known
	return known
}

// stepped rounds to the next of steps of a share.
func stepped(v, step float64) float64 {
	return math.Exp(math.Round(math.Log(v)/step) * step)
}

// likeYarn stands for every yarn of a sort.
const likeYarn stash.YarnID = "a yarn like it"
